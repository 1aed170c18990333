"""Photos on a list: small, of their pixels alone, and only of what the list shows."""

from __future__ import annotations

import io
from datetime import date
from pathlib import Path

import pytest
from PIL import Image
from PIL.ExifTags import IFD, Base
from pypdf import PdfReader

from bot.care.events import Ref
from bot.care.standing import Standing, Thing
from bot.sharing.files import attached, content, list_recipe
from bot.sharing.listing import MOST_PHOTOS, Row, Shown, pictured
from bot.sharing.page import HEADERS, HEADERS_WITH_PHOTOS, page
from bot.sharing.thumbnails import LONGEST_PX, thumbnail

SECRETS = (b"Exif", b"GPS", b"Maker of phones", b"the back garden", b"ICC_PROFILE", b"http")


def photo(folder: Path, name: str, *, size: tuple[int, int] = (1600, 1200), kind: str = "JPEG", turned: int = 1) -> bytes:
    """A photo as a phone makes one: with its place, its maker, a comment and how it was held; left half red, right half blue."""
    image = Image.new("RGB", size, "blue")
    image.paste("red", (0, 0, size[0] // 2, size[1]))
    exif = Image.Exif()
    exif[Base.Make], exif[Base.Orientation] = "Maker of phones", turned
    exif.get_ifd(IFD.GPSInfo).update({1: "N", 2: (51.0, 30.0, 0.0), 3: "W", 4: (0.0, 7.0, 0.0)})
    more = {"comment": b"the back garden"} if kind == "JPEG" else {}
    path = folder / name
    image.save(path, kind, exif=exif, icc_profile=b"ICC_PROFILE of a phone", **more)
    return path.read_bytes()


@pytest.mark.parametrize(("name", "kind"), [("a.jpg", "JPEG"), ("a.png", "PNG"), ("a.webp", "WEBP")])
def test_nothing_beside_the_pixels_comes_along(tmp_path: Path, name: str, kind: str) -> None:
    """JPEG keeps metadata in APPn and COM segments (ITU-T T.81, 1992, B.2.4): none but the JFIF header is left."""
    assert b"Maker of phones" in photo(tmp_path, name, kind=kind)
    made = thumbnail(tmp_path, name)
    assert made
    assert not [one for one in SECRETS if one in made]
    assert segments(made).isdisjoint({0xE1, 0xE2, *range(0xE3, 0xF0), 0xFE})
    seen = Image.open(io.BytesIO(made))
    assert max(seen.size) == LONGEST_PX
    assert dict(seen.getexif()) == {}
    assert seen.getpixel((20, 20))[0] > 200  # type: ignore[index]


def segments(jpeg: bytes) -> set[int]:
    """The markers before the scan of a JPEG."""
    found, at = set(), 2
    while jpeg[at] == 0xFF and jpeg[at + 1] != 0xDA:
        found.add(jpeg[at + 1])
        at += 2 + int.from_bytes(jpeg[at + 2 : at + 4], "big")
    return found


def test_a_photo_that_was_held_upright_stands_upright(tmp_path: Path) -> None:
    """Orientation 6 (Exif 2.32, 2019, tag 274): the left side of what is stored is the top of what was seen, so red is on top."""
    photo(tmp_path, "a.jpg", turned=6)
    made = thumbnail(tmp_path, "a.jpg")
    assert made
    seen = Image.open(io.BytesIO(made))
    assert seen.height > seen.width
    assert seen.getpixel((10, 10))[0] > 200  # type: ignore[index]
    assert seen.getpixel((10, seen.height - 10))[2] > 200  # type: ignore[index]


@pytest.mark.parametrize("name", ["", "none.jpg", "../outside.jpg", "words.jpg", "half.jpg", "drawing.svg"])
def test_what_is_no_photo_of_the_folder_is_none(tmp_path: Path, name: str) -> None:
    folder = tmp_path / "photos"
    folder.mkdir()
    whole = photo(tmp_path, "outside.jpg")
    (folder / "words.jpg").write_text("<svg>")
    (folder / "half.jpg").write_bytes(whole[: len(whole) // 2])
    (folder / "drawing.svg").write_text("<svg/>")
    assert thumbnail(folder, name) is None


def collection() -> Standing:
    made = Standing()
    for label, name in (("1", "Rebutia minuscula"), ("2", "Rebutia minuscula"), ("3", "Lobivia"), ("4", "Lithops ex Rio Seco")):
        made.things["plant", label] = Thing("plant", label, names=[{"name": name}], place="bench 7")
    made.things["plant", "3"].isolated_on = date(2026, 5, 4)
    made.things["place", "bench 7"] = Thing("place", "bench 7")
    return made


ALBUM = [
    ((Ref("plant", "1"),), "old.jpg"),
    ((Ref("plant", "2"),), "new.jpg"),
    ((Ref("plant", "3"),), "apart.jpg"),
    ((Ref("plant", "1"), Ref("plant", "3")), "beside-one-apart.jpg"),
    ((Ref("place", "bench 7"),), "bench.jpg"),
    ((), "unsaid.jpg"),
    ((Ref("plant", "9"),), "gone.jpg"),
    ((Ref("plant", "4"),), "wild.jpg"),
]


def test_the_newest_of_each_name_and_nothing_that_stands_apart() -> None:
    assert pictured(collection(), Shown(photos=True), ALBUM) == (("Lithops", "wild.jpg"), ("Rebutia minuscula", "new.jpg"))
    assert pictured(collection(), Shown(photos=True, labels=("1",)), ALBUM) == (("Rebutia minuscula", "old.jpg"),)
    assert pictured(collection(), Shown(), ALBUM) == ()


def test_a_list_has_so_many_photos_and_no_more() -> None:
    many = Standing()
    for number in range(60):
        name = f"Rebutia {'abcdefghij'[number // 10] * 4}{'abcdefghij'[number % 10] * 4}"
        many.things["plant", str(number)] = Thing("plant", str(number), names=[{"name": name}])
    album = [((Ref("plant", str(number)),), f"{number}.jpg") for number in range(60)]
    assert len(pictured(many, Shown(photos=True), album)) == MOST_PHOTOS


def test_the_files_hold_the_photos_that_are_there(tmp_path: Path) -> None:
    photo(tmp_path, "new.jpg")
    shown = (("Rebutia minuscula", "new.jpg"), ("Lobivia", "lost.jpg"))
    recipe = list_recipe((Row("Rebutia minuscula", 2, None, "", 0),), None, (), shown)
    text = content(attached("a.html", "list_page", **recipe), tmp_path).decode()
    assert text.count("<img") == text.count("data:image/jpeg;base64,") == 1
    assert 'alt="Photo of Rebutia minuscula"' in text
    paper = PdfReader(io.BytesIO(content(attached("a.pdf", "list_sheet", **recipe), tmp_path)))
    assert sum(len(one.images) for one in paper.pages) == 1
    assert "<img" not in content(attached("a.html", "list_page", **recipe)).decode(), "no folder, no photos"


def test_thirty_photos_fill_further_pages(tmp_path: Path) -> None:
    photo(tmp_path, "new.jpg")
    recipe = list_recipe((), None, (), tuple((f"Rebutia {number}", "new.jpg") for number in range(30)))
    paper = PdfReader(io.BytesIO(content(attached("a.pdf", "list_sheet", **recipe), tmp_path)))
    text = "".join(one.extract_text() for one in paper.pages)
    assert len(paper.pages) >= 3
    assert [number for number in range(30) if f"Rebutia {number}" not in text] == []


def test_the_page_lets_in_no_picture_from_elsewhere() -> None:
    policy = dict(HEADERS_WITH_PHOTOS)["Content-Security-Policy"]
    assert "img-src data:;" in policy
    assert policy.replace(" img-src data:;", "") == dict(HEADERS)["Content-Security-Policy"]
    assert 'alt="Photo of &lt;b&gt;"' in page([], None, photos=[("<b>", b"")])
    assert "<img" not in page([], None, "lobivia", photos=[("Rebutia", b"")])
