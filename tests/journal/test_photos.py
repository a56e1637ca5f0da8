"""A photo is kept without anything beside its pixels, and what is none is refused."""

from __future__ import annotations

import io
import zlib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, PngImagePlugin

from watervane.journal import JournalTrouble, photo_from
from watervane.journal.photos import LONGEST_SIDE_PX, cleaned

PLACE = "Rua Inventada 7"
RED, BLUE = (200, 20, 20), (20, 20, 200)


def picture(size: tuple[int, int] = (60, 40)) -> Image.Image:
    """Red on the left, blue on the right."""
    made = Image.new("RGB", size, RED)
    made.paste(BLUE, (size[0] // 2, 0, size[0], size[1]))
    return made


def with_place(orientation: int = 1) -> bytes:
    """A JPEG as a telephone writes it: a place, a camera, a name, a comment."""
    exif = Image.Exif()
    exif[0x0112] = orientation
    exif[0x010F] = PLACE  # maker of the camera
    exif.get_ifd(0x8825).update({1: "N", 2: (38.0, 43.0, 1.5), 3: "W", 4: (9.0, 8.0, 2.5)})
    exif.get_ifd(0x8769)[0x9286] = PLACE  # a comment
    kept = io.BytesIO()
    profile = PLACE.encode() * 20
    picture().save(kept, "JPEG", exif=exif, comment=PLACE, icc_profile=profile, quality=95)
    return kept.getvalue()


def opened(data: bytes) -> Image.Image:
    return Image.open(io.BytesIO(data))


def test_place_camera_and_comments_are_gone() -> None:
    raw = with_place()
    before = opened(raw)
    assert before.getexif().get_ifd(0x8825)[2] == (38.0, 43.0, 1.5)
    assert PLACE.encode() in raw
    photo = cleaned(raw)
    after = opened(photo.data)
    assert dict(after.getexif()) == {}
    assert dict(after.getexif().get_ifd(0x8825)) == {}
    assert set(after.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
    assert PLACE.encode() not in photo.data
    assert b"Exif" not in photo.data
    assert (photo.media_type, after.format) == ("image/jpeg", "JPEG")


@pytest.mark.parametrize("form", ["PNG", "WEBP", "TIFF", "GIF", "BMP", "AVIF"])
def test_other_forms_become_the_same(form: str) -> None:
    kept = io.BytesIO()
    told = PngImagePlugin.PngInfo()
    told.add_text("Location", PLACE)
    extra = {"pnginfo": told} if form == "PNG" else {}
    picture().save(kept, form, **extra)
    photo = cleaned(kept.getvalue())
    assert (photo.width_px, photo.height_px) == (60, 40)
    assert PLACE.encode() not in photo.data
    assert close(opened(photo.data).getpixel((5, 20)), RED)
    assert close(opened(photo.data).getpixel((55, 20)), BLUE)


def close(found, wanted) -> bool:
    return max(abs(a - b) for a, b in zip(found, wanted, strict=True)) < 25


def test_a_photo_taken_sideways_is_kept_upright() -> None:
    photo = cleaned(with_place(orientation=6))  # turned a quarter: what was left is on top
    assert (photo.width_px, photo.height_px) == (40, 60)
    assert close(opened(photo.data).getpixel((20, 5)), RED)
    assert close(opened(photo.data).getpixel((20, 55)), BLUE)


def test_a_large_photo_is_made_smaller() -> None:
    kept = io.BytesIO()
    picture((5000, 1000)).save(kept, "JPEG")
    photo = cleaned(kept.getvalue())
    assert (photo.width_px, photo.height_px) == (LONGEST_SIDE_PX, round(LONGEST_SIDE_PX / 5))


def bomb() -> bytes:
    """A small PNG that claims to be 60,000 pixels square."""

    def chunk(name: bytes, data: bytes) -> bytes:
        check = zlib.crc32(name + data).to_bytes(4, "big")
        return len(data).to_bytes(4, "big") + name + data + check

    head = (60_000).to_bytes(4, "big") * 2 + b"\x08\x02\x00\x00\x00"
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(b"\0" * 1000))
        + chunk(b"IEND", b"")
    )


def test_a_picture_that_unpacks_to_gigabytes_is_refused() -> None:
    with pytest.raises(JournalTrouble, match="photo-too-big"):
        cleaned(bomb())


@pytest.mark.parametrize(
    "raw", [b"", b"not a picture", b"%PDF-1.4", b"%!PS-Adobe-3.0 EPSF-3.0", with_place()[:400]]
)
def test_what_is_no_photo_is_refused(raw: bytes) -> None:
    with pytest.raises(JournalTrouble, match="photo-unreadable"):
        cleaned(raw)


@given(st.binary(max_size=200), st.integers(0, 600))
def test_any_bytes_are_a_photo_or_refused(junk: bytes, at: int) -> None:
    whole = with_place()
    for raw in (junk, whole[:at] + junk + whole[at + len(junk) :]):
        try:
            photo = cleaned(raw)
        except JournalTrouble as trouble:
            assert trouble.key.startswith("photo-")
        else:
            assert PLACE.encode() not in photo.data


def test_a_file_that_is_not_there_is_one_message(tmp_path: Path) -> None:
    for file in (tmp_path / "gone.jpg", tmp_path):
        with pytest.raises(JournalTrouble, match="photo-missing"):
            photo_from(file)
