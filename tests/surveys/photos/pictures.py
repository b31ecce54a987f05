"""Pictures for tests, with planted metadata of every kind, and a reader of JPEG segments."""

import io
import struct
import zlib
from collections.abc import Iterator
from typing import Any

from PIL import Image, ImageCms, PngImagePlugin
from PIL.TiffImagePlugin import IFDRational

CANARY = "CANARY-52.88123-Tamsin"
ORIENTATION, MAKER, GPS_IFD, EXIF_IFD = 0x0112, 0x010F, 0x8825, 0x8769
MAKER_NOTE = 0x927C
XMP = f"<x:xmpmeta xmlns:x='adobe:ns:meta/'><r>{CANARY}</r></x:xmpmeta>".encode()
HALVES = {"top": (200, 30, 20), "bottom": (20, 40, 200)}  # colours of the two halves


def image(width_px: int = 60, height_px: int = 40, mode: str = "RGB") -> Image.Image:
    """Return a picture that is red above and blue below."""
    made = Image.new("RGB", (width_px, height_px), HALVES["bottom"])
    made.paste(HALVES["top"], (0, 0, width_px, height_px // 2))
    return made.convert(mode)


def encoded(picture: Image.Image | None = None, kind: str = "JPEG", **how: Any) -> bytes:
    """Return a picture as a file."""
    target = io.BytesIO()
    (picture or image()).save(target, kind, **how)
    return target.getvalue()


def exif(orientation: int = 1) -> Image.Exif:
    """Return EXIF with a position, an owner, a maker note and a way the camera was held."""
    made = Image.Exif()
    made[ORIENTATION] = orientation
    made[MAKER] = CANARY
    made.get_ifd(EXIF_IFD)[MAKER_NOTE] = CANARY.encode()
    made.get_ifd(GPS_IFD).update(
        {1: "N", 2: (IFDRational(52), IFDRational(52), IFDRational(2643, 100)), 29: CANARY}
    )
    return made


def with_thumbnail(content: bytes) -> bytes:
    """Return a JPEG with a second EXIF segment that carries a small JPEG."""
    small = encoded(image(16, 16), comment=CANARY)
    # TIFF, big-endian: an empty first directory, then one with offset and length of the picture.
    tiff = b"MM\x00\x2a\x00\x00\x00\x08" + b"\x00\x00" + struct.pack(">I", 14)
    tiff += struct.pack(">H", 2)
    tiff += struct.pack(">HHII", 0x0201, 4, 1, 44) + struct.pack(">HHII", 0x0202, 4, 1, len(small))
    tiff += b"\x00\x00\x00\x00"
    return with_segment(content, 0xE1, b"Exif\x00\x00" + tiff + small)


def with_segment(content: bytes, marker: int, payload: bytes) -> bytes:
    """Return a JPEG with one more segment after its first marker."""
    segment = struct.pack(">BBH", 0xFF, marker, len(payload) + 2) + payload
    return content[:2] + segment + content[2:]


def iptc() -> bytes:
    """Return a photographic resource block with a caption (IIM 4.2, dataset 2:120)."""
    caption = b"\x1c\x02\x78" + struct.pack(">H", len(CANARY)) + CANARY.encode()
    return b"Photoshop 3.0\x008BIM\x04\x04\x00\x00" + struct.pack(">I", len(caption)) + caption


def profile() -> bytes:
    """Return a colour profile of sRGB."""
    return ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()


def png_text() -> PngImagePlugin.PngInfo:
    """Return text chunks of the three kinds."""
    made = PngImagePlugin.PngInfo()
    made.add_text("Comment", CANARY)
    made.add_text("Author", CANARY, zip=True)
    made.add_itxt("Location", CANARY, lang="en", tkey=CANARY)
    return made


def planted() -> dict[str, bytes]:
    """Return one file for each way of hiding something in a picture."""
    plain = encoded()
    return {
        "exif": encoded(exif=exif()),
        "xmp": encoded(xmp=XMP),
        "xmp-extended": with_segment(
            plain, 0xE1, b"http://ns.adobe.com/xmp/extension/\x00" + CANARY.encode()
        ),
        "iptc": with_segment(plain, 0xED, iptc()),
        "comment": encoded(comment=CANARY),
        "profile": encoded(icc_profile=profile() + CANARY.encode()),
        "odd-segment": with_segment(plain, 0xEB, CANARY.encode()),
        "thumbnail": with_thumbnail(plain),
        "appended": plain + CANARY.encode(),
        "second-jpeg": plain + encoded(comment=CANARY),
        "page-in-comment": with_segment(plain, 0xFE, b"<html>" + CANARY.encode()),
        "archive-behind": plain + b"PK\x03\x04" + CANARY.encode(),
        "png-text": encoded(kind="PNG", pnginfo=png_text()),
        "png-exif": encoded(kind="PNG", exif=exif()),
        "png-appended": encoded(kind="PNG") + CANARY.encode(),
        "png-chunk": with_chunk(encoded(kind="PNG"), b"prVt", CANARY.encode()),
        "webp": encoded(kind="WEBP", exif=exif().tobytes(), xmp=XMP, icc_profile=profile()),
    }


def with_chunk(content: bytes, name: bytes, payload: bytes) -> bytes:
    """Return a PNG with one more chunk after its header (RFC 2083, section 3.2)."""
    checksum = struct.pack(">I", zlib.crc32(name + payload))
    return content[:33] + struct.pack(">I", len(payload)) + name + payload + checksum + content[33:]


def flood(width_px: int, height_px: int) -> bytes:
    """Return a small PNG whose header tells of many pixels, with a right checksum."""
    made = encoded(kind="PNG")
    header = b"IHDR" + struct.pack(">II", width_px, height_px) + made[24:29]
    return made[:12] + header + struct.pack(">I", zlib.crc32(header)) + made[33:]


def segments(content: bytes) -> Iterator[int]:
    """Yield the markers of a JPEG up to its pixels (ITU-T T.81, annex B).

    Raises
    ------
    ValueError
        If it does not start or go on as one.
    """
    if content[:2] != b"\xff\xd8":
        msg = "no start of image"
        raise ValueError(msg)
    place = 2
    while True:
        start, marker, length = struct.unpack(">BBH", content[place : place + 4])
        if start != 0xFF:
            msg = f"no marker at {place}"
            raise ValueError(msg)
        yield marker
        if marker == 0xDA:
            return
        place += 2 + length
