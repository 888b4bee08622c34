"""HEIC, as phones write it, is taken where the extra for it is installed."""

from functools import partial
from importlib.util import find_spec

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import ImageCms

from service.documents import photographs
from service.documents.photographs import LONGEST_SIDE, UnusablePicture
from service.documents.picture_drawing import draw_anew
from tests.documents.heic import BLUE as BLUE_TILE
from tests.documents.heic import RED as RED_TILE
from tests.documents.heic import write_heic
from tests.documents.sent_pictures import (
    BLUE,
    RED,
    SECRET,
    near,
    needs_heic,
    reopened,
    told_exif,
)  # fmt: skip

clean_photograph = partial(draw_anew, longest=LONGEST_SIDE)


def test_heic_is_taken_or_told_that_it_cannot_be_here():
    sent = write_heic([[RED_TILE, BLUE_TILE]])
    if find_spec("pi_heif") is None:
        with pytest.raises(UnusablePicture, match="HEIC picture, which this inst") as refusal:
            clean_photograph(sent)
        assert refusal.value.code == "picture-kind"
    else:
        clean = clean_photograph(sent)
        assert (clean.width, clean.height) == (1024, 512)
        assert near(reopened(clean).getpixel((100, 100)), RED)
        assert near(reopened(clean).getpixel((900, 400)), BLUE)


@pytest.mark.parametrize(
    ("turns", "first", "last"), [(0, RED, BLUE), (1, BLUE, RED), (2, BLUE, RED), (3, RED, BLUE)]
)
@pytest.mark.parametrize("noted", [1, 3, 6, 8])
def test_heic_stands_as_its_turn_says_whatever_the_camera_noted(turns, first, last, noted):
    """Left red and right blue, turned a quarter against the clock: above blue, below red."""
    needs_heic()
    exif = told_exif(orientation=noted).tobytes()
    sent = write_heic([[RED_TILE, BLUE_TILE]], turns=turns, exif=exif)
    assert SECRET.encode() in sent
    clean = clean_photograph(sent)
    shown = reopened(clean)

    assert shown.size == ((1024, 512) if turns % 2 == 0 else (512, 1024))
    assert near(shown.getpixel((20, 20)), first)
    assert near(shown.getpixel((shown.width - 20, shown.height - 20)), last)
    assert SECRET.encode() not in clean.data
    assert not dict(shown.getexif())


def test_the_colours_of_heic_follow_its_profile():
    needs_heic()
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    exchanged = (
        profile.replace(b"rXYZ", b"swap", 1).replace(b"bXYZ", b"rXYZ", 1).replace(b"swap", b"bXYZ")
    )

    clean = clean_photograph(write_heic([[RED_TILE]], profile=exchanged))

    assert near(reopened(clean).getpixel((20, 20)), BLUE)


def test_heic_that_measures_too_much_is_refused_by_its_header():
    needs_heic()
    with pytest.raises(UnusablePicture, match="A HEIC may have at most 50 megapixels") as refusal:
        clean_photograph(write_heic([[RED_TILE] * 16] * 13, (8192, 6400)))

    assert refusal.value.code == "picture-too-large"


@pytest.mark.parametrize("share", [0.2, 0.5, 0.9])
def test_heic_cut_short_is_refused(share):
    needs_heic()
    sent = write_heic([[RED_TILE, BLUE_TILE]] * 4)

    with pytest.raises(UnusablePicture, match="damaged or was cut short"):
        clean_photograph(sent[: int(len(sent) * share)])


def test_what_is_in_the_same_kind_of_box_and_no_heic_is_not_taken_for_one():
    for brands in (b"isom\0\0\0\0mp42", b"avif\0\0\0\0mif1avif", b"qt  \0\0\0\0"):
        with pytest.raises(UnusablePicture, match="not a JPEG, PNG, WebP or HEIC"):
            clean_photograph(write_heic([[RED_TILE]], brands=brands))


@settings(max_examples=40, deadline=None)
@given(
    changes=st.lists(st.tuples(st.floats(0, 0.999), st.integers(0, 255)), max_size=8),
    kept=st.floats(0.05, 1),
)
def test_damaged_heic_gives_a_clean_picture_or_a_refusal_at_the_door(changes, kept):
    """Through the door: what breaks its reader breaks a process that is no loss."""
    needs_heic()
    damaged = bytearray(write_heic([[RED_TILE, BLUE_TILE]], exif=told_exif().tobytes()))
    for place, byte in changes:
        damaged[int(place * len(damaged))] = byte
    try:
        clean = photographs.clean_photograph(bytes(damaged[: int(len(damaged) * kept)]))
    except UnusablePicture:
        return

    assert reopened(clean).size == (clean.width, clean.height)
