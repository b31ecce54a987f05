"""Rebuild a sent picture from its pixels, so that nothing else in the file is kept.

Plain Pillow, no Django. What a file says of itself (name, sent type) is not believed; what its
header says of size, kind and colour is looked at before a single pixel is decoded.
"""

import io
import struct
from dataclasses import dataclass
from enum import StrEnum

from PIL import Image, ImageCms, ImageOps

MAX_BYTES = 15 * 1024 * 1024
MAX_PIXELS = 50_000_000  # the most that common telephones make
MAX_EDGE_PX = 2048
MAX_PROFILE_BYTES = 1024 * 1024
QUALITY = 88
STORED_TYPE = "image/jpeg"
Image.MAX_IMAGE_PIXELS = MAX_PIXELS


class Fault(StrEnum):
    """Why a file was not taken."""

    TOO_LARGE = "too-large"
    KIND = "kind"
    PIXELS = "pixels"
    ANIMATED = "animated"
    COLOURS = "colours"
    DAMAGED = "damaged"


FAULT_TEXTS = {
    Fault.TOO_LARGE: f"The file has more than {MAX_BYTES} bytes.",
    Fault.KIND: "The file is no JPEG, PNG or WebP picture.",
    Fault.PIXELS: f"The picture has more than {MAX_PIXELS} pixels.",
    Fault.ANIMATED: "The file holds more than one picture.",
    Fault.COLOURS: "The picture is not in RGB or grey of 8 bits.",
    Fault.DAMAGED: "The file is cut off or damaged.",
}
# Grey, palette and RGB, with or without transparency; not CMYK, Lab or 16 bits.
_COLOURS = frozenset({"1", "L", "LA", "P", "RGB", "RGBA"})
_SCALABLE = frozenset({"L", "LA", "RGB", "RGBA"})
_TRANSPARENT = frozenset({"LA", "RGBA"})
# What Pillow raises on bytes that are not what they claim to be.
_UNREADABLE = (
    OSError, SyntaxError, ValueError, TypeError, KeyError, IndexError, EOFError, OverflowError,
    ZeroDivisionError, AttributeError, RuntimeError, MemoryError, struct.error,
)  # fmt: skip


class NotTaken(Exception):  # noqa: N818 -- reads as what happened
    """The file is no picture that we take."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(FAULT_TEXTS[fault])
        self.fault = fault


@dataclass(frozen=True)
class Picture:
    """A picture made anew: always JPEG in sRGB, without any metadata."""

    content: bytes
    width_px: int
    height_px: int


def rebuilt(content: bytes) -> Picture:
    """Return a sent picture turned upright, scaled down and made anew from its pixels.

    Raises
    ------
    NotTaken
        If it is too large, of another kind, animated, of other colours, or damaged.
    """
    if len(content) > MAX_BYTES:
        raise NotTaken(Fault.TOO_LARGE)
    image = _opened(content, _kind(content))
    try:
        pixels = _upright(image)
    except _UNREADABLE as error:
        raise NotTaken(Fault.DAMAGED) from error
    clean = Image.frombytes("RGB", pixels.size, pixels.tobytes())
    written = io.BytesIO()
    clean.save(written, "JPEG", quality=QUALITY, subsampling=0, optimize=True)
    return Picture(written.getvalue(), clean.width, clean.height)


def _kind(content: bytes) -> str:
    """Return the format by the first bytes.

    Raises
    ------
    NotTaken
        If they are of no format that we take.
    """
    if content.startswith(b"\xff\xd8\xff"):
        return "JPEG"
    if content.startswith(b"\x89PNG\r\n\x1a\n"):
        return "PNG"
    if content.startswith(b"RIFF") and content[8:12] == b"WEBP":
        return "WEBP"
    raise NotTaken(Fault.KIND)


def _opened(content: bytes, kind: str) -> Image.Image:
    """Read the header and judge it.

    Raises
    ------
    NotTaken
        If it tells of too many pixels, of several pictures or of colours that we do not take.
    """
    try:
        image = Image.open(io.BytesIO(content), formats=[kind])
        frames = 1 if kind == "JPEG" else getattr(image, "n_frames", 1)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise NotTaken(Fault.PIXELS) from error
    except _UNREADABLE as error:
        raise NotTaken(Fault.DAMAGED) from error
    if image.width * image.height > MAX_PIXELS:
        raise NotTaken(Fault.PIXELS)
    if frames > 1:
        raise NotTaken(Fault.ANIMATED)
    if image.mode not in _COLOURS:
        raise NotTaken(Fault.COLOURS)
    return image


def _upright(image: Image.Image) -> Image.Image:
    """Decode, and return plain RGB pixels as they were meant to be seen."""
    image.draft("RGB", (MAX_EDGE_PX, MAX_EDGE_PX))  # a JPEG can be decoded at a fraction
    image.load()
    profile = image.info.get("icc_profile")
    is_mixed = image.mode not in _SCALABLE or "transparency" in image.info
    small = image.convert("RGBA") if is_mixed else image
    small.thumbnail((MAX_EDGE_PX, MAX_EDGE_PX), Image.Resampling.LANCZOS)
    return _in_srgb(_opaque(ImageOps.exif_transpose(small)), profile)


def _opaque(image: Image.Image) -> Image.Image:
    if image.mode not in _TRANSPARENT:
        return image.convert("RGB")
    layer = image.convert("RGBA")
    paper = Image.new("RGB", layer.size, "white")
    paper.paste(layer, mask=layer.getchannel("A"))
    return paper


def _in_srgb(image: Image.Image, profile: object) -> Image.Image:
    """Return an image with its colours in sRGB; soil colour would shift without its profile."""
    if not isinstance(profile, bytes) or not 0 < len(profile) <= MAX_PROFILE_BYTES:
        return image
    try:
        made = ImageCms.profileToProfile(
            image, io.BytesIO(profile), ImageCms.createProfile("sRGB"), outputMode="RGB"
        )
    except (ImageCms.PyCMSError, *_UNREADABLE):
        return image  # a profile that cannot be read says nothing
    return image if made is None else made
