import pytest
from PIL import Image

from app.errors import BadInput
from app.services.pictures import (
    LONGEST_SIDE,
    MOST_BYTES,
    SMALL_SIDE,
    kind_of,
    read_picture,
)
from tests.services.picture_samples import (
    GIF,
    HEIC,
    HTML,
    SVG,
    drawn,
    huge_jpeg,
    huge_png,
    opened,
)


def refused(data: bytes) -> str:
    with pytest.raises(BadInput) as told:
        read_picture(data)
    (problem,) = told.value.problems
    assert problem.field == "photo"
    return problem.message


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_three_kinds_are_kept_as_jpeg_with_a_small_one(kind: str) -> None:
    found = read_picture(drawn(kind, (800, 400)))
    full, small = opened(found.full), opened(found.small)
    assert (full.format, small.format) == ("JPEG", "JPEG")
    assert full.size == (found.width, found.height) == (800, 400)
    assert small.size == (SMALL_SIDE, SMALL_SIDE // 2)
    red, green, _ = full.convert("RGB").getpixel((400, 200))  # type: ignore[misc]  # three
    assert red > 180
    assert green < 60


def test_a_large_one_is_made_smaller_and_never_larger() -> None:
    found = read_picture(drawn(size=(5000, 2500)))
    assert max(found.width, found.height) == LONGEST_SIDE
    assert found.width == pytest.approx(2 * found.height, abs=1)
    assert (read_picture(drawn(size=(10, 10))).width, 10) == (10, 10)


def test_place_and_camera_are_left_out_and_the_picture_is_turned_upright() -> None:
    exif = Image.Exif()
    exif[0x0112] = 6  # taken with the phone upright: turned by a quarter
    exif[0x010F] = "a camera"
    exif.get_ifd(0x8825)[1] = "N"
    sent = drawn(size=(60, 40), exif=exif.tobytes(), comment=b"<script>alert(1)</script>")
    assert b"a camera" in sent
    found = read_picture(sent)
    assert (found.width, found.height) == (40, 60)
    for picture in (found.full, found.small):
        assert b"a camera" not in picture
        assert b"script" not in picture
        assert not opened(picture).getexif()


def test_what_can_be_seen_through_stands_on_white() -> None:
    found = read_picture(drawn("PNG", mode="RGBA", colour=(0, 0, 0, 0)))
    assert opened(found.full).convert("L").getpixel((5, 5)) == 255


@pytest.mark.parametrize(("mode", "colour"), [("L", 128), ("CMYK", (0, 0, 0, 0)), ("1", 1)])
def test_grey_and_printers_colours_are_taken(mode: str, colour: object) -> None:
    kind = "PNG" if mode == "1" else "JPEG"
    assert read_picture(drawn(kind, mode=mode, colour=colour)).width == 60


@pytest.mark.parametrize("data", [SVG, HTML, GIF, b"", b"%PDF-1.7", b"RIFF\0\0\0\0WAVE" + bytes(9)])
def test_what_is_no_such_picture_by_its_content_is_refused(data: bytes) -> None:
    assert kind_of(data) is None
    assert refused(data) == "Choose a photo as JPEG, PNG or WebP."


def test_a_phone_s_own_format_is_told_with_what_to_do() -> None:
    assert "most compatible" in refused(HEIC)


@pytest.mark.parametrize(
    "data",
    [drawn()[:200], drawn("PNG")[:60], b"\xff\xd8\xff" + HTML, b"\x89PNG\r\n\x1a\n" + SVG,
     b"RIFF\x20\0\0\0WEBP" + bytes(40), drawn("WEBP")[:30]],
)
def test_a_damaged_or_disguised_one_is_refused(data: bytes) -> None:
    assert "can't be opened" in refused(data)


def test_one_that_would_fill_the_memory_is_refused_before_it_is_unpacked() -> None:
    assert "20000 × 20000" in refused(huge_png(20_000, 20_000))
    assert "million pixels" in refused(huge_jpeg(60_000, 60_000))
    assert "million pixels" in refused(huge_png(2**31 - 1, 2**31 - 1))
    assert "12 MiB" in refused(b"\xff\xd8\xff" + bytes(MOST_BYTES))


def test_the_digest_is_of_what_was_sent() -> None:
    one, other = drawn(colour=(1, 2, 3)), drawn(colour=(200, 2, 3))
    assert read_picture(one).digest == read_picture(one).digest
    assert read_picture(one).digest != read_picture(other).digest
