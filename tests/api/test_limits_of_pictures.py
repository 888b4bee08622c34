"""How large a photograph may be, how large it is kept, and how finely."""

import io
import struct
import zlib
from functools import partial

import pytest
from PIL import Image

from service.documents.photographs import LONGEST_SIDE, UnusablePicture
from service.documents.picture_drawing import draw_anew

clean_photograph = partial(draw_anew, longest=LONGEST_SIDE)


def png_header(width: int, height: int) -> bytes:
    """A PNG that says its size and holds no pixel."""
    body = b"IHDR" + struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    chunk = struct.pack(">I", 13) + body + struct.pack(">I", zlib.crc32(body))
    end = struct.pack(">I", 0) + b"IEND" + struct.pack(">I", zlib.crc32(b"IEND"))
    return b"\x89PNG\r\n\x1a\n" + chunk + end


def webp_header(width: int, height: int) -> bytes:
    """A lossless WebP likewise: 14 bits of width less one, 14 of height less one (RFC 9649)."""
    bits = (width - 1) | (height - 1) << 14
    body = b"WEBPVP8L" + struct.pack("<I", 5) + b"\x2f" + struct.pack("<I", bits) + b"\0" * 8
    return b"RIFF" + struct.pack("<I", len(body)) + body


def webp_canvas(width: int, height: int) -> bytes:
    """An extended WebP: 24 bits of each, less one."""
    canvas = (width - 1).to_bytes(3, "little") + (height - 1).to_bytes(3, "little")
    body = b"WEBPVP8X" + struct.pack("<I", 10) + b"\0" * 4 + canvas + b"\0" * 8
    return b"RIFF" + struct.pack("<I", len(body)) + body


def webp_frame(width: int, height: int) -> bytes:
    """A lossy WebP: 14 bits of each behind the start code."""
    frame = b"\x10\0\0\x9d\x01\x2a" + struct.pack("<HH", width, height) + b"\0" * 8
    body = b"WEBPVP8 " + struct.pack("<I", len(frame)) + frame
    return b"RIFF" + struct.pack("<I", len(body)) + body


def refusal_of(sent: bytes) -> str:
    with pytest.raises(UnusablePicture) as refusal:
        clean_photograph(sent)
    return refusal.value.code


@pytest.mark.parametrize(
    ("width", "height", "code"),
    [
        (10_000, 6000, "picture-damaged"),  # sixty megapixels: looked at, and found empty
        (10_000, 6001, "picture-too-large"),
        (6000, 10_000, "picture-damaged"),
        (6001, 10_000, "picture-too-large"),
        (32_768, 1831, "picture-damaged"),
        (32_768, 1832, "picture-too-large"),
        (32_768, 1, "picture-damaged"),
        (32_769, 1, "picture-too-large"),  # few, but too long a side
        (1, 32_769, "picture-too-large"),
    ],
)
def test_sixty_megapixels_are_the_most_of_a_png(width, height, code):
    assert refusal_of(png_header(width, height)) == code


@pytest.mark.parametrize("head", [webp_header, webp_canvas, webp_frame])
@pytest.mark.parametrize(
    ("width", "height", "code"),
    [
        (4000, 4000, "picture-damaged"),
        (4000, 4001, "picture-too-large"),
        (4001, 4000, "picture-too-large"),
        (16_000, 1000, "picture-damaged"),
        (16_000, 1001, "picture-too-large"),
    ],
)
def test_sixteen_megapixels_are_the_most_of_a_webp(head, width, height, code):
    """Its reader holds it five times over."""
    assert refusal_of(head(width, height)) == code


def drawn(width: int, height: int) -> bytes:
    written = io.BytesIO()
    Image.effect_noise((width, height), 60).convert("RGB").save(written, "PNG")
    return written.getvalue()


@pytest.mark.parametrize(
    ("size", "kept"),
    [
        ((2048, 16), (2048, 16)), ((2049, 16), (2048, 16)), ((16, 2048), (16, 2048)),
        ((16, 2049), (16, 2048)), ((4096, 64), (2048, 32)), ((2047, 16), (2047, 16)),
    ],
)  # fmt: skip
def test_a_picture_is_kept_2048_pixels_long_at_the_most(size, kept):
    clean = clean_photograph(drawn(*size))
    assert (clean.width, clean.height) == kept


@pytest.mark.parametrize(
    ("size", "kept"),
    [((320, 8), (320, 8)), ((321, 8), (320, 8)), ((640, 8), (320, 4)), ((8, 640), (4, 320))],
)
def test_a_small_picture_is_as_long_as_asked(size, kept):
    small = clean_photograph(drawn(*size), longest=320)
    assert (small.width, small.height) == kept


LUMINANCE = [
    16, 11, 10, 16, 24, 40, 51, 61, 12, 12, 14, 19, 26, 58, 60, 55,
    14, 13, 16, 24, 40, 57, 69, 56, 14, 17, 22, 29, 51, 87, 80, 62,
    18, 22, 37, 56, 68, 109, 103, 77, 24, 35, 55, 64, 81, 104, 113, 92,
    49, 64, 78, 87, 103, 121, 120, 101, 72, 92, 95, 98, 112, 100, 103, 99,
]  # fmt: skip
"""Table K.1 of ITU-T T.81, from memory."""


def test_a_picture_is_kept_at_quality_82():
    """Common practice scales the table by (200 - 2 x quality) per cent above quality 50."""
    picture = Image.open(io.BytesIO(clean_photograph(drawn(64, 64)).data))
    picture.load()
    wanted = sorted((step * (200 - 2 * 82) + 50) // 100 for step in LUMINANCE)

    assert sorted(picture.quantization[0]) == wanted
    assert picture.info["progressive"] == 1
