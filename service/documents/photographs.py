"""Photographs: whatever a phone sends becomes a plain, upright, bounded JPEG that tells no tales.

A picture is drawn anew: place, time, device, embedded previews and colour profiles stay behind.
Its size is read from its header before a pixel is decoded. The reader is picked by the file's
first bytes and used directly, because Pillow's general `open` only *warns* of a huge picture, and
a warning filter cannot be set for one thread alone.
"""

import io
import struct
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from PIL import Image, ImageCms, ImageOps
from PIL.ImageFile import ImageFile
from PIL.JpegImagePlugin import JpegImageFile
from PIL.PngImagePlugin import PngImageFile
from PIL.WebPImagePlugin import WebPImageFile

MOST_PIXELS = 60_000_000
LONGEST_SIDE = 2048
QUALITY = 82

_WHITE = (255, 255, 255, 255)
_DAMAGE = (
    *(OSError, SyntaxError, ValueError, TypeError, LookupError, EOFError, OverflowError),
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


def clean_photograph(data: bytes, *, longest: int = LONGEST_SIDE) -> CleanPicture:
    """The picture upright, in sRGB on white, at most `longest` pixels long, all metadata dropped.

    Raises `UnusablePicture` for anything but a whole, still JPEG, PNG or WebP of 60 megapixels.
    """
    with _damage_told(), _open(data) as image:
        _require_bounded(image.size)
        _require_still(image)
        return _encode(_in_srgb(_on_white(_upright(_shrunk(image, longest)))))


def _open(data: bytes) -> ImageFile:
    if data.startswith(b"\xff\xd8\xff"):
        return JpegImageFile(io.BytesIO(data))
    if data.startswith(b"\x89PNG\r\n\x1a\n"):
        return PngImageFile(io.BytesIO(data))
    if data.startswith(b"RIFF") and data[8:12] == b"WEBP":
        _require_bounded(_webp_size(data))  # its reader claims the whole canvas when it opens
        return WebPImageFile(io.BytesIO(data))
    raise UnusablePicture(
        "This is not a JPEG, PNG or WebP picture. Save the photograph as a JPEG and send that.",
        code="picture-kind",
    )


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


def _require_bounded(size: tuple[int, int]) -> None:
    width, height = size
    if width * height > MOST_PIXELS:
        raise UnusablePicture(
            f"The picture measures {width} by {height} pixels, {width * height / 1e6:.0f} "
            f"megapixels. Send one of at most {MOST_PIXELS // 1_000_000} megapixels.",
            code="picture-too-large",
        )


def _require_still(image: ImageFile) -> None:
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
        raise UnusablePicture(
            "The picture is damaged or was cut short on its way. Send the whole file again.",
            code="picture-damaged",
        ) from None


def _shrunk(image: Image.Image, longest: int) -> Image.Image:
    if image.mode == "I;16":
        image = image.point(lambda level: level * (1 / 256)).convert("L")
    elif image.mode in ("1", "P", "PA") or "transparency" in image.info:
        image = image.convert("RGBA")  # palettes and colour keys do not survive a change of size
    image.thumbnail((longest, longest), Image.Resampling.LANCZOS)
    image.load()
    return image


def _upright(image: Image.Image) -> Image.Image:
    try:
        return ImageOps.exif_transpose(image)
    except _DAMAGE:
        return image  # an unreadable note about the camera is no reason to refuse the picture


def _on_white(image: Image.Image) -> Image.Image:
    if image.mode in ("L", "RGB", "CMYK"):
        return image
    drawn = image.convert("RGBA")
    ground = Image.new("RGBA", drawn.size, _WHITE)
    ground.alpha_composite(drawn)
    ground.info = dict(image.info)
    return ground.convert("RGB")


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
