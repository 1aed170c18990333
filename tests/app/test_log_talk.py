"""The log by the numbers of its events, at any age; notes and cards of a plant; whom it is closed to."""

from __future__ import annotations

import random

import pytest

from bot.app import projecting
from bot.app.climates import setting_of
from bot.app.log_talk import log_asked
from bot.app.older import events_of
from bot.app.plan import View
from bot.care.events import Ref, effective
from bot.care.fold import fold_all
from bot.notes.reading import Reading
from tests.app.bench import Bench


def some(bench: Bench) -> Bench:
    bench.at("2026-04-12T10:15")
    for words in ("12-14 are rebutias on bench 2", "watered bench 2", "fed 12", "mites on 14"):
        bench.type(words)
    return bench


@pytest.fixture(autouse=True)
def _few_at_hand(monkeypatch: pytest.MonkeyPatch) -> None:
    """Only the newest few events are at hand, so that older ones are old after a dozen notes."""
    monkeypatch.setattr(projecting, "RECENT_EVENTS", 6)


def far_back(bench: Bench) -> Bench:
    """So many notes later that the first ones are no longer at hand."""
    for number in range(14):
        bench.later(days=1).type(f"watered tray {number % 7 + 1}")
    return bench


def test_an_entry_of_last_year_is_put_right_by_its_day(bench: Bench) -> None:
    far_back(some(bench))
    with bench.database.read() as conn:
        window = projecting.load(conn, bench.collection_id).window
    assert "bench 2" not in {ref.key for one in window for ref in one.refs}
    said = bench.type("the 12 Apr watering was 13")
    assert said.written == ["amended"]
    assert "Was: Watered bench 2 (3), Sun 12 Apr. Now: Watered 13" in said.text
    assert bench.standing.things[("plant", "14")].last.get("watered") is None
    assert bench.standing.things[("plant", "13")].last["watered"] == "2026-04-12"


def test_and_by_its_plant(bench: Bench) -> None:
    far_back(some(bench))
    said = bench.type("the feed of 12 was on 10 april")
    assert said.written == ["amended"]
    assert bench.standing.things[("plant", "12")].last["fed"] == "2026-04-10"


@pytest.mark.parametrize(("words", "written", "told"), [
    ("event 3 was 14", ["amended"], "Now: Watered 14"),
    ("event 3 was on 11 april", ["amended"], "yesterday"),
    ("event 4 was watered", ["amended"], "Now: Watered 12"),
    ("undo event 4", ["withdrawn"], "Taken back: Fed 12"),
    ("event 5 never happened", ["withdrawn"], "Taken back: Spider mites"),
    ("undo event 999", [], "There is no event 999; the newest is 5"),
    ("event 3 was on 1 may 2031", [], ""),
    ("event 3 was gobbledygook", [], "I don't know what event 3 should be"),
    ("event 3 was 77", [], "I don't know 77"),
    ("event 0", [], "There is no event 0"),
    ("event 3?", [], "Typed: “watered bench 2”"),
])  # fmt: skip
def test_an_event_by_its_number(bench: Bench, words: str, written: list[str], told: str) -> None:
    said = some(bench).type(words)
    assert said.written == written
    assert told in said.text


def test_what_was_taken_back_is_told_and_cannot_be_taken_back_twice(bench: Bench) -> None:
    some(bench).type("undo event 4")
    assert "taken back already" in bench.type("undo event 4").text
    assert "taken back already" in bench.type("event 4 was 13").text


def test_nothing_is_written_yet(bench: Bench) -> None:
    assert "Nothing is written yet" in bench.type("undo event 1").text
    assert "No entry of the collection" in bench.type("log").text


def test_the_number_of_a_plant_stays_a_plant(bench: Bench) -> None:
    some(bench).type("watered 12")
    said = bench.type("undo 12")
    assert said.written == ["withdrawn"]
    assert "12" in said.text


def test_the_log_goes_back_page_by_page(bench: Bench) -> None:
    far_back(some(bench))
    seen: set[int] = set()
    words = "log"
    while True:
        said = bench.type(words)
        numbers = [int(line.partition(",")[0]) for line in said.text.splitlines() if line.split(",")[0].isdigit()]
        assert numbers == sorted(numbers, reverse=True)
        assert not seen & set(numbers)
        seen |= set(numbers)
        more = next((one.words for one in said.buttons if one.label == "more"), None)
        if more is None:
            break
        words = more
    assert seen == {one.sequence for one in effective(bench.log)}


def test_another_collection_is_never_reached(bench: Bench) -> None:
    some(bench)
    other = Bench(bench.database, bench.settings, address="other", now=bench.now)
    other.type("1-3 are aloes")
    assert "There is no event 4" in other.type("undo event 4").text
    assert "rebutia" not in other.type("log").text.lower()
    assert "don't know 12" in other.type("journal of 12").text


@pytest.mark.parametrize("words", ["undo event 4", "event 3 was 14", "log", "journal of 12", "card 12"])
@pytest.mark.parametrize(("role", "answered"), [("owner", True), ("helper", True), ("guest", False), (None, False)])
def test_the_log_is_open_to_owner_and_helper_alone(bench: Bench, words: str, role: str | None, answered: bool) -> None:
    now = some(bench).now
    with bench.database.read() as conn:
        standing = projecting.load(conn, bench.collection_id).standing
        view = View(now, standing, setting_of(standing, bench.settings, now.date()), bench.settings, text=words)
        made = log_asked(conn, Reading("do"), view, bench.collection_id, role)
    assert (made is not None) is answered


@pytest.mark.parametrize("seed", range(4))
def test_events_of_a_thing_are_those_of_the_whole_log(bench: Bench, seed: int) -> None:
    """Reference: the effective log, looked through from its start."""
    chance = random.Random(seed)
    some(bench)
    for _ in range(25):
        bench.later(hours=7).type(chance.choice((
            f"watered {chance.randint(12, 16)}", "watered bench 2", f"fed {chance.randint(12, 14)}", "undo",
            f"event {chance.randint(2, 9)} was {chance.randint(12, 14)}", f"undo event {chance.randint(2, 9)}",
            f"event {chance.randint(2, 9)} was on {chance.randint(2, 11)} april",
        )))  # fmt: skip
    log = bench.log
    first, last = bench.now.date().replace(year=1990), bench.now.date()
    for label in ("12", "13", "14"):
        ref = Ref("plant", label)
        expected = [one.identity for one in effective(log) if ref in {Ref(each.kind, each.key) for each in one.refs}]
        with bench.database.read() as conn:
            found = [one.identity for one in events_of(conn, bench.collection_id, (ref,), first, last)]
        assert found == expected
    assert fold_all(log).rows() == bench.standing.rows()


@pytest.mark.parametrize("words", ["undo event 99999999999999999999", "event 123456789012 was 13"])
def test_a_number_that_is_far_too_large_takes_nothing_back(bench: Bench, words: str) -> None:
    said = some(bench).type(words)
    assert said.written == []
    assert "the newest is 5" in said.text


def test_the_watering_of_a_plant_that_is_not_there_is_nobody_elses(bench: Bench) -> None:
    said = some(bench).type("the watering of 30 was on 3 march")
    assert said.written == []
    assert "I don't know 30" in said.text


def test_an_entry_named_by_its_day_gets_another_day_and_no_second_one_is_written(bench: Bench) -> None:
    some(bench).later(days=20)
    said = bench.type("watering of 12 on 12 april was on 10 april")
    assert said.written == ["amended"]
    assert bench.standing.things[("plant", "13")].last["watered"] == "2026-04-10"


def test_a_measure_of_an_old_entry_is_no_day(bench: Bench) -> None:
    some(bench).type("repotted 14 into 9 cm")
    said = bench.later(days=40).type("the repot of 14 was 10 cm not 9")
    assert said.written == []
    assert "log of 14" in said.text
    assert bench.type("event 6 was 10 cm").written == ["amended"]
    assert bench.standing.things[("plant", "14")].pot["cm"] == 10


@pytest.mark.parametrize("words", ["watering was light today", "soak of the day was short", "feed was weak"])
def test_words_about_a_watering_are_no_other_day(bench: Bench, words: str) -> None:
    assert "amended" not in some(bench).type(words).written


def test_a_journal_of_several_days_says_which_day_each_note_is_of(bench: Bench) -> None:
    some(bench).later(days=3).type("watered tray 3")
    told = bench.type("what did i do in april").text.splitlines()
    assert told[0] == "1 Apr to 30 Apr:"
    assert told[1].startswith("12 Apr: ")
    assert bench.type("what did i do today").text.splitlines() == ["Today:", "watered tray 3"]


def test_an_entry_that_was_brought_here_before_all_others_is_found(bench: Bench) -> None:
    some(bench).type("event 3 was 14")
    bench.later(days=30).type("15 is a rebutia")
    bench.later(days=1).type("event 4 was 15")
    assert "Fed 15" in bench.type("log of 15").text
    assert "Watered 14" in bench.type("log of 14").text
