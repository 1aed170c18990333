"""Each kind of picture: what is drawn is what is on record and what is answered in words, and too little is refused clearly."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from bot.app.climates import setting_of
from bot.app.groups import grouped
from bot.care.drying import DRY_LEFT
from bot.care.due_water import share_left_on
from bot.care.losses import survival_of_lot
from bot.sharing.files import content
from bot.sharing.picture_parts import LONGEST_WORDS, MOST_POINTS, words_of
from bot.store import people
from tests.app.bench import Bench
from tests.app.test_pictures_asked import files, labelled, marks, picture
from tests.sharing.test_pictures import all_within


def benches(bench: Bench) -> Bench:
    bench.type("12-14 are lobivias on bench 1")
    bench.type("20-22 are rebutias on bench 2")
    return bench


# --- drying ---------------------------------------------------------------------------------------------------------------


def test_the_drying_drawn_is_that_of_the_due_line(bench: Bench) -> None:
    benches(bench).type("watered 12")
    bench.later(days=3)
    text, file = picture(bench, "drying curve of 12")
    due = bench.due("dry_look")
    assert f"({due.why['low']} to {due.why['high']} days)" in text
    curve = dict(zip(labelled(file, "water left")["x"], labelled(file, "water left")["y"], strict=True))
    assert curve[0] == 100
    dry = due.why["days"]
    assert curve[dry] <= 100 * DRY_LEFT < curve[dry - 1]
    band = labelled(file, "80 % range")
    lowest = dict(zip(band["x"], band["y"], strict=True))
    highest = dict(zip(band["x"], band["y2"], strict=True))
    assert lowest[due.why["low"]] <= 100 * DRY_LEFT < lowest[due.why["low"] - 1]
    assert highest[due.why["high"]] <= 100 * DRY_LEFT < highest[due.why["high"] - 1]
    assert "9 cm plastic pot, half mix; n = 0 reports" in file.recipe["subtitle"]


def test_the_water_left_today_is_that_of_what_is_wet(bench: Bench) -> None:
    benches(bench).type("watered 12")
    bench.later(days=3)
    text, file = picture(bench, "plot how 12 dries")
    with bench.database.read() as conn:
        setting = setting_of(bench.standing, people.settings_of(conn, bench.collection_id), date(2026, 4, 18))
    share = share_left_on(bench.standing, bench.thing("plant", "12"), date(2026, 4, 18), setting)
    assert share is not None
    curve = labelled(file, "water left")
    assert curve["y"][curve["x"].index(3)] == round(100 * share, 1)
    assert f"about {100 * share:.0f} % of its water left 3 days after the soak" in text


def test_reports_stand_where_they_were_made(bench: Bench) -> None:
    benches(bench).type("watered 12")
    bench.later(days=4).type("12 is still damp")
    bench.later(days=5).type("12 is dry")
    bench.later(days=1).type("watered 12")
    _, file = picture(bench, "drying curve of 12")
    assert labelled(file, "you said damp")["x"] == [4]
    assert labelled(file, "you said dry")["x"] == [9]
    assert "n = 2 reports" in file.recipe["subtitle"]


def test_a_pot_that_was_found_dry_shows_its_last_soak(bench: Bench) -> None:
    benches(bench).type("watered 12")
    bench.later(days=9).type("12 is dry")
    text, file = picture(bench, "drying curve of 12")
    assert "since found dry" in text
    assert not [one for one in marks(file) if one["as"] == "moment"]


def test_pots_alike_are_drawn_as_one(bench: Bench) -> None:
    benches(bench).type("watered bench 1")
    text, _ = picture(bench, "drying curve of bench 1")
    assert text.startswith("12 (Lobivia) and 2 like it:")


@pytest.mark.parametrize(
    ("words", "answer"),
    [("drying curve of 12", "12 (Lobivia): no watering is noted"), ("drying curve", "Drying of which pot?")],
)
def test_no_drying_without_a_soak(bench: Bench, words: str, answer: str) -> None:
    assert benches(bench).type(words).text.startswith(answer)
    assert files(bench) == ()


# --- due load -------------------------------------------------------------------------------------------------------------


def test_the_load_is_that_of_the_due_list(bench: Bench) -> None:
    benches(bench).type("watered bench 1 and bench 2")
    bench.type("mites on 12")
    bench.type("sown 40 lobivia as S1")
    bench.type("remind me in 20 days to buy grit")
    bench.later(days=9)
    text, file = picture(bench, "due load")
    today = date(2026, 4, 24)
    dues, monday = bench.dues, today - timedelta(days=today.weekday())
    wanted = [len(grouped([one for one in dues if one.on < today], today))]
    for week in range(8):
        first, last = monday + timedelta(weeks=week), monday + timedelta(weeks=week + 1)
        wanted.append(len(grouped([one for one in dues if max(first, today) <= one.on < last], today)))
    drawn = [0.0] * 9
    for mark in marks(file):
        if mark["as"] == "bars":
            for at, height in zip(mark["x"], mark["y"], strict=True):
                drawn[int(at)] += height
    assert drawn == wanted
    assert sum(wanted) > 3
    assert f"n = {sum(wanted)}" in file.recipe["subtitle"]
    assert f"{sum(wanted[1:])} line" in text
    assert file.recipe["panels"][0]["columns"][1] == "20\nApr"


def test_nothing_is_due(bench: Bench) -> None:
    assert bench.type("due load").text.startswith("Nothing is due in the coming weeks")
    assert files(bench) == ()


# --- flowering ------------------------------------------------------------------------------------------------------------


def flowers(bench: Bench) -> Bench:
    benches(bench)
    bench.at("2026-05-20T10:00").type("12 and 13 are flowering")
    bench.later(days=2).type("12 is flowering")
    bench.later(days=40).type("20 is flowering")
    bench.at("2027-05-02T10:00").type("12 is flowering")
    return bench


def test_flowers_are_counted_by_year_and_month(bench: Bench) -> None:
    text, file = picture(flowers(bench), "flowering calendar")
    (counts,) = (one["counts"] for one in marks(file) if one["as"] == "cells")
    assert file.recipe["panels"][0]["rows"] == ["2027", "2026"]
    assert counts == [[0, 0, 0, 0, 1, 0, 0, 0, 0, 0, 0, 0], [0, 0, 0, 0, 2, 0, 1, 0, 0, 0, 0, 0]]
    assert "n = 5 notes of 3 plants" in file.recipe["subtitle"]
    assert "3 plants seen in flower since 2026, most in May" in text


def test_flowers_of_one_plant(bench: Bench) -> None:
    text, file = picture(flowers(bench), "when did 12 flower, as a chart")
    assert text == "12 (Lobivia): noted in flower 3 times since 2026, most in May; last today."
    assert file.recipe["title"] == "Flowering calendar: 12 (Lobivia)"


def test_flowers_of_a_genus_and_what_was_taken_back(bench: Bench) -> None:
    flowers(bench).type("14 is flowering")
    bench.type("undo")
    _, file = picture(bench, "flowering calendar of the lobivias")
    assert "n = 4 notes of 2 plants" in file.recipe["subtitle"]


def test_south_of_the_line_a_year_begins_in_july(bench: Bench) -> None:
    bench.type("set latitude -34")
    benches(bench)
    bench.at("2026-11-20T10:00").type("12 is flowering")
    bench.at("2027-01-20T10:00").type("13 is flowering")
    _, file = picture(bench, "flowering calendar")
    assert file.recipe["panels"][0]["rows"] == ["2026/27"]
    (counts,) = (one["counts"] for one in marks(file) if one["as"] == "cells")
    assert counts == [[0, 0, 0, 0, 1, 0, 1, 0, 0, 0, 0, 0]]


@pytest.mark.parametrize("words", ["flowering calendar", "flowering calendar of 12"])
def test_no_flowers(bench: Bench, words: str) -> None:
    assert benches(bench).type(words).text.startswith("No flowers are noted")
    assert files(bench) == ()


# --- germination ----------------------------------------------------------------------------------------------------------


def sowings(bench: Bench) -> Bench:
    bench.type("sown 40 lobivia as S1")
    bench.type("sown 50 lithops as S2")
    bench.later(days=7).type("s1 12 up")
    bench.later(days=7).type("s1 31 up from 12")
    bench.type("s2 9 up")
    return bench


def test_seedlings_by_days_since_sowing(bench: Bench) -> None:
    text, file = picture(sowings(bench), "germination curve of S1")
    (steps,) = (one for one in marks(file) if one["as"] == "steps")
    tally = bench.thing("sowing", "S1").tally
    assert [round(40 * y / 100) for y in steps["y"]] == [0, *(up for _, up in tally["counts"])]
    assert steps["x"] == [0, 7, 14]
    assert steps["label"] == "S1 31/40"
    assert text == "S1 (Lobivia): 31 of 40 up 14 days after sowing (78 %, 62 to 88)."  # Wilson 1927
    assert "n = 40 seeds" in file.recipe["subtitle"]


def test_all_sowings_are_drawn_in_one(bench: Bench) -> None:
    text, file = picture(sowings(bench), "plot germination")
    assert [one["label"] for one in marks(file)] == ["S1 31/40", "S2 9/50"]
    assert "1 more sowing is drawn" in text


def test_seedlings_where_nobody_said_how_many_were_sown(bench: Bench) -> None:
    bench.type("sown lobivia as S1")
    bench.later(days=7).type("s1 12 up")
    text, file = picture(bench, "germination curve")
    assert "nobody said how many were sown" in text
    assert file.recipe["panels"][0]["y_label"] == "Seedlings up, number"
    assert marks(file)[0]["y"] == [0, 12]


@pytest.mark.parametrize(
    ("notes", "words", "answer"),
    [
        ((), "germination curve", "Nothing is sown yet."),
        ((), "germination curve of S7", "I don't know S7."),
        (("sown 40 lobivia as S1",), "germination curve of S1", "S1 (Lobivia): no seedlings are counted yet."),
        (("sown 40 lobivia as S1", "12 is a lobivia"), "plot the germination of 12", "12 (Lobivia): no sowing that I know."),
    ],
)
def test_nothing_came_up(bench: Bench, notes: tuple[str, ...], words: str, answer: str) -> None:
    for one in notes:
        bench.type(one)
    assert bench.type(words).text.startswith(answer)
    assert files(bench) == ()


# --- survival -------------------------------------------------------------------------------------------------------------


def hall_lot(bench: Bench) -> Bench:
    bench.type("bought 20 lobivias from Hall as the hall lot")
    bench.later(days=15).type("3 of the hall lot died of rot")
    bench.later(days=10).type("gave 2 of the hall lot to Anna")
    bench.later(days=5).type("1 of the hall lot died")
    bench.later(days=20)
    return bench


def test_the_survival_drawn_is_that_of_the_answer(bench: Bench) -> None:
    text, file = picture(hall_lot(bench), "survival curve of the hall lot")
    curve = survival_of_lot(bench.standing, "hall", date(2026, 6, 4))
    lot = next(one for (kind, _), one in bench.standing.things.items() if kind == "lot")
    curve = curve or survival_of_lot(bench.standing, lot.key, date(2026, 6, 4))
    assert curve is not None
    assert (curve.n, curve.died) == (20, 4)
    steps = labelled(file, "share alive")
    assert steps["x"] == [0, 15, 30, 50]
    assert steps["y"] == pytest.approx([100, 85, 85 * 14 / 15, 85 * 14 / 15])  # Kaplan & Meier 1958: 17/20, then 14/15
    band = labelled(file, "95 % range")
    assert band["y"][1:3] == pytest.approx([100 * one.low for one in curve.steps])
    assert band["y2"][1:3] == pytest.approx([100 * one.high for one in curve.steps])
    assert labelled(file, "last seen alive")["x"] == [25]
    (at_risk,) = (one["texts"] for one in marks(file) if one["as"] == "written")
    assert at_risk == ["20", "20", "17", "14", "14"]  # at 0, 12.5, 25, 37.5 and 50 days
    assert "n = 20, 4 deaths" in file.recipe["subtitle"]
    assert text.startswith("The hall lot: 79 % survived 50 days (")


@pytest.mark.parametrize(
    ("notes", "words", "answer"),
    [
        ((), "survival curve", "I know no lots yet."),
        (
            ("bought 5 rebutias from Hall as the hall lot", "bought 5 rebutias from Ost as the ost lot"),
            "survival curve",
            "Survival of",
        ),
        (("12 is a lobivia",), "survival curve of 12", "I know no lots yet."),
        ((), "survival curve of the barn lot", "I don't know"),
    ],
)
def test_no_survival(bench: Bench, notes: tuple[str, ...], words: str, answer: str) -> None:
    for one in notes:
        bench.type(one)
    assert bench.type(words).text.startswith(answer)
    assert files(bench) == ()


def test_a_lot_of_which_none_died(bench: Bench) -> None:
    bench.type("bought 5 rebutias from Hall as the hall lot")
    bench.later(days=500)
    text, file = picture(bench, "survival curve of the hall lot")
    assert text == "The hall lot: none of 5 noted as dead in 500 days."
    assert "years since it came" in file.recipe["panels"][0]["x_label"]
    assert not [one for one in marks(file) if one["as"] == "band"]


# --- waterings ------------------------------------------------------------------------------------------------------------


def test_waterings_by_place(bench: Bench) -> None:
    benches(bench).type("watered bench 1")
    bench.later(days=7).type("watered bench 1 and bench 2")
    bench.later(days=7).type("fed bench 2")
    text, file = picture(bench, "plot watering by place")
    rows = file.recipe["panels"][0]["rows"]
    assert sorted(rows) == ["bench 1 (2)", "bench 2 (2)"]
    one, two = float(rows.index("bench 1 (2)")), float(rows.index("bench 2 (2)"))
    watered, fed = labelled(file, "watered"), labelled(file, "fed")
    drawn = set(zip(watered["x"], watered["y"], strict=True))
    assert drawn == {("2026-04-15", one), ("2026-04-22", one), ("2026-04-22", two)}
    assert list(zip(fed["x"], fed["y"], strict=True)) == [("2026-04-29", two)]
    assert "n = 4 days in 2 places" in file.recipe["subtitle"]
    assert text.startswith("Watered in 13 weeks: bench 2 on 2 days, last today; bench 1 on 2 days")


def test_the_log_is_asked_alike_on_both_databases(any_bench: Bench) -> None:
    """What was amended counts as it is amended: another day, another plant, another act."""
    flowers(any_bench).type("watered bench 1")
    any_bench.type("no that was yesterday")
    any_bench.type("watered 20")
    any_bench.type("no that was 21")
    _, file = picture(any_bench, "watering chart")
    watered = labelled(file, "watered")
    rows = file.recipe["panels"][0]["rows"]
    assert {(day, rows[int(row)]) for day, row in zip(watered["x"], watered["y"], strict=True)} == {
        ("2027-05-01", "bench 1 (1)"),
        ("2027-05-02", "bench 2 (1)"),
    }
    _, file = picture(any_bench, "flowering calendar")
    assert "n = 5 notes of 3 plants" in file.recipe["subtitle"]


def test_a_plant_counts_for_the_place_in_which_it_stood(bench: Bench) -> None:
    benches(bench).type("watered 12")
    bench.later(days=7).type("moved 12 to bench 2")
    bench.later(days=1).type("watered 12")
    _, file = picture(bench, "watering chart")
    rows = file.recipe["panels"][0]["rows"]
    watered = labelled(file, "watered")
    places = {day: rows[int(row)] for day, row in zip(watered["x"], watered["y"], strict=True)}
    assert places == {"2026-04-15": "bench 1 (1)", "2026-04-23": "bench 2 (1)"}


def test_waterings_of_one_place_and_what_was_taken_back(bench: Bench) -> None:
    benches(bench).type("watered bench 1")
    bench.later(days=1).type("watered bench 2")
    bench.later(days=1).type("watered bench 1")
    bench.type("undo")
    _, file = picture(bench, "plot of what was watered on bench 1")
    assert file.recipe["panels"][0]["rows"] == ["bench 1 (1)"]
    assert file.recipe["title"].startswith("Waterings by place: bench 1")


@pytest.mark.parametrize("words", ["watering chart", "watering chart for bench 1"])
def test_no_waterings(bench: Bench, words: str) -> None:
    assert benches(bench).type(words).text.startswith("No watering is noted")
    assert files(bench) == ()


def test_a_watering_of_long_ago_is_in_that_of_the_year_alone(bench: Bench) -> None:
    benches(bench).type("watered bench 1")
    assert bench.later(days=100).type("watering chart").text.startswith("No watering is noted since")
    assert picture(bench, "watering chart of the year")[0].startswith("Watered in 52 weeks: bench 1 on 1 day")
    assert picture(bench, "plot watering by place over 20 weeks")[0].startswith("Watered in 20 weeks: bench 1 on 1 day")


# --- all of them ----------------------------------------------------------------------------------------------------------

EVERY = (
    "picture of the degree-days",
    "drying curve of 12",
    "due load",
    "flowering calendar",
    "germination curve",
    "survival curve of the hall lot",
    "watering chart",
)


@pytest.mark.parametrize("words", EVERY)
@pytest.mark.parametrize("latitude", ["51", "-34"])
def test_every_picture_has_title_units_and_n_and_is_drawn(bench: Bench, words: str, latitude: str) -> None:
    bench.type(f"set latitude {latitude}")
    sowings(flowers(bench))
    hall_lot(bench).type("watered bench 1")
    bench.type("mites on 12")
    text, file = picture(bench, words)
    assert len(text.splitlines()) == 1
    recipe = file.recipe
    assert recipe["title"]
    assert "n = " in recipe["subtitle"]
    assert any(unit in one["y_label"] for one in recipe["panels"] for unit in ("°C", "%", "umber", "Lines", "Place"))
    assert all(len(mark["x"]) <= MOST_POINTS for one in recipe["panels"] for mark in one["marks"])
    assert all(len(one) <= 2 * LONGEST_WORDS for one in words_of(recipe))
    assert content(file).startswith(b"\x89PNG")
    all_within(dict(recipe))


HOSTILE = "$x^2$ \\frac{1}{0} \u202eabc {name} %s"


def test_names_in_dollars_are_drawn_as_they_are(bench: Bench) -> None:
    benches(bench).type("watered 12")
    bench.type(f"call 12 {HOSTILE}")
    _, file = picture(bench, "drying curve of 12")
    assert "$x^2$" in file.recipe["title"]
    assert content(file).startswith(b"\x89PNG")
    assert not any("\u202e" in one for one in words_of(file.recipe))


@pytest.mark.parametrize("words", EVERY)
def test_every_picture_of_the_first_day_is_drawn(bench: Bench, words: str) -> None:
    """One point only: what was noted a minute ago."""
    for text in ("12 is a lobivia", "mites on 12", "watered 12", "12 is flowering", "sown 40 lobivia as S1", "S1 1 up"):
        bench.type(text)
    bench.type("bought 1 rebutia from Hall as the hall lot")
    _, file = picture(bench, words)
    assert content(file).startswith(b"\x89PNG")
    all_within(dict(file.recipe))
