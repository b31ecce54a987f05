"""Pictures rebuilt from their pixels: nothing hidden survives, nothing dangerous is decoded.

Sources: ITU-T T.81 (JPEG markers), RFC 2083 (PNG chunks), EXIF 2.32 (tags of orientation and
position); read back by the imaging library and, for JPEG, by a reader of our own.
"""

import io
import tracemalloc
import warnings

import pytest
from PIL import Image, ImageCms, ImageOps

from surveys.photos import picture
from surveys.photos.picture import MAX_EDGE_PX, MAX_PIXELS, Fault, NotTaken, rebuilt
from tests.surveys.photos.pictures import (
    CANARY,
    GPS_IFD,
    HALVES,
    encoded,
    exif,
    flood,
    image,
    planted,
    profile,
    segments,
)

PLANTED = planted()
# JFIF header, tables of quantisation and of codes, frame, start of scan; no other segment.
ALLOWED_SEGMENTS = {0xE0, 0xDB, 0xC0, 0xC4, 0xDA}
END_OF_IMAGE = b"\xff\xd9"


def fault_of(content: bytes) -> Fault:
    with pytest.raises(NotTaken) as caught:
        rebuilt(content)
    return caught.value.fault


def near(found: object, wanted: tuple[int, int, int], within: int = 12) -> bool:
    assert isinstance(found, tuple)
    return all(abs(one - other) <= within for one, other in zip(found, wanted, strict=True))


@pytest.mark.parametrize("hidden", PLANTED)
def test_nothing_hidden_is_left_in_the_rebuilt_file(hidden: str) -> None:
    sent = PLANTED[hidden]

    kept = rebuilt(sent).content

    packed = hidden in {"png-text", "webp"}
    assert packed or CANARY.encode() in sent, "the test has something to find"
    for code in ("ascii", "utf-16-le", "utf-16-be"):
        assert CANARY.encode(code) not in kept
    for trace in (b"Exif", b"xmp", b"8BIM", b"ICC_PROFILE", b"GPS", b"http", b"PK\x03\x04"):
        assert trace not in kept
    assert set(segments(kept)) == ALLOWED_SEGMENTS
    assert kept.endswith(END_OF_IMAGE)
    assert kept.count(END_OF_IMAGE) == 1
    read = Image.open(io.BytesIO(kept))
    assert (read.format, read.mode, read.size) == ("JPEG", "RGB", (60, 40))
    assert set(read.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
    assert dict(read.getexif()) == {}
    assert read.getexif().get_ifd(GPS_IFD) == {}


def test_planted_position_could_be_read_before() -> None:
    """The twin of the test above: the same reading finds what was planted."""
    sent = Image.open(io.BytesIO(PLANTED["exif"]))

    assert sent.getexif().get_ifd(GPS_IFD)[29] == CANARY
    assert set(segments(PLANTED["thumbnail"])) - ALLOWED_SEGMENTS == {0xE1}


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_picture_is_turned_upright_first(kind: str, orientation: int) -> None:
    sent = encoded(image(64, 48), kind, exif=exif(orientation))

    kept = Image.open(io.BytesIO(rebuilt(sent).content))

    wanted = ImageOps.exif_transpose(Image.open(io.BytesIO(sent))).convert("RGB")
    assert kept.size == wanted.size
    assert (kept.width > kept.height) is (orientation <= 4)
    for corner in ((2, 2), (kept.width - 3, kept.height - 3)):
        expected = wanted.getpixel(corner)
        assert isinstance(expected, tuple)
        assert near(kept.getpixel(corner), (expected[0], expected[1], expected[2]))


def test_orientation_six_puts_the_top_of_the_sensor_to_the_right() -> None:
    """EXIF: 6 means that row 0 of the file is the right-hand side of the scene."""
    kept = Image.open(io.BytesIO(rebuilt(encoded(image(64, 48), exif=exif(6))).content))

    assert near(kept.getpixel((45, 32)), HALVES["top"])
    assert near(kept.getpixel((2, 32)), HALVES["bottom"])


def test_orientation_that_is_no_number_changes_nothing() -> None:
    sent = encoded(exif=exif(99))

    assert (rebuilt(sent).width_px, rebuilt(sent).height_px) == (60, 40)


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGB", "RGBA"])
def test_colours_that_are_taken_become_rgb(mode: str) -> None:
    kept = Image.open(io.BytesIO(rebuilt(encoded(image(mode=mode), "PNG")).content))

    assert kept.mode == "RGB"
    assert kept.size == (60, 40)


def test_what_is_transparent_becomes_white_and_hides_nothing() -> None:
    secret = image(mode="RGBA")
    secret.putalpha(0)

    kept = Image.open(io.BytesIO(rebuilt(encoded(secret, "PNG")).content))

    assert near(kept.getpixel((30, 5)), (255, 255, 255), within=2)


def test_colour_that_is_declared_transparent_becomes_white() -> None:
    kept = rebuilt(encoded(image(), "PNG", transparency=HALVES["top"])).content

    assert near(Image.open(io.BytesIO(kept)).getpixel((30, 5)), (255, 255, 255), within=2)
    assert near(Image.open(io.BytesIO(kept)).getpixel((30, 35)), HALVES["bottom"])


def test_colours_of_another_profile_are_turned_into_srgb() -> None:
    """Mid-grey of Lab 50 is 119 in sRGB (IEC 61966-2-1; from memory)."""
    lab = Image.new("LAB", (16, 16), (128, 128, 128))
    wanted = ImageCms.profileToProfile(
        lab, ImageCms.createProfile("LAB"), ImageCms.createProfile("sRGB"), outputMode="RGB"
    )
    assert wanted is not None
    plain = rebuilt(encoded(image()))
    same = rebuilt(encoded(image(), icc_profile=profile()))

    assert near(wanted.getpixel((8, 8)), (119, 119, 119), within=2)
    assert near(
        Image.open(io.BytesIO(same.content)).getpixel((30, 5)),
        HALVES["top"],
    )
    assert (plain.width_px, plain.height_px) == (same.width_px, same.height_px)


def test_profile_that_is_rubbish_is_left_aside() -> None:
    kept = rebuilt(encoded(icc_profile=b"rubbish" * 40))

    assert near(Image.open(io.BytesIO(kept.content)).getpixel((30, 5)), HALVES["top"])


@pytest.mark.parametrize(
    ("width_px", "height_px", "kept"),
    [
        (3000, 1500, (MAX_EDGE_PX, 1024)),
        (1500, 3000, (1024, MAX_EDGE_PX)),
        (MAX_EDGE_PX, 10, (MAX_EDGE_PX, 10)),
        (1, 1, (1, 1)),
        (5000, 1, (MAX_EDGE_PX, 1)),
    ],
)
@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_large_picture_is_scaled_to_the_largest_edge_and_small_is_not_blown_up(
    kind: str, width_px: int, height_px: int, kept: tuple[int, int]
) -> None:
    made = rebuilt(encoded(image(width_px, height_px), kind))

    assert (made.width_px, made.height_px) == kept


def test_same_file_gives_the_same_bytes() -> None:
    assert rebuilt(PLANTED["exif"]) == rebuilt(PLANTED["exif"]) == rebuilt(PLANTED["comment"])


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"plain text",
        encoded(kind="GIF"),
        encoded(kind="BMP"),
        encoded(kind="TIFF"),
        encoded(kind="PPM"),
        encoded(kind="EPS"),
        encoded(kind="ICO"),
        b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>",
        b"%PDF-1.7\n" + encoded(),
        b"GIF89a" + encoded(),
        b"RIFF\x00\x00\x00\x00WAVE",
        b"PK\x03\x04" + encoded(),
    ],
    ids=["empty", "text", "gif", "bmp", "tiff", "ppm", "eps", "ico", "svg", "pdf", "gif-jpeg",
         "wave", "zip"],
)  # fmt: skip
def test_other_kind_is_refused_by_its_bytes(content: bytes) -> None:
    assert fault_of(content) is Fault.KIND


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_animated_picture_is_refused(kind: str) -> None:
    frames = [image(), image(mode="L").convert("RGB")]

    moving = encoded(frames[0], kind, save_all=True, append_images=frames[1:])

    assert fault_of(moving) is Fault.ANIMATED


def test_picture_with_others_behind_it_gives_its_first() -> None:
    """Many telephones send such files; the second picture is gone."""
    second = Image.new("RGB", (60, 40), "green")
    several = encoded(image(), "MPO", save_all=True, append_images=[second])

    kept = rebuilt(several)

    assert Image.open(io.BytesIO(several)).format == "MPO"
    assert near(Image.open(io.BytesIO(kept.content)).getpixel((30, 5)), HALVES["top"])
    assert set(segments(kept.content)) == ALLOWED_SEGMENTS


@pytest.mark.parametrize(
    "content",
    [
        encoded(image(mode="CMYK")),
        encoded(Image.new("I;16", (9, 9)), "PNG"),
    ],
    ids=["cmyk", "16-bit"],
)
def test_other_colours_are_refused(content: bytes) -> None:
    assert fault_of(content) is Fault.COLOURS


@pytest.mark.parametrize(
    ("width_px", "height_px"),
    [(30_000, 30_000), (MAX_PIXELS + 1, 1), (8000, 7000), (2**31 - 1, 2**31 - 1)],
)
def test_flood_of_pixels_is_refused_before_decoding(width_px: int, height_px: int) -> None:
    content = flood(width_px, height_px)
    tracemalloc.start()

    fault = fault_of(content)

    _, peak_bytes = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert len(content) < 1000
    assert fault is Fault.PIXELS
    assert peak_bytes < 2_000_000


def test_flood_is_refused_also_where_a_warning_is_only_printed() -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")

        assert fault_of(flood(8000, 7000)) is Fault.PIXELS


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_picture_cut_off_is_refused(kind: str, share: float) -> None:
    noise = Image.effect_noise((200, 200), 80).convert("RGB")
    whole = encoded(noise, kind)

    assert fault_of(whole[: int(len(whole) * share)]) is Fault.DAMAGED


def test_file_with_too_many_bytes_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(picture, "MAX_BYTES", len(PLANTED["exif"]) - 1)

    assert fault_of(PLANTED["exif"]) is Fault.TOO_LARGE


# The library warns of damaged metadata, with a tag's number and no more.
@pytest.mark.filterwarnings("ignore::UserWarning")
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_damaged_bytes_are_refused_or_read_but_never_break(kind: str) -> None:
    """A thousand files with a few bytes changed, the same ones in every run."""
    whole = encoded(image(24, 24), kind, exif=exif())
    taken = 0
    for trial in range(1000):
        spoiled = bytearray(whole)
        for step in range(1 + trial % 4):
            place = (trial * 7919 + step * 104_729) % len(spoiled)
            spoiled[place] = (trial * 31 + step * 17) % 256
        try:
            rebuilt(bytes(spoiled))
        except NotTaken:
            continue
        taken += 1

    assert 0 < taken < 1000
