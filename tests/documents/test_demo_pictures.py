"""The drawn pictures can stand for photographs."""

import io

import pytest
from PIL import Image

from service.documents.demo_pictures import draw_block_picture, draw_boiler_picture
from service.documents.photographs import clean_photograph


@pytest.mark.parametrize(
    ("draw", "metal", "hole"),
    [(draw_block_picture, (700, 380), (800, 510)), (draw_boiler_picture, (700, 600), (790, 780))],
)
def test_a_drawn_picture_passes_as_a_photograph_and_is_the_same_each_time(draw, metal, hole):
    drawn = draw()
    clean = clean_photograph(drawn)
    picture = Image.open(io.BytesIO(clean.data))
    red, green, blue = picture.getpixel(metal)

    assert (clean.width, clean.height) == (1600, 1200)
    assert len(clean.data) < 1_000_000
    assert red > green > blue, "brass and copper are warm metals"
    assert max(picture.getpixel(hole)) < 60
    assert draw() == drawn
