"""HEIC pictures as phones write them: a grid of tiles, turned by a property, with notes beside it.

Only the tiles' HEVC data is encoded elsewhere: two plain ones, 512 points square. The boxes around
them are those of ISO/IEC 14496-12 and 23008-12 (from memory).
"""

import base64
import struct

TILE = 512
DECODER = base64.b85decode(
    "0RwOV0058x00000TJQk;{rLC*01pFT0096PKmiN^|NjGU00093kN^M!00093TDk&2VE_RDD?$MQ18@KU0|1Z!00RI3"
    "0{~i}1OfnnS#G3~n&#jkpum6t01SWt00RJoVgLaE2SfqEa<F1R"
)
_PLAIN = base64.b85decode(
    "r1WuvI~X&QigY4`I;8*r0{{R60009300RI30{{RLkN{;;^-2H$0{{R60009300RI30{{R60009300q1N00RI30{{"
    "R60009300RI30{{R6000930k;4E0{{R60009300RI30{{R6000930cQXJ0{{R60009300RI30{{R6000968UO$T0"
    "009300RI30{{R6000930C~Uw00RI30{{R60009300RI30{{f<0009300RI30{{R60009300RINPy"
)
RED = base64.b85decode("0002xC;_ho@dm-xmswRHK{9FE|H~u)|N7A%W&OS3") + _PLAIN
BLUE = base64.b85decode("0002xC;_ho@dm-xmswRHK{9FE|KVZ(<bRmNfB(gy") + _PLAIN


def box(kind: bytes, *parts: bytes) -> bytes:
    data = b"".join(parts)
    return struct.pack(">I", 8 + len(data)) + kind + data


def full(kind: bytes, *parts: bytes, version: int = 0, flags: int = 0) -> bytes:
    return box(kind, struct.pack(">I", version << 24 | flags), *parts)


def write_heic(
    rows: list[list[bytes]],
    size: tuple[int, int] | None = None,
    *,
    turns: int = 0,
    exif: bytes = b"",
    profile: bytes = b"",
    brands: bytes = b"heic\0\0\0\0mif1heic",
) -> bytes:
    """A picture of tiles, shown `size` large, turned `turns` quarters against the clock."""
    width, height = size or (len(rows[0]) * TILE, len(rows) * TILE)
    grid = struct.pack(">BBBBHH", 0, 0, len(rows) - 1, len(rows[0]) - 1, width, height)
    if max(width, height) > 65535:
        grid = struct.pack(">BBBBII", 0, 1, len(rows) - 1, len(rows[0]) - 1, width, height)
    tiles = [tile for row in rows for tile in row]
    items = [(b"grid", grid), *((b"hvc1", tile) for tile in tiles)]
    if exif:
        items.append((b"Exif", bytes(4) + exif))
    properties = [
        box(b"hvcC", DECODER),
        full(b"ispe", struct.pack(">II", TILE, TILE)),
        full(b"ispe", struct.pack(">II", width, height)),
        box(b"irot", bytes([turns])),
        full(b"pixi", b"\3\x08\x08\x08"),
    ]
    of_grid = [3, 5, 0x84]
    if profile:
        properties.append(box(b"colr", b"prof", profile))
        of_grid.insert(2, 6)
    of_items = [of_grid, *([0x81, 2] for _ in tiles)]
    links = full(b"iref", _link(b"dimg", 1, range(2, 2 + len(tiles))),
                 _link(b"cdsc", len(items), [1]) if exif else b"")  # fmt: skip
    inside = [
        full(b"hdlr", bytes(4), b"pict", bytes(13)),
        full(b"pitm", struct.pack(">H", 1)),
        full(b"iinf", struct.pack(">H", len(items)), *(
            full(b"infe", struct.pack(">HH", number, 0), kind, b"\0", version=2)
            for number, (kind, _) in enumerate(items, 1))),
        links,
        box(b"iprp", box(b"ipco", *properties), full(b"ipma", struct.pack(">I", len(of_items)), *(
            struct.pack(">HB", number, len(those)) + bytes(those)
            for number, those in enumerate(of_items, 1)))),
    ]  # fmt: skip
    start = box(b"ftyp", brands)
    places = _places(items, 0)  # of the same length wherever the data will lie
    at = len(start) + len(full(b"meta", *inside, places)) + 8
    return b"".join(
        (start, full(b"meta", *inside, _places(items, at)), box(b"mdat", *(d for _, d in items)))
    )


def _link(kind: bytes, source: int, targets: object) -> bytes:
    those = list(targets)  # type: ignore[call-overload]
    return box(kind, struct.pack(f">HH{len(those)}H", source, len(those), *those))


def _places(items: list[tuple[bytes, bytes]], at: int) -> bytes:
    entries = []
    for number, (_, data) in enumerate(items, 1):
        entries.append(struct.pack(">HHHII", number, 0, 1, at, len(data)))
        at += len(data)
    return full(b"iloc", b"\x44\0", struct.pack(">H", len(items)), *entries)
