"""Two drawn pictures for the demonstration, in place of photographs. The same bytes each time."""

import math

import numpy as np

from service.documents.drawn_metal import WIDTH, Colour, Point, Scene

BRASS: Colour = (206, 166, 88)
BRONZE: Colour = (184, 134, 78)
COPPER: Colour = (200, 122, 90)
PICKLED_COPPER: Colour = (206, 140, 112)
IRON: Colour = (92, 97, 100)
STEEL: Colour = (158, 163, 166)
BRIGHT_STEEL: Colour = (196, 199, 198)
SILVER: Colour = (182, 178, 166)
DYE: Colour = (44, 62, 128)
SCRIBED: Colour = (226, 222, 200)
BLACK: Colour = (24, 25, 27)
OAK: Colour = (126, 92, 62)

INCH = 411.0
"""So many pixels to the inch in the picture of the block."""


def draw_block_picture() -> bytes:
    """A 7/8 in brass block in the machine vice, from above: three outlets drilled, two marked."""
    scene = Scene(IRON, grain=7, pattern=1)
    scene.lay_bar((-40, 52, WIDTH + 40, 84), BLACK, grain=2, pattern=2)  # a slot of the table
    for number, top in enumerate((112, 690)):
        scene.lay_bar((60, top, 1540, top + 218), STEEL, grain=9, pattern=10 + number)
        _draw_jaw_screws(scene, top + 109)
    scene.lay_bar((100, 330, 1500, 690), BRASS, grain=11, pattern=3)
    _mark_out(scene, middle=510)
    _draw_outlets(scene, middle=510)
    _scatter_swarf(scene)
    _lay_rule(scene, top=1010)
    return scene.photograph()


def draw_boiler_picture() -> bytes:
    """The back head of a small copper boiler: bronze bushes, silver-soldered and pickled clean."""
    scene = Scene(OAK, grain=13, pattern=7)
    for joint in (190, 640, 1075):
        scene.scribe([(0, joint), (WIDTH, joint + 4)], (58, 40, 28), width=4)
    middle = (800.0, 600.0)
    scene.cast_shadow((290, 90, 1310, 1110), reach=46, rounded=True)
    scene.turn_face(middle, 510, COPPER, sheen=0.9, grain=7)
    scene.ring(middle, 510, 18, COPPER)
    scene.turn_face(middle, 470, PICKLED_COPPER, sheen=0.35, grain=4)
    scene.ring(middle, 484, 22, SILVER)
    _draw_flue(scene, (800, 790), 150)
    for centre, radius in _BUSHES:
        _draw_bush(scene, centre, radius)
    for centre in _STAYS:
        _draw_stay(scene, centre)
    return scene.photograph()


_BUSHES: tuple[tuple[Point, float], ...] = (
    ((800, 255), 66),  # regulator
    ((1085, 440), 46),  # water gauge, steam end
    ((1085, 700), 46),  # water gauge, water end
    ((505, 560), 50),  # feed
    ((800, 1012), 34),  # blowdown
)
_STAYS: tuple[Point, ...] = ((640, 430), (960, 430), (585, 880), (1015, 880), (800, 520))


# The block


def _draw_jaw_screws(scene: Scene, middle: float) -> None:
    for x in (260, 1340):
        scene.sink_hole((x, middle), 46, STEEL)
        scene.turn_face((x, middle), 40, IRON, sheen=0.7, grain=5)
        corners = [
            (x + 19 * math.cos(turn), middle + 19 * math.sin(turn))
            for turn in (math.pi / 3 * step + 0.3 for step in range(8))
        ]
        scene.scribe(corners, BLACK, width=9)
        scene.turn_face((x, middle), 16, BLACK, sheen=0.1, grain=1)


def _mark_out(scene: Scene, *, middle: float) -> None:
    scene.tint((150, middle - 96, 1450, middle + 96), DYE, 0.86, ragged=14, pattern=4)
    scene.scribe([(100, middle), (1500, middle)], SCRIBED, width=1.5)
    for x in _outlet_places():
        scene.scribe([(x, middle - 128), (x, middle + 128)], SCRIBED, width=1.5)


def _draw_outlets(scene: Scene, *, middle: float) -> None:
    drilled = 7 / 32 * INCH / 2
    for number, x in enumerate(_outlet_places()):
        if number < 3:
            scene.turn_face((x, middle), drilled * 1.3, BRASS, sheen=0.5, grain=9)
            scene.sink_hole((x, middle), drilled, BRASS)
        else:
            scene.scribe_circle((x, middle), drilled, SCRIBED)
            scene.sink_hole((x, middle), 5, BRASS)


def _outlet_places() -> list[float]:
    """Five outlets 5/8 in apart about the middle of the bar."""
    return [800 + 5 / 8 * INCH * (number - 2) for number in range(5)]


def _scatter_swarf(scene: Scene) -> None:
    fall = np.random.default_rng(5)
    for _ in range(150):
        x, y = fall.normal(560, 330), fall.normal(560, 150)
        if not 345 < y < 990 or any(
            math.hypot(x - hole, y - 510) < 75 for hole in _outlet_places()
        ):
            continue
        start, bend, size = fall.uniform(0, 6.3), fall.uniform(1.5, 4), fall.uniform(4, 11)
        curl = [
            (
                x + size * (1 - step / 14) * math.cos(start + bend * step / 6),
                y + size * (1 - step / 14) * math.sin(start + bend * step / 6),
            )
            for step in range(9)
        ]
        scene.scribe([(a + 2, b + 3) for a, b in curl], (40, 32, 22), width=2.5)
        scene.scribe(curl, (238, 208, 134), width=2)


def _lay_rule(scene: Scene, *, top: float) -> None:
    """A steel rule in 1/32 in, at the true size of the block."""
    scene.lay_bar((70, top, WIDTH + 60, top + 130), BRIGHT_STEEL, grain=5, pattern=6)
    for tick in range(120):
        x = 92 + tick * INCH / 32
        length = 62 if tick % 32 == 0 else 46 if tick % 16 == 0 else 34 if tick % 4 == 0 else 22
        scene.scribe([(x, top + 5), (x, top + 5 + length)], BLACK, width=2)
    for inch in range(1, 4):
        scene.engrave((92 + inch * INCH + 8, top + 52), str(inch), BLACK, size=44)


# The boiler


def _draw_flue(scene: Scene, centre: Point, radius: float) -> None:
    scene.ring(centre, radius + 20, 22, SILVER)
    scene.turn_face(centre, radius + 4, COPPER, sheen=0.8, grain=6)
    scene.sink_hole(centre, radius - 8, COPPER)


def _draw_bush(scene: Scene, centre: Point, radius: float) -> None:
    scene.cast_shadow(
        (centre[0] - radius, centre[1] - radius, centre[0] + radius, centre[1] + radius),
        reach=9,
        rounded=True,
    )
    scene.ring(centre, radius * 1.22, radius * 0.26, SILVER)
    scene.turn_face(centre, radius, BRONZE, sheen=0.95, grain=8)
    scene.ring(centre, radius, radius * 0.07, BRONZE)
    scene.sink_hole(centre, radius * 0.56, BRONZE)
    scene.cut_thread(centre, radius * 0.56, BRONZE, turns=6)


def _draw_stay(scene: Scene, centre: Point) -> None:
    scene.ring(centre, 27, 12, SILVER)
    scene.turn_face(centre, 17, BRONZE, sheen=0.8, grain=6)
