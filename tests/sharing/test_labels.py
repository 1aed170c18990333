"""Labels on paper: what they say, and that their code is read by an independent decoder at the printed size, in the dirt too."""

from __future__ import annotations

import math
import random

import pypdfium2
import pytest
import zxingcpp
from PIL import Image, ImageDraw

from bot.app.labels_talk import payload, plant_opened
from bot.sharing.labels import (
    FORMATS,
    QUIET_MODULES,
    SMALLEST_MODULE_MM,
    Format,
    Label,
    code_mm,
    format_of,
    from_recipe,
    module_mm,
    recipe_of,
    sheet,
)

START = "https://t.me/potside_ridge_bot?start="
DOTS_IN_A_MM = 300 / 25.4
DIRT = 0.15


def printed(pdf: bytes, number: int = 0) -> Image.Image:
    """A page as a printer of 300 dots to an inch would put it."""
    drawn: Image.Image = pypdfium2.PdfDocument(pdf)[number].render(scale=300 / 72).to_pil()
    return drawn.convert("L")


def label(number: str = "12", name: str = "Rebutia minuscula", field_number: str = "") -> Label:
    return Label(number, name, field_number, f"{START}{payload(number)}")


def code_of(page: Image.Image, form: Format) -> Image.Image:
    """The code of the first label of a page, with its light border."""
    x, y = form.places()[0]
    side = code_mm(form)
    x, y = x + form.width_mm - form.point_mm - side - 1, y + (form.height_mm - side) / 2
    left, top, right, bottom = (round(one * DOTS_IN_A_MM) for one in (x, y, x + side, y + side))
    return page.crop((left, top, right, bottom))


def soiled(code: Image.Image, seed: int, patches: int, modules: int) -> Image.Image:
    """The code with patches of mix or lime over 15 % of it, none on a corner square: over those no level helps a reader."""
    chance, made, mask = random.Random(seed), code.copy(), Image.new("1", code.size)
    draw, quiet = ImageDraw.Draw(mask), code.width * QUIET_MODULES / (modules + 2 * QUIET_MODULES)
    side = code.width - 2 * quiet
    radius, corner = side * math.sqrt(DIRT / patches / math.pi), side * 8 / modules
    squares = [(quiet, quiet), (quiet + side - corner, quiet), (quiet, quiet + side - corner)]
    while sum(one != 0 for one in mask.get_flattened_data()) < DIRT * side * side:
        x, y = quiet + chance.random() * side, quiet + chance.random() * side
        near = [(min(max(x, left), left + corner) - x, min(max(y, top), top + corner) - y) for left, top in squares]
        if all(across**2 + down**2 > radius**2 for across, down in near):
            draw.ellipse((x - radius, y - radius, x + radius, y + radius), fill=1)
    made.paste(chance.choice((40, 70, 200)), mask=mask)
    return made


@pytest.mark.parametrize("form", FORMATS.values(), ids=FORMATS)
def test_the_code_is_read_at_the_printed_size(form: Format) -> None:
    """A full QR code (ISO/IEC 18004:2015), read by another program than made it, from the page at 300 dots to an inch."""
    page = printed(sheet([label("12"), label("R-77"), label("214")], form))
    found = zxingcpp.read_barcodes(page)
    assert {one.text for one in found} == {f"{START}{payload(one)}" for one in ("12", "R-77", "214")}
    assert {one.format for one in found} == {zxingcpp.BarcodeFormat.QRCode}  # neither a micro code nor another
    assert module_mm(label().link, form) >= SMALLEST_MODULE_MM


def test_the_code_is_read_with_dirt_on_it() -> None:
    """Level H restores about 30 % of the words of a code (ISO/IEC 18004:2015, table 12): nine of ten soiled ones are read."""
    form = FORMATS["sheet"]
    code = code_of(printed(sheet([label()], form)), form)
    modules = round(code_mm(form) / module_mm(label().link, form)) - 2 * QUIET_MODULES
    assert [one.text for one in zxingcpp.read_barcodes(code)] == [label().link]
    dirty = [soiled(code, seed, patches, modules) for patches in (1, 2, 4) for seed in range(20)]
    assert all(one.tobytes() != code.tobytes() for one in dirty)
    read = sum([found.text for found in zxingcpp.read_barcodes(one)] == [label().link] for one in dirty)
    assert read >= 54


@pytest.mark.parametrize("key", ["12", "R-77", "A 3/b", "ü" * 9, "x" * 40])
def test_a_scanned_code_names_its_plant(key: str) -> None:
    """A start parameter of the Bot API: at most 64 of A-Z, a-z, 0-9, _ and -."""
    said = payload(key)
    assert len(said) <= 64
    assert all(one.isascii() and (one.isalnum() or one in "_-") for one in said)
    assert plant_opened(f"/start {said}") == key


@pytest.mark.parametrize("text", ["/start", "/start p_", "/start p_n", "/start list_abc", "p_n12", "/start p_b!!"])
def test_other_messages_scan_nothing(text: str) -> None:
    assert plant_opened(text) is None


def test_all_of_a_long_name_is_on_the_label_in_both_styles() -> None:
    name = "Echinocereus triglochidiatus subsp. mojavensis f. inermis 'Sandstone Ridge Selection'"
    pdf = sheet([label("2026.14", name, "SB 1745")], FORMATS["small"])
    text = " ".join(pypdfium2.PdfDocument(pdf)[0].get_textpage().get_text_range().split())
    for word in (*name.split(), "2026.14", "SB 1745"):
        assert word in text


def test_sheets_hold_as_many_as_fit_and_go_on() -> None:
    form = FORMATS["sheet"]
    fit = len(form.places())
    assert fit == 33  # three across and eleven down on A4, ISO 216:2007
    assert len(pypdfium2.PdfDocument(sheet([label(str(one)) for one in range(fit + 1)], form))) == 2
    for left, top in form.places():
        assert form.margin_mm <= left <= 210 - form.margin_mm - form.width_mm
        assert form.margin_mm <= top <= 297 - form.margin_mm - form.height_mm


def test_the_same_labels_are_the_same_file() -> None:
    recipe = recipe_of([label()], FORMATS["stick"])
    assert from_recipe(recipe) == from_recipe(recipe) == sheet([label()], FORMATS["stick"])


@pytest.mark.parametrize("words", ["5x5", "900x20", "axb", "sticky", "", "60"])
def test_a_size_that_cannot_be_is_refused(words: str) -> None:
    with pytest.raises(ValueError, match="a label is one of sheet, stick, small, or a size in mm"):
        format_of(words)


def test_a_size_of_ones_own() -> None:
    assert (format_of("60x25").width_mm, format_of("60 x 25 mm").height_mm) == (60, 25)
