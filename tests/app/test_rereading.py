"""Old notes read with today's reader: a list to accept or leave; what was put right by hand stands."""

from __future__ import annotations

from datetime import UTC, datetime

from bot.app import rereading
from bot.care.events import effective
from bot.store import projections
from tests.app.bench import Bench, act, fixed, labels, question

SINCE = datetime(2026, 1, 1, tzinfo=UTC)


def _written_by_an_older_reader(bench: Bench, text: str, *entries: dict[str, object]) -> None:
    """Type a note that another reader reads as these entries, and forget that reader."""
    bench.note(act("named", labels("12", "14"), name="lobivia"))
    bench.planted[text] = bench.planted.pop(bench.reads(text, *entries))
    bench.type(text)
    bench.planted.clear()


def test_a_note_read_alike_is_not_listed(bench: Bench) -> None:
    bench.type("watered 12")
    assert rereading.reread(bench.database, SINCE) == []


def test_a_note_read_differently_is_listed_and_changes_nothing(bench: Bench) -> None:
    _written_by_an_older_reader(bench, "watered 12", act("fed", labels("12")))
    before = bench.log
    (found,) = [one for one in rereading.reread(bench.database, SINCE) if one.text == "watered 12"]
    assert [one.act for one in found.then.entries] == ["fed"]
    assert [one.act for one in found.now.entries] == ["watered"]
    assert bench.log == before


def test_what_is_accepted_takes_the_place_of_what_was_written(bench: Bench) -> None:
    _written_by_an_older_reader(bench, "watered 12 yesterday", act("fed", labels("12")))
    bench.later(days=20)
    (found,) = [one for one in rereading.reread(bench.database, SINCE) if one.text.startswith("watered")]
    assert rereading.accept(bench.database, found, bench.now)
    care = [(one.what, one.happened_on.isoformat()) for one in effective(bench.log) if one.what in ("fed", "watered")]
    assert care == [("watered", "2026-04-14")]
    assert not [one for one in rereading.reread(bench.database, SINCE) if one.text.startswith("watered")]
    with bench.database.read() as conn:
        assert projections.load_standing(conn, bench.collection_id) == bench.standing.rows()


def test_a_note_that_would_ask_is_left(bench: Bench) -> None:
    _written_by_an_older_reader(bench, "one died", act("died", labels("12")))
    (found,) = [one for one in rereading.reread(bench.database, SINCE) if one.text == "one died"]
    before = bench.log
    assert not rereading.accept(bench.database, found, bench.now)
    assert bench.log == before


def test_what_the_grower_put_right_is_left_alone(bench: Bench) -> None:
    _written_by_an_older_reader(bench, "watered 12", act("fed", labels("12")))
    bench.note(fixed("which", labels("14")), decision="fix")
    bench.planted.clear()
    assert not [one for one in rereading.reread(bench.database, SINCE) if one.text == "watered 12"]


def test_a_watering_that_was_lost_in_a_question_is_found_again(bench: Bench) -> None:
    bench.note(act("named", labels("12", "14"), name="lobivia"))
    text = "watered 12. when did i last feed 14?"
    bench.planted[text] = bench.planted.pop(bench.reads(text, question("last_done", act="fed"), decision="answer"))
    bench.type(text)
    bench.planted.clear()
    (found,) = [one for one in rereading.reread(bench.database, SINCE) if one.text == text]
    assert rereading.accept(bench.database, found, bench.now)
    assert [one.what for one in effective(bench.log) if one.what in ("fed", "watered")] == ["watered"]
    assert not [one for one in rereading.reread(bench.database, SINCE) if one.text == text]


def test_a_mere_question_that_is_read_otherwise_today_is_left(bench: Bench) -> None:
    text = "when did i last feed 14?"
    bench.planted[text] = bench.planted.pop(bench.reads(text, question("due"), decision="answer"))
    bench.type(text)
    bench.planted.clear()
    assert rereading.reread(bench.database, SINCE) == []
