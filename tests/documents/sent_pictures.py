"""Pictures as they are sent: whole ones, large ones that cost little to write, and HEIC or not."""

import io
import struct
import zlib
from importlib.util import find_spec

import pytest
from PIL import ExifTags, Image

from tests.documents.heic import RED as RED_TILE
from tests.documents.heic import write_heic

RED, BLUE, WHITE = (200, 20, 20), (20, 20, 200), (255, 255, 255)
SECRET = "Anvil Cottage"


def two_halves(size=(400, 200), left=RED, right=BLUE):
    picture = Image.new("RGB", size, left)
    picture.paste(right, (size[0] // 2, 0, *size))
    return picture


def written(picture, kind="JPEG", **options):
    file = io.BytesIO()
    picture.save(file, kind, **options)
    return file.getvalue()


def reopened(clean):
    picture = Image.open(io.BytesIO(clean.data))
    picture.load()
    return picture


def near(pixel, colour):
    return all(abs(a - b) < 30 for a, b in zip(pixel, colour, strict=True))


def told_exif(orientation=1):
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = orientation
    exif[ExifTags.Base.Make] = SECRET
    exif.get_ifd(ExifTags.IFD.GPSInfo)[ExifTags.GPS.GPSLatitude] = (51.0, 30.0, 12.0)
    return exif


def png(size, row, *, depth=1, colour=0):
    """A whole and valid picture of which every row is the same."""

    def chunk(kind, data):
        return (
            struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        )

    header = struct.pack(">IIBBBBB", *size, depth, colour, 0, 0, 0)
    pixels = zlib.compress(row * size[1], 9)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", pixels) + chunk(b"IEND", b"")
    )


def jpeg_of(size, *, scans=0, **options):
    """A flat JPEG whose header says another size: its reader fills in what is not there."""
    sent = written(Image.new("RGB", (16, 16), RED), **options)
    mark = b"\xff\xc2" if options.get("progressive") else b"\xff\xc0"
    at = sent.index(mark) + 5
    sent = sent[:at] + struct.pack(">HH", size[1], size[0]) + sent[at + 4 :]
    return sent[:-2] + sent[sent.rindex(b"\xff\xda") : -2] * scans + sent[-2:]


def webp_of_16_megapixels():
    return written(Image.new("RGBA", (4000, 4000), (200, 20, 20, 90)), "WEBP", lossless=True)


LARGEST = {
    "small": lambda: written(two_halves((3000, 2000))),
    "jpeg": lambda: jpeg_of((16_000, 12_500)),
    "long-jpeg": lambda: jpeg_of((32_000, 6250)),
    "progressive": lambda: jpeg_of((10_000, 10_000), progressive=True),
    "progressive-fine": lambda: jpeg_of((10_000, 5_000), progressive=True, subsampling=0),
    "png": lambda: png((10_000, 6_000), bytes(40_001), depth=8, colour=6),
    "png-16-bit": lambda: png((10_000, 6_000), bytes(80_001), depth=16, colour=6),
    "png-1-bit": lambda: png((10_000, 6_000), bytes(1251)),
    "webp": webp_of_16_megapixels,
    "heic": lambda: write_heic([[RED_TILE] * 16] * 12, (8064, 6048)),
}


def needs_heic():
    if find_spec("pi_heif") is None:
        pytest.skip("without the extra heic")
