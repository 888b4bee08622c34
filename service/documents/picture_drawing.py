"""Drawing a picture anew, in a process of its own: `photographs` runs this file as a program.

What is sent may be made to harm: a small file that unpacks to gigabytes, one that takes hours to
read, one that brings a decoder down. So it is read by a process that may have no more than so much
memory and time, and that ends with the picture and gives all of it back. The program imports
nothing of the service.

Place, time, device, embedded previews and colour profiles stay behind. A size is read from the
header before a point is decoded; the reader is picked by the file's first bytes and used directly,
because Pillow's general `open` only *warns* of a huge picture. After decoding, the picture is made
smaller strip by strip, so that no second copy of it is ever held.
"""

import io
import json
import struct
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from PIL import Image, ImageCms, ImageOps
from PIL.JpegImagePlugin import JpegImageFile
from PIL.PngImagePlugin import PngImageFile
from PIL.WebPImagePlugin import WebPImageFile

QUALITY = 82
LONGEST_SENT = 32_768  # points along one side; a phone's panorama has some 20,000
MEMORY = 400 * 2**20  # bytes of the process's own; the largest that are let through take 330
SECONDS = 30  # of a processor; the largest that are let through take 3
MOST_SCANS = 100  # of a JPEG: a usual progressive one has ten, and each costs the whole picture
TOO_MUCH = "The picture takes too much to read. Save it smaller, as a JPEG, and send that."

MOST_PIXELS = {
    "JPEG": 200_000_000,
    "progressive JPEG": 100_000_000,
    "PNG": 60_000_000,
    "WebP": 16_000_000,
    "HEIC": 50_000_000,
}
"""What each kind may measure, by the memory it takes to be decoded.

A JPEG is decoded at an eighth to a half of its size; a progressive one is held whole, at two bytes
a sample. WebP is held five times over by its reader.
"""
_SAMPLES = 150_000_000  # of a progressive JPEG: 100 megapixels with colours at half the size
DAMAGED = "The picture is damaged or was cut short on its way. Send the whole file again."
_STRIP = 1_000_000  # points made smaller at a time
_WHITE = (255, 255, 255, 255)
_DAMAGE = (
    *(OSError, SyntaxError, ValueError, TypeError, LookupError, EOFError, ArithmeticError),
    RuntimeError,  # as of the reader of HEIC
    struct.error,
    UserWarning,  # a reader's doubts about the camera's notes, where warnings are made errors
)


class UnusablePicture(Exception):
    """These bytes are not a photograph we can keep; the sentence says what would be right."""

    def __init__(self, message: str, *, code: str) -> None:
        super().__init__(message)
        self.message = message
        self.field = "picture"
        self.code = code


@dataclass(frozen=True, slots=True)
class CleanPicture:
    """A picture that may be kept and shown."""

    data: bytes
    media_type: str
    width: int  # [pixel]
    height: int  # [pixel]


def draw_anew(data: bytes, *, longest: int) -> CleanPicture:
    """The picture upright, in sRGB on white, at most `longest` points long, all metadata dropped.

    Raises `UnusablePicture` for anything but a whole, still JPEG, PNG, WebP or HEIC within limits.
    """
    with _damage_told():
        image = _small_heic(data, longest) if _is_heic(data) else _small_usual(data, longest)
        return _encode(_in_srgb(image))


def _small_usual(data: bytes, longest: int) -> Image.Image:
    with _open(data) as image:
        _require_still(image)
        # An eighth, a quarter or a half of a JPEG costs a fraction of it to decode.
        image.draft(None, _fit(image.size, longest))
        image.load()
        strips = (image.crop((0, y, image.width, y + rows)) for y, rows in _cuts(image, longest))
        return _upright(_join(strips, image.size, longest, image.info))


def _open(data: bytes) -> Any:
    if data.startswith(b"\xff\xd8\xff"):
        return _open_jpeg(data)
    if data.startswith(b"\x89PNG\r\n\x1a\n"):
        image = PngImageFile(io.BytesIO(data))
        _require_bounded("PNG", image.size)
        return image
    if data.startswith(b"RIFF") and data[8:12] == b"WEBP":
        _require_bounded("WebP", _webp_size(data))  # its reader claims the whole canvas at once
        return WebPImageFile(io.BytesIO(data))
    raise UnusablePicture(
        "This is not a JPEG, PNG, WebP or HEIC picture. Save the photograph as a JPEG and send "
        "that.",
        code="picture-kind",
    )


def _open_jpeg(data: bytes) -> JpegImageFile:
    image = JpegImageFile(io.BytesIO(data))
    if data.count(b"\xff\xda") > MOST_SCANS:
        raise UnusablePicture(TOO_MUCH, code="picture-too-large")
    if _is_in_one_scan(image, data):
        _require_bounded("JPEG", image.size)
    else:
        parts = [across * down for _, across, down, _ in image.layer]  # of each colour, in a block
        _require_bounded("progressive JPEG", image.size, int(_SAMPLES * max(parts) / sum(parts)))
    return image


def _is_in_one_scan(image: JpegImageFile, data: bytes) -> bool:
    """Whether the first scan brings every colour whole (ITU-T T.81, B.2.3); the reader is past it.

    Otherwise the decoder holds the whole picture until the last scan, whatever size is asked for.
    """
    colours = len(image.layer)
    head = b"\xff\xda" + struct.pack(">HB", 6 + 2 * colours, colours)
    before = image.fp.tell() - 8 - 2 * colours  # type: ignore[union-attr]
    return data.startswith(head, before) and not image.info.get("progressive")


def _webp_size(data: bytes) -> tuple[int, int]:
    """The canvas a WebP header declares (RFC 9649, sections 2.5 to 2.7)."""
    kind = data[12:16]
    if kind == b"VP8X":
        width, height = (int.from_bytes(data[at : at + 3], "little") for at in (24, 27))
        return width + 1, height + 1
    if kind == b"VP8L":
        (bits,) = struct.unpack_from("<I", data, 21)
        return (bits & 0x3FFF) + 1, (bits >> 14 & 0x3FFF) + 1
    width, height = struct.unpack_from("<HH", data, 26)
    return width & 0x3FFF, height & 0x3FFF


def _require_bounded(kind: str, size: tuple[int, int], most: int | None = None) -> None:
    width, height = size
    most = min(most or MOST_PIXELS[kind], MOST_PIXELS[kind])
    if width * height > most or max(size) > LONGEST_SENT:
        raise UnusablePicture(
            f"The picture measures {width} by {height} pixels, {width * height / 1e6:.1f} "
            f"megapixels. A {kind} may have at most {most // 1_000_000} megapixels, and at most "
            f"{LONGEST_SENT} pixels along one side.",
            code="picture-too-large",
        )


def _require_still(image: Any) -> None:
    if getattr(image, "is_animated", False):
        raise UnusablePicture(
            "This is a moving picture. Send a still photograph.", code="picture-moving"
        )


@contextmanager
def _damage_told() -> Iterator[None]:
    """Turn every way in which a reader gives up into one plain refusal."""
    try:
        yield
    except _DAMAGE:
        raise UnusablePicture(DAMAGED, code="picture-damaged") from None


def _is_heic(data: bytes) -> bool:
    """Whether one of the brands of an ISO base media file is that of HEVC pictures."""
    end = min(int.from_bytes(data[:4]), 256)
    brands = {data[at : at + 4] for at in (8, *range(16, end, 4))}
    return data[4:8] == b"ftyp" and not brands.isdisjoint({b"heic", b"heix", b"heim", b"heis"})


def _small_heic(data: bytes, longest: int) -> Image.Image:
    try:
        import pi_heif
    except ImportError:
        raise UnusablePicture(
            "This is a HEIC picture, which this installation cannot read. Save the photograph as "
            "a JPEG and send that.",
            code="picture-kind",
        ) from None
    for option in ("THUMBNAILS", "DEPTH_IMAGES", "AUX_IMAGES"):
        setattr(pi_heif.options, option, False)
    pi_heif.options.DECODE_THREADS = 1
    _require_whole(data)
    image = pi_heif.open_heif(io.BytesIO(data), remove_stride=False)
    _require_bounded("HEIC", image.size)
    points: Any = memoryview(image.data)
    stride, mode = image.stride, image.mode
    _require_bounded("HEIC", image.size)  # what was decoded may measure more than was declared
    width = image.size[0]
    strips = (
        Image.frombuffer(
            mode, (width, rows), points[y * stride : (y + rows) * stride], "raw", mode, stride, 1
        )
        for y, rows in _cuts(image, longest)
    )
    # Its reader has turned it upright; what the camera noted of that no longer holds.
    profile = {name: image.info[name] for name in ("icc_profile",) if name in image.info}
    return _join(strips, image.size, longest, profile)


def _require_whole(data: bytes) -> None:
    """Refuse a file that ends before its last box does: its reader would leave tiles grey."""
    at = 0
    while at < len(data):
        size, _ = struct.unpack_from(">I4s", data, at)
        if size == 1:  # the size stands behind the name
            (size,) = struct.unpack_from(">Q", data, at + 8)
        at += max(size, 8) if size else len(data)  # none: to the end of the file
    if at > len(data) and size:
        raise EOFError


def _fit(size: tuple[int, int], longest: int) -> tuple[int, int]:
    """The size of the same shape, no more than `longest` along its longer side."""
    share = min(1.0, longest / max(size))
    return max(1, round(size[0] * share)), max(1, round(size[1] * share))


def _step(size: tuple[int, int], longest: int) -> int:
    """How many points along a side are averaged to one, before the last finer change of size."""
    return max(1, 2 * max(size) // (3 * longest))


def _cuts(image: Any, longest: int) -> Iterator[tuple[int, int]]:
    """Where each strip begins, and its rows: a whole number of steps, but for the last."""
    width, height = image.size
    step = _step(image.size, longest)
    rows = max(1, _STRIP // width // step) * step
    for y in range(0, height, rows):
        yield y, min(rows, height - y)


def _join(
    strips: Iterator[Image.Image], size: tuple[int, int], longest: int, info: dict[Any, Any]
) -> Image.Image:
    """The strips, each reduced, one below the other; then the whole at its last size."""
    step, joined, y = _step(size, longest), None, 0
    for strip in strips:
        part = _on_white(strip).reduce(step)
        if joined is None:
            joined = Image.new(part.mode, (part.width, -(-size[1] // step)))
        joined.paste(part, (0, y))
        y += part.height
    if joined is None:
        raise ValueError("a picture without rows")
    joined.info = dict(info)
    true = (0, 0, size[0] / step, size[1] / step)  # what is left over counts as much as it shows
    return joined.resize(_fit(size, longest), Image.Resampling.LANCZOS, true)


def _on_white(image: Image.Image) -> Image.Image:
    if image.mode == "I;16":
        image = image.point(lambda level: level * (1 / 256)).convert("L")
    elif image.mode in ("1", "P", "PA") or "transparency" in image.info:
        image = image.convert("RGBA")  # palettes and colour keys do not survive a change of size
    if image.mode in ("L", "RGB", "CMYK"):
        return image
    drawn = image.convert("RGBA")
    ground = Image.new("RGBA", drawn.size, _WHITE)
    ground.alpha_composite(drawn)
    return ground.convert("RGB")


def _upright(image: Image.Image) -> Image.Image:
    try:
        return ImageOps.exif_transpose(image)
    except _DAMAGE:
        return image  # an unreadable note about the camera is no reason to refuse the picture


def _in_srgb(image: Image.Image) -> Image.Image:
    profile = image.info.get("icc_profile")
    if profile:
        try:
            return _convert_colours(image, profile)
        except (ImageCms.PyCMSError, *_DAMAGE):
            pass  # the profile cannot be read or is for other inks: take the colours as they are
    return image.convert("RGB")


def _convert_colours(image: Image.Image, profile: bytes) -> Image.Image:
    converted = ImageCms.profileToProfile(
        image,
        ImageCms.ImageCmsProfile(io.BytesIO(profile)),
        ImageCms.createProfile("sRGB"),
        outputMode="RGB",
    )
    if converted is None:  # only an in-place conversion gives none
        raise ValueError("no converted picture")
    return converted


def _encode(image: Image.Image) -> CleanPicture:
    image.info = {}  # the writer would copy a comment from here
    written = io.BytesIO()
    image.save(written, "JPEG", quality=QUALITY, progressive=True)
    return CleanPicture(written.getvalue(), "image/jpeg", image.width, image.height)


def run(longest: int) -> None:
    """Read a picture from standard input; write a line of what it is, then its bytes."""
    _bound_process()
    told: dict[str, Any]
    data = b""
    try:
        clean = draw_anew(sys.stdin.buffer.read(), longest=longest)
        told = {name: getattr(clean, name) for name in ("media_type", "width", "height")}
        data = clean.data
    except UnusablePicture as refusal:
        told = {"message": refusal.message, "code": refusal.code}
    except MemoryError:
        told = {"message": TOO_MUCH, "code": "picture-too-large"}
    sys.stdout.buffer.write(json.dumps(told).encode() + b"\n" + data)


def _bound_process() -> None:
    """Take no more than so much memory and time, where the system can be asked to see to it."""
    if sys.platform == "win32":
        return
    import resource

    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS + 5))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    if sys.platform == "linux":
        resource.setrlimit(resource.RLIMIT_DATA, (MEMORY, MEMORY))


if __name__ == "__main__":
    run(int(sys.argv[1]))
