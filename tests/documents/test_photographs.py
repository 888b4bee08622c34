"""Photographs come out clean, or are refused in a plain sentence.

It is asked of the drawing itself; its limits and its door are in `test_picture_limits`.
"""

import struct
from functools import partial

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageCms, PngImagePlugin

from service.documents.photographs import LONGEST_SIDE, UnusablePicture
from service.documents.picture_drawing import draw_anew
from tests.documents.sent_pictures import (
    BLUE,
    RED,
    SECRET,
    WHITE,
    near,
    png,
    reopened,
    told_exif,
    two_halves,
    written,
)  # fmt: skip

clean_photograph = partial(draw_anew, longest=LONGEST_SIDE)

clean_photograph = partial(draw_anew, longest=LONGEST_SIDE)
# What comes out


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_place_device_and_remarks_are_left_behind(kind):
    remarks = {"comment": SECRET.encode()} if kind == "JPEG" else {}
    if kind == "PNG":
        notes = PngImagePlugin.PngInfo()
        notes.add_text("Comment", SECRET)
        remarks = {"pnginfo": notes}
    sent = written(two_halves(), kind, exif=told_exif(), xmp=f"<x>{SECRET}</x>".encode(), **remarks)
    assert SECRET.encode() in sent

    clean = clean_photograph(sent)

    assert SECRET.encode() not in clean.data
    assert not dict(reopened(clean).getexif())
    assert set(reopened(clean).info) <= {
        *("jfif", "jfif_version", "jfif_unit", "jfif_density", "progressive", "progression")
    }


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_picture_held_sideways_is_stood_upright(kind):
    sideways = written(two_halves(), kind, exif=told_exif(orientation=6))  # turn 90 deg clockwise

    clean = clean_photograph(sideways)

    assert (clean.width, clean.height) == (200, 400)
    assert near(reopened(clean).getpixel((100, 50)), RED)
    assert near(reopened(clean).getpixel((100, 350)), BLUE)


def test_a_large_picture_is_brought_to_2048_pixels_and_is_progressive():
    clean = clean_photograph(written(two_halves((4000, 3000))))

    assert (clean.width, clean.height) == (LONGEST_SIDE, 1536)
    assert (clean.media_type, reopened(clean).info["progressive"]) == ("image/jpeg", 1)
    assert reopened(clean).size == (clean.width, clean.height)


def test_a_small_picture_is_not_blown_up():
    clean = clean_photograph(written(two_halves((64, 48))))

    assert (clean.width, clean.height) == (64, 48)


def test_a_small_picture_keeps_the_shape():
    small = clean_photograph(written(two_halves((1600, 1200))), longest=320)

    assert (small.width, small.height) == (320, 240)


@pytest.mark.parametrize("mode", ["RGBA", "LA", "P"])
def test_what_is_transparent_turns_white(mode):
    clear = Image.new("RGBA", (40, 40), (10, 200, 10, 0)).convert(mode)
    sent = written(clear, "PNG", transparency=clear.getpixel((0, 0)) if mode == "P" else None)

    clean = clean_photograph(sent)

    assert near(reopened(clean).getpixel((20, 20)), WHITE)


def test_a_colour_that_stands_for_nothing_turns_white():
    sent = written(Image.new("RGB", (40, 40), (9, 99, 9)), "PNG", transparency=(9, 99, 9))

    assert near(reopened(clean_photograph(sent)).getpixel((20, 20)), WHITE)


def test_a_sixteen_bit_colour_picture_is_taken():
    """Grey of half the range, two bytes a sample (colour type 2 of the PNG specification)."""
    clean = clean_photograph(png((40, 30), b"\0" + b"\x80\0" * 3 * 40, depth=16, colour=2))

    assert near(reopened(clean).getpixel((20, 20)), (128, 128, 128))


def test_of_a_picture_with_more_behind_it_the_first_is_taken():
    """As phones write them: a preview or a second view behind the photograph (MPO)."""
    sent = written(two_halves(), "MPO", save_all=True, append_images=[two_halves(left=WHITE)])
    assert b"MPF\0" in sent

    assert near(reopened(clean_photograph(sent)).getpixel((100, 100)), RED)


@pytest.mark.parametrize("size", [(9000, 300), (300, 9000), (6145, 410), (4097, 2731), (1, 9000)])
@pytest.mark.parametrize("mode", ["RGB", "P", "LA"])
def test_a_picture_made_smaller_strip_by_strip_shows_what_it_showed(size, mode):
    """Each quarter keeps its colour to its edges, and no seam or line is left out."""
    quarters = Image.new("RGB", size, WHITE)
    for place, colour in (((0, 0), RED), ((size[0] // 2, size[1] // 2), BLUE)):
        quarters.paste(colour, (*place, place[0] + size[0] // 2, place[1] + size[1] // 2))
    sent = quarters.convert(mode, palette=Image.Palette.ADAPTIVE)
    shown = reopened(clean_photograph(written(sent, "PNG")))
    whole = sent.convert("RGB").resize(shown.size, Image.Resampling.BOX)

    longest = max(size)
    wanted = tuple(max(1, round(side * min(1, LONGEST_SIDE / longest))) for side in size)
    assert shown.size == wanted
    worst = [
        max(abs(a - b) for a, b in zip(shown.getpixel(at), whole.getpixel(at), strict=True))
        for at in (
            (x * (shown.width - 1) // 20, y * (shown.height - 1) // 20)
            for x in (0, 1, 4, 7, 13, 16, 19, 20)
            for y in (0, 1, 4, 7, 13, 16, 19, 20)
        )
    ]
    assert max(worst) < 40


@pytest.mark.parametrize("mode", ["1", "L", "I;16", "CMYK"])
def test_pictures_of_every_usual_kind_are_taken(mode):
    grey = Image.new(
        mode, (40, 40), {"I;16": 0x8000, "CMYK": (0, 0, 0, 127), "L": 128}.get(mode, 1)
    )

    clean = clean_photograph(written(grey, "JPEG" if mode == "CMYK" else "PNG"))

    assert near(reopened(clean).getpixel((20, 20)), WHITE if mode == "1" else (128, 128, 128))


def test_colours_follow_the_profile_of_the_camera():
    """A profile whose red and blue primaries are exchanged must turn red to blue."""
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    exchanged = (
        profile.replace(b"rXYZ", b"swap", 1).replace(b"bXYZ", b"rXYZ", 1).replace(b"swap", b"bXYZ")
    )

    clean = clean_photograph(written(Image.new("RGB", (40, 40), RED), icc_profile=exchanged))

    assert near(reopened(clean).getpixel((20, 20)), BLUE)


def test_a_profile_that_cannot_be_read_is_left_aside():
    clean = clean_photograph(written(Image.new("RGB", (40, 40), RED), icc_profile=b"no profile"))

    assert near(reopened(clean).getpixel((20, 20)), RED)


def test_the_same_photograph_gives_the_same_bytes():
    sent = written(two_halves(), exif=told_exif())

    assert clean_photograph(sent) == clean_photograph(sent)


# What is refused


def png_of_400_megapixels():
    """20,000 by 20,000 pixels in some 50 kB."""
    return png((20_000, 20_000), bytes(2501))


def jpeg_that_claims_4000_megapixels():
    sent = written(two_halves())
    size_mark = struct.pack(">HH", 200, 400)
    assert sent.count(size_mark) == 1
    return sent.replace(size_mark, struct.pack(">HH", 65_000, 65_000))


def webp_that_claims_268_megapixels():
    canvas = (16_383).to_bytes(3, "little") * 2
    body = b"WEBPVP8X" + struct.pack("<I", 10) + b"\x02\0\0\0" + canvas + bytes(200)
    return b"RIFF" + struct.pack("<I", len(body)) + body


@pytest.mark.parametrize(
    "bomb",
    [png_of_400_megapixels, jpeg_that_claims_4000_megapixels, webp_that_claims_268_megapixels],
)
def test_a_bomb_is_refused_at_once_by_its_header(bomb):
    with pytest.raises(UnusablePicture, match="at most") as refusal:
        clean_photograph(bomb())

    assert refusal.value.code == "picture-too-large"
    assert "32768 pixels along one side" in refusal.value.message


def test_a_picture_just_above_the_limit_is_refused_without_a_warning():
    """From 89 megapixels the picture library would warn, and here a warning is an error."""
    sent = written(Image.new("1", (10_000, 9_500)), "PNG")

    with pytest.raises(UnusablePicture, match=r"95\.0 megapixels"):
        clean_photograph(sent)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_a_picture_cut_short_is_refused(kind, share):
    noisy = Image.effect_noise((300, 300), 80).convert("RGB")
    sent = written(noisy, kind)

    with pytest.raises(UnusablePicture, match="damaged or was cut short") as refusal:
        clean_photograph(sent[: int(len(sent) * share)])

    assert refusal.value.code == "picture-damaged"


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_a_moving_picture_is_refused(kind):
    sent = written(two_halves(), kind, save_all=True, append_images=[two_halves(left=WHITE)])

    with pytest.raises(UnusablePicture, match="Send a still photograph"):
        clean_photograph(sent)


@pytest.mark.parametrize(
    "sent",
    [
        b"",
        b"hello",
        b"%PDF-1.7 not a picture",
        b"<svg xmlns='http://www.w3.org/2000/svg'/>",
        written(two_halves(), "GIF"),
        written(two_halves(), "BMP"),
        written(two_halves(), "TIFF"),
    ],
)
def test_anything_else_is_refused_and_told_what_would_do(sent):
    with pytest.raises(UnusablePicture, match="not a JPEG, PNG, WebP or HEIC") as refusal:
        clean_photograph(sent)

    assert (refusal.value.code, refusal.value.field) == ("picture-kind", "picture")


SENT = [
    written(two_halves((60, 40)), "JPEG", exif=told_exif(orientation=3)),
    written(two_halves((60, 40)), "PNG", exif=told_exif(orientation=3)),
    written(two_halves((60, 40)), "WEBP", exif=told_exif(orientation=3)),
]


@settings(max_examples=300, deadline=None)
@given(
    sent=st.sampled_from(SENT),
    changes=st.lists(st.tuples(st.floats(0, 0.999), st.integers(0, 255)), max_size=8),
    kept=st.floats(0.05, 1),
)
def test_damaged_bytes_give_a_clean_picture_or_a_refusal_and_nothing_else(sent, changes, kept):
    damaged = bytearray(sent)
    for place, byte in changes:
        damaged[int(place * len(damaged))] = byte

    try:
        clean = clean_photograph(bytes(damaged[: int(len(damaged) * kept)]))
    except UnusablePicture:
        return

    assert reopened(clean).size == (clean.width, clean.height)
