"""Pictures asked for in words: what they show is what is answered elsewhere, and whoever may not see them gets none."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from bot.app.picture_words import asked_picture
from bot.messages import Attached
from bot.sharing.files import content
from bot.sharing.picture_parts import MOST_POINTS
from bot.store import outbox
from tests.app.bench import Bench


def files(bench: Bench) -> tuple[Attached, ...]:
    """What goes with the message that waits to be sent last."""
    last: tuple[Attached, ...] = ()
    with bench.database.write() as conn:
        while rows := outbox.claim(conn, bench.now, 60):
            last = rows[-1].outgoing.files
            outbox.mark_sent(conn, rows[-1].id, "1", bench.now)
    return last


def picture(bench: Bench, words: str) -> tuple[str, Attached]:
    """The line and the one file that words bring; nothing is written to the log."""
    said = bench.type(words)
    assert said.written == []
    (file,) = files(bench)
    return said.text, file


def marks(file: Attached, panel: int = 0) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = file.recipe["panels"][panel]["marks"]
    return found


def labelled(file: Attached, label: str, panel: int = 0) -> dict[str, Any]:
    return next(one for one in marks(file, panel) if one["label"].startswith(label))


def with_mites(bench: Bench) -> Bench:
    bench.type("12-14 are lobivias on bench 2")
    bench.type("mites on 12")
    return bench


WORDS = {
    "degree_days": [
        "picture of the degree-days for 12",
        "plot mites on bench 2",
        "show me a chart of the temperature for 12",
        "graph the mites on 12",
        "please draw the degree days of 12 as pdf",
        "can you plot the heat sum for 12",
        "degree day chart bench 2",
        "temperature graph for bench 1",
    ],
    "drying": [
        "drying curve of 12",
        "plot how 12 dries",
        "show me a graph of the drying of 12",
        "chart the drying out of 12",
        "picture of the water left in 12",
        "graph when 12 is dry",
        "can i see the drying curve for 12?",
        "drying curve 12",
        "how does 12 dry, as a picture",
        "plot 12's drying",
    ],
    "due_load": [
        "due load",
        "show me a chart of what is due",
        "plot the coming weeks",
        "graph the work of the next 8 weeks",
        "chart of the jobs ahead",
        "picture of what's due",
        "whats due as a picture",
        "show me whats due as a chart",
        "whats coming up, plot it",
    ],
    "flowering": [
        "flowering calendar",
        "draw the flowering by year",
        "plot when the lobivias flower",
        "chart of what was in flower",
        "show me the flowering calendar of 12",
        "picture of the blooms by year",
        "when did the lobivias flower, as a chart",
    ],
    "germination": [
        "germination curve of S7",
        "plot germination",
        "graph the seedlings of S7",
        "show me a chart of the sowings",
        "picture of the germination of S7",
        "how is S7 germinating, plot it",
        "germination chart S7",
    ],
    "survival": [
        "survival curve of the barn lot",
        "plot the survival of the barn lot",
        "graph how the barn lot survived",
        "picture of the survival of the barn lot",
        "show me a chart of survival for the barn lot",
        "survival of the barn lot as a chart",
    ],
    "watering": [
        "watering chart",
        "plot watering by place",
        "plot of what was watered on bench 2",
        "show me a graph of the waterings",
        "chart what was watered when",
        "picture of the watering of bench 2",
        "show waterings by place as a graph",
        "when was bench 1 watered, as a chart",
    ],
}


@pytest.mark.parametrize(("of", "words"), [(of, words) for of, said in WORDS.items() for words in said])
def test_words_for_a_picture(of: str, words: str) -> None:
    for variant in (words, words.capitalize(), f"{words}.", f"{words}?", f"{words} please"):
        asked = asked_picture(variant)
        assert asked is not None, variant
        assert asked.of == of, variant


@pytest.mark.parametrize(
    "words",
    [
        "watered 12",
        "12 is dry",
        "draw off a litre",
        "whats due",
        "survival of the barn lot",
        "sown S7, 40 seeds",
        "12 in flower",
        "when did i last water bench 2",
        "took a picture",
        "watered the chart house",
        "soaked the drying rack curve side",
        "watered plot 3",
        "watered chart house",
        "water plot 3 and 4",
    ],
)
def test_words_for_something_else(words: str) -> None:
    asked = asked_picture(words)
    assert asked is None or asked.of is None


def test_the_degree_days_drawn_are_those_of_why(bench: Bench) -> None:
    with_mites(bench).type("min 8 max 24")
    bench.later(days=4).type("min 11 max 28")
    text, file = picture(bench, "picture of the degree-days for 12")
    (due,) = [one for one in bench.dues if one.kind == "pest_look"]
    assert f"{due.why['value']:.0f} of {due.why['target']:.0f} degree-days above {due.why['above_c']:.3g} °C" in text
    so_far, today = labelled(file, "sum so far", 1), labelled(file, "today", 1)
    assert so_far["y"][-1] == today["y"][0] == due.why["value"]
    assert (so_far["x"][0], so_far["y"][0]) == (due.why["since"], 0)
    (target,) = [one["y"][0] for one in marks(file, 1) if one["as"] == "level"]
    assert target == due.why["target"]
    assert labelled(file, "next look", 1)
    assert due.on.isoformat() in [one["x"][0] for one in marks(file, 1) if one["as"] == "moment"]
    assert [one["y"][0] for one in marks(file) if one["as"] == "level"] == [due.why["above_c"]]
    assert "n = 4 days" in file.recipe["subtitle"]
    bench.later(days=6)
    _, file = picture(bench, "picture of the degree-days for 12")
    listed = bench.type("whats due").text.splitlines()
    number = next(one.split(".")[0] for one in listed if "look for spider mites" in one)
    said = bench.type(f"why {number}").text
    reached = min(labelled(file, "today", 1)["y"][0], due.why["target"])  # a list says no more than the target
    assert f"{reached:.0f} of {due.why['target']:.0f} degree-days above" in said


def test_a_place_that_is_called_like_a_picture_is_still_watered(bench: Bench) -> None:
    bench.type("12 is a lobivia")
    bench.type("moved 12 to the plot shelf")
    assert "Watered" in bench.type("plot shelf watered").text
    assert files(bench) == ()


def test_the_temperatures_drawn_are_those_read(bench: Bench) -> None:
    with_mites(bench).type("min 8 max 24")
    _, file = picture(bench, "plot mites on 12")
    highest = labelled(file, "maximum")
    assert highest["y"][highest["x"].index("2026-04-15")] == 24
    lowest = labelled(file, "minimum")
    assert lowest["y"][lowest["x"].index("2026-04-15")] == 8
    assert labelled(file, "minimum, guessed")["dashed"]


def test_a_quarantine_is_counted_too(bench: Bench) -> None:
    bench.type("bought 4 rebutias from Hall as the hall lot")
    bench.later(days=10)
    text, file = picture(bench, "picture of the degree-days for the hall lot")
    due = next(one for one in bench.dues if one.kind == "release_look")
    assert f"{due.why['value']:.0f} of 500 degree-days above 8 °C" in text
    assert labelled(file, "sum so far", 1)["y"][-1] == due.why["value"]


def test_only_looks_for_the_pest_that_is_named(bench: Bench) -> None:
    with_mites(bench).type("mealies on 13")
    text, file = picture(bench, "plot the mealies on bench 2")
    assert "ealybug" in file.recipe["subtitle"]
    assert text.startswith("13 (Lobivia)")
    text, file = picture(bench, "plot the mites on bench 2")
    assert file.recipe["subtitle"].startswith("Spider mites")
    assert text.startswith("12 (Lobivia)")
    assert bench.type("plot the aphids on bench 2").text.startswith("No degree-days are counted for bench 2")


def test_a_case_of_a_cold_year_stays_small(cool_bench: Bench) -> None:
    with_mites(cool_bench).later(days=500)
    _, file = picture(cool_bench, "picture of the degree-days for 12")
    assert max(len(one["x"]) for panel in file.recipe["panels"] for one in panel["marks"]) <= MOST_POINTS
    due = next(one for one in cool_bench.dues if one.about == "spider_mite")
    assert min(labelled(file, "today", 1)["y"][0], due.why["target"]) == due.why["value"]
    assert content(file).startswith(b"\x89PNG")


@pytest.mark.parametrize("form", ["pdf", "svg"])
def test_as_a_file_of_another_kind(bench: Bench, form: str) -> None:
    _, file = picture(with_mites(bench), f"picture of the degree-days for 12 as {form}")
    assert file.name == f"degree-days.{form}"
    assert content(file)[:5] == {"pdf": b"%PDF-", "svg": b"<?xml"}[form]


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        ("picture of the degree-days", "No degree-days are counted"),
        ("picture of the degree-days for 13", "No degree-days are counted for 13"),
        ("picture of the degree-days for 99", "I don't know 99."),
        ("plot mites on bench 9", "I don't know bench 9."),
        ("picture of the degree-days for 13 and 99", "I don't know 99."),
        ("picture of the degree-days for 13 as gif", "I make no “gif”. One of: png, pdf, svg."),
    ],
)
def test_nothing_to_count(bench: Bench, words: str, answer: str) -> None:
    bench.type("13 is a lobivia")
    assert bench.type(words).text.startswith(answer)
    assert files(bench) == ()


def test_a_suspicion_has_no_curve(bench: Bench) -> None:
    bench.type("13 is a lobivia")
    bench.type("slugs on 13")
    said = bench.type("picture of the degree-days for 13")
    assert "goes by days" in said.text
    assert files(bench) == ()


def test_south_of_the_line_it_counts_alike(bench: Bench) -> None:
    bench.type("set latitude -34")
    with_mites(bench).later(days=6)
    text, file = picture(bench, "picture of the degree-days for 12")
    due = next(one for one in bench.dues if one.kind == "pest_look" or "look" in one.kind)
    assert f"{due.why['value']:.0f} of" in text
    assert date.fromisoformat(labelled(file, "sum so far", 1)["x"][0]) == date(2026, 4, 15)


def test_a_chart_of_what_has_an_answer_in_words_too(bench: Bench) -> None:
    bench.type("bought 5 rebutias from Hall as the hall lot")
    text, file = picture(bench, "survival of the hall lot as a chart")
    assert text.startswith("The hall lot: none of 5")
    assert file.recipe["of"] == "survival"
    assert bench.type("survival of the hall lot").text.startswith("The hall lot: 5 of 5")
    assert files(bench) == ()


def test_it_is_what_was_spoken_of(bench: Bench) -> None:
    assert bench.type("drying curve of it").text.startswith("Which one?")
    bench.type("12 is a lobivia")
    bench.type("watered 12")
    text, _ = picture(bench, "drying curve of it")
    assert text.startswith("12 (Lobivia)")


def test_a_photo_is_asked_for_with_any_article(bench: Bench) -> None:
    bench.type("12 is a lobivia")
    for words in ("show me a picture of 12", "the latest photo of 12", "pictures of 12"):
        assert bench.type(words).text == "No photo of 12 (Lobivia) is kept."


def test_of_what_is_asked_where_words_do_not_tell(bench: Bench) -> None:
    bench.type("12 is a lobivia")
    assert bench.type("plot 12").text.startswith("A picture of what?")
    assert bench.type("picture of 12").text == "No photo of 12 (Lobivia) is kept."
