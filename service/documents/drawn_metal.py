"""Drawn metal: bars, turned faces and holes as they look under a lamp, for the demo's pictures.

Light falls from the upper left. Coordinates are pixels of the finished picture; all is drawn twice
too large and reduced at the end, so that edges are smooth.
"""

import io
import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter, ImageFont

Colour = tuple[int, int, int]
Point = tuple[float, float]
Box = tuple[float, float, float, float]
Pixels = NDArray[np.float32]

WIDTH, HEIGHT = 1600, 1200
FINE = 2
LAMP = math.radians(225)
"""Where the light comes from, on the screen's compass (y downwards)."""


class Scene:
    """A picture in the making."""

    def __init__(self, ground: Colour, *, grain: float, pattern: int) -> None:
        self.picture = _brushed(ground, (WIDTH * FINE, HEIGHT * FINE), grain=grain, pattern=pattern)

    def lay_bar(self, box: Box, colour: Colour, *, grain: float, pattern: int) -> None:
        """A bar with its shadow, the marks of its making, and broken edges."""
        self.cast_shadow(box, reach=16)
        left, top, right, bottom = _scaled(box)
        bar = _brushed(colour, (right - left, bottom - top), grain=grain, pattern=pattern)
        self.picture.paste(bar, (left, top))
        for step in range(4 * FINE):
            _edge_line(self.picture, (left, top, right, bottom), step, strength=90 - 11 * step)

    def cast_shadow(self, box: Box, *, reach: float, rounded: bool = False) -> None:
        """Darken what lies to the lower right of a thing that stands `reach` high."""
        left, top, right, bottom = _scaled(box)
        step, margin = round(reach * FINE * 0.7), round(reach * FINE * 2.5)
        mask = Image.new("L", (right - left + 2 * margin, bottom - top + 2 * margin))
        draw = ImageDraw.Draw(mask)
        shade = (margin + step, margin + step, mask.width - margin, mask.height - margin)
        (draw.ellipse if rounded else draw.rectangle)(shade, fill=165)
        mask = mask.filter(ImageFilter.GaussianBlur(reach * FINE * 0.6))
        corner = (left - margin + step // 2, top - margin + step // 2)
        self.picture.paste(Image.new("RGB", mask.size, (14, 13, 16)), corner, mask)

    def turn_face(
        self, centre: Point, radius: float, colour: Colour, *, sheen: float, grain: float
    ) -> None:
        """A face turned in the lathe: two bright fans, and the fine rings of the tool."""
        size, across, down, distance = _disc(radius)
        angle = np.arctan2(down, across)
        fans = sheen * np.cos(2 * (angle - LAMP)) ** 3
        noise = np.random.default_rng(int(radius)).standard_normal(size, dtype=np.float32)
        rings = grain * noise[np.minimum(distance.astype(int), size - 1)]
        self._place(_coloured(colour, 60 * fans + rings), centre, _round_mask(size))

    def ring(self, centre: Point, radius: float, thickness: float, colour: Colour) -> None:
        """A rounded ring, such as a fillet of solder."""
        _, across, down, distance = _disc(radius)
        inside = (distance - (radius - thickness) * FINE) / (thickness * FINE)
        towards = np.cos(np.arctan2(down, across) - LAMP)
        tilt = (inside - 0.5) * 2 * towards
        mask = np.where((inside > 0) & (inside < 1), 255, 0).astype(np.uint8)
        self._place(_coloured(colour, 70 * tilt), centre, Image.fromarray(mask, "L"))

    def sink_hole(self, centre: Point, radius: float, wall: Colour) -> None:
        """A hole with a broken edge; the lamp reaches the far wall a little way down."""
        self.ring(centre, radius * 1.12, radius * 0.13, _darkened(wall, 0.95))
        size, across, down, distance = _disc(radius)
        away = -np.cos(np.arctan2(down, across) - LAMP)
        depth = np.clip(distance / (radius * FINE), 0, 1)
        lit = np.clip(away, 0, 1) * depth**5
        shades = np.array(wall, dtype=np.float32) * (0.10 + 0.75 * lit)[..., None]
        self._place(_from_pixels(shades), centre, _round_mask(size))

    def cut_thread(self, centre: Point, radius: float, wall: Colour, *, turns: int) -> None:
        """The crests of a female thread, seen as fine rings down the hole."""
        for turn in range(turns):
            bright = 0.62 - 0.5 * turn / turns
            self.ring(centre, radius * (0.98 - 0.055 * turn), 1.6, _darkened(wall, bright))

    def scribe(self, points: Sequence[Point], colour: Colour, *, width: float) -> None:
        """A line of a given width through `points`."""
        path = [(x * FINE, y * FINE) for x, y in points]
        ImageDraw.Draw(self.picture).line(path, fill=colour, width=round(width * FINE))

    def scribe_circle(self, centre: Point, radius: float, colour: Colour) -> None:
        """A circle struck with dividers."""
        box = _scaled(_around(centre, radius))
        ImageDraw.Draw(self.picture).ellipse(box, outline=colour, width=FINE)

    def tint(
        self, box: Box, colour: Colour, strength: float, *, ragged: float, pattern: int
    ) -> None:
        """A wash of marking-out colour, brushed on by hand."""
        left, top, right, bottom = _scaled(box)
        edge, margin = np.random.default_rng(pattern), round(ragged * FINE * 4)
        mask = Image.new("L", (right - left + 2 * margin, bottom - top + 2 * margin))
        draw = ImageDraw.Draw(mask)
        for y in range(margin, mask.height - margin, 6):
            start, end = edge.normal(0, ragged * FINE, 2)
            stroke = (margin + start, y, mask.width - margin + end, y + 6)
            draw.rectangle(stroke, fill=round(255 * strength))
        mask = mask.filter(ImageFilter.GaussianBlur(4))
        wash = Image.new("RGB", mask.size, colour)
        self.picture.paste(wash, (left - margin, top - margin), mask)

    def engrave(self, place: Point, words: str, colour: Colour, *, size: float) -> None:
        """Figures on a rule."""
        x, y = place
        font = ImageFont.load_default(size * FINE)
        ImageDraw.Draw(self.picture).text((x * FINE, y * FINE), words, fill=colour, font=font)

    def photograph(self) -> bytes:
        """The finished picture as a JPEG, its corners dimmed as a lens dims them."""
        small = self.picture.resize((WIDTH, HEIGHT), Image.Resampling.LANCZOS)
        down, across = np.mgrid[-1 : 1 : HEIGHT * 1j, -1 : 1 : WIDTH * 1j].astype(np.float32)
        light = 1.08 - 0.17 * (down**2 + across**2) - 0.09 * (down + across)
        written = io.BytesIO()
        lit = _from_pixels(np.asarray(small, dtype=np.float32) * light[..., None])
        lit.save(written, "JPEG", quality=88, progressive=True)
        return written.getvalue()

    def _place(self, patch: Image.Image, centre: Point, mask: Image.Image) -> None:
        x, y = centre
        corner = (round(x * FINE - patch.width / 2), round(y * FINE - patch.height / 2))
        self.picture.paste(patch, corner, mask)


def _brushed(colour: Colour, size: tuple[int, int], *, grain: float, pattern: int) -> Image.Image:
    """A surface with the long marks of a file: noise drawn out along the line."""
    width, height = size
    reach = 90
    shape = (height, width + reach)
    noise = np.random.default_rng(pattern).standard_normal(shape, dtype=np.float32)
    summed = np.cumsum(noise, axis=1, out=noise)
    return _coloured(colour, grain * (summed[:, reach:] - summed[:, :-reach]) / math.sqrt(reach))


def _coloured(colour: Colour, shades: Pixels) -> Image.Image:
    """A colour made lighter and darker by `shades`, which are steps of 255."""
    bands = [np.clip(part + shades * (0.4 + part / 255), 0, 255) for part in colour]
    return Image.fromarray(np.stack(bands, axis=-1).astype(np.uint8), "RGB")


def _from_pixels(pixels: Pixels) -> Image.Image:
    return Image.fromarray(np.clip(pixels, 0, 255).astype(np.uint8), "RGB")


def _disc(radius: float) -> tuple[int, Pixels, Pixels, Pixels]:
    """A square about a disc: its side, and each pixel's offsets and distance from the middle."""
    size = 2 * round(radius * FINE)
    down, across = np.mgrid[0:size, 0:size].astype(np.float32) - np.float32((size - 1) / 2)
    return size, across, down, np.hypot(across, down)


def _round_mask(size: int) -> Image.Image:
    mask = Image.new("L", (size, size))
    ImageDraw.Draw(mask).ellipse((0, 0, size - 1, size - 1), fill=255)
    return mask


def _edge_line(
    picture: Image.Image, box: tuple[int, int, int, int], step: int, *, strength: float
) -> None:
    """One line of the broken edge: bright above and left, dark below and right."""
    left, top, right, bottom = box
    sides = (
        ((left + step, top + step, right - step, top + step + 1), strength),
        ((left + step, top + step, left + step + 1, bottom - step), strength),
        ((left + step, bottom - step - 1, right - step, bottom - step), -strength),
        ((right - step - 1, top + step, right - step, bottom - step), -strength),
    )
    for side, change in sides:
        strip = np.asarray(picture.crop(side), dtype=np.float32)
        picture.paste(_from_pixels(strip + change), (side[0], side[1]))


def _darkened(colour: Colour, share: float) -> Colour:
    red, green, blue = colour
    return round(red * share), round(green * share), round(blue * share)


def _around(centre: Point, radius: float) -> Box:
    x, y = centre
    return (x - radius, y - radius, x + radius, y + radius)


def _scaled(box: Box) -> tuple[int, int, int, int]:
    left, top, right, bottom = (round(edge * FINE) for edge in box)
    return left, top, right, bottom
