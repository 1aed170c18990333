"""The way of one note: kept before it is read, written whole or not at all, and never seen by another collection."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
import sqlalchemy as sa

from bot.app import intake, wording
from bot.app.intake import Intake
from bot.care.events import Ref
from bot.care.fold import fold_all
from bot.messages import Incoming
from bot.store import inbox, notes, projections
from bot.store.database import DatabaseProblem
from bot.store.people import CollectionSettings
from bot.store.tables import metadata
from tests.app.bench import Bench, acquired, act, asked, day, fixed, labels, plant, question, seen

WATERED_12 = act("watered", labels("12"), how="soak")


def _rows_of_all_tables(bench: Bench) -> dict[str, int]:
    with bench.database.read() as conn:
        return {
            one.name: conn.execute(sa.select(sa.func.count()).select_from(one)).scalar_one() for one in metadata.sorted_tables
        }


def test_a_message_is_kept_before_it_is_read(any_bench: Bench) -> None:
    inbox_id = any_bench.receive("watered 12")
    with any_bench.database.read() as conn:
        assert inbox.by_id(conn, inbox_id).incoming.text == "watered 12"
    rows = _rows_of_all_tables(any_bench)
    assert {name: count for name, count in rows.items() if count and name != "alembic_version"} == {"inbox": 1}
    assert any_bench.inbox_states() == ["open"]


def test_a_note_becomes_events_standing_due_and_answer_at_once(any_bench: Bench) -> None:
    answer = any_bench.note(WATERED_12)
    assert answer.written == ["watered"]
    assert answer.events[0].refs == (plant("12"),)
    assert any_bench.inbox_states() == ["done"]
    assert any_bench.thing("plant", "12").soaked_on == day("2026-04-15")
    assert any_bench.kinds() == {"dry_look"}
    assert answer.text.startswith("Soaked 12")


def test_what_was_written_belongs_to_the_note_and_its_person(bench: Bench) -> None:
    event = bench.note(WATERED_12).events[0]
    with bench.database.read() as conn:
        kept = notes.note_by_id(conn, event.note)
    assert kept is not None
    assert kept.person_id == event.person > 0
    assert event.recorded_at == bench.now


def test_the_same_message_twice_is_one_note(any_bench: Bench) -> None:
    text = any_bench.reads("watered 12", WATERED_12)
    incoming = Incoming("terminal", "local", "terminal", "77", text, any_bench.now)
    assert any_bench.intake.receive(incoming, any_bench.now) is not None
    assert any_bench.intake.receive(replace(incoming, text="watered 12 again"), any_bench.now) is None
    any_bench.intake.work(any_bench.now)
    assert any_bench.intake.receive(incoming, any_bench.now) is None
    any_bench.intake.work(any_bench.now)
    assert any_bench.inbox_states() == ["done"]
    assert len(any_bench.log) == 1
    assert len(any_bench.replies()) == 1


def test_waiting_messages_are_handled_in_the_order_in_which_they_came(bench: Bench) -> None:
    texts = [bench.reads(f"watered {label}", act("watered", labels(label))) for label in ("12", "13", "14")]
    waiting = [bench.receive(text) for text in texts]
    assert bench.intake.work(bench.now) == 3
    assert [event.refs for event in bench.log] == [(plant("12"),), (plant("13"),), (plant("14"),)]
    assert list(bench.replies()) == [f"reply:{one}" for one in waiting]


# --- what breaks ------------------------------------------------------------------------------------------------------


def _breaking(real: Callable[..., Any], text: str) -> Callable[..., Any]:
    def read(given: str, view: Any) -> Any:
        if given == text:
            raise ValueError("the reader has a fault")
        return real(given, view)

    return read


def test_a_note_that_breaks_the_reader_is_set_aside_and_the_next_is_handled(
    any_bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(intake, "read_for", _breaking(intake.read_for, "a strange note"))
    broken = any_bench.receive("a strange note")
    any_bench.receive(any_bench.reads("watered 12", WATERED_12))
    assert any_bench.intake.work(any_bench.now) == 2
    assert any_bench.inbox_states() == ["poison", "done"]
    with any_bench.database.read() as conn:
        ((row, reason),) = inbox.poison_rows(conn)
    assert row.incoming.text == "a strange note"
    assert reason == "ValueError: the reader has a fault"
    assert any_bench.replies()[f"reply:{broken}"] == wording.SORRY
    assert [event.what for event in any_bench.log] == ["watered"]


def test_a_note_that_breaks_the_planning_leaves_nothing_written(bench: Bench) -> None:
    bench.note(WATERED_12)
    before = _rows_of_all_tables(bench)
    answer = bench.note(act("watered", labels("13")), {"type": "no such entry"})
    assert answer.text == wording.SORRY
    assert answer.events == ()
    after = _rows_of_all_tables(bench)
    assert {name for name in after if after[name] != before[name]} == {"inbox", "outbox"}
    assert bench.note(act("watered", labels("14"))).written == ["watered"]
    assert ("plant", "13") not in bench.standing.things


def test_a_note_that_breaks_after_the_fold_is_not_built_upon(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    bench.note(WATERED_12)
    with monkeypatch.context() as broken:
        broken.setattr(wording, "reply", None)
        assert bench.note(act("watered", labels("13"))).text == wording.SORRY
    bench.note(act("watered", labels("14")))
    assert {key for kind, key in bench.standing.things if kind == "plant"} == {"12", "14"}
    assert bench.standing == fold_all(bench.log)


@pytest.mark.parametrize(
    "fault", [DatabaseProblem("full", "The disk is full."), KeyboardInterrupt()], ids=["disk full", "killed"]
)
def test_a_fault_in_the_last_step_leaves_nothing_half_written(
    any_bench: Bench, monkeypatch: pytest.MonkeyPatch, fault: BaseException
) -> None:
    any_bench.note(act("watered", labels("1")))
    before = _rows_of_all_tables(any_bench)

    def fail(*given: Any) -> None:
        raise fault

    text = any_bench.reads("watered 12, mites", WATERED_12, seen("spider_mite"))
    inbox_id = any_bench.receive(text)
    with monkeypatch.context() as broken:
        broken.setattr(inbox, "mark_done", fail)
        with pytest.raises(type(fault)):
            any_bench.intake.work(any_bench.now)
    after = _rows_of_all_tables(any_bench)
    assert {name for name in after if after[name] != before[name]} == {"inbox"}
    assert any_bench.inbox_states() == ["done", "open"]
    any_bench.intake.work(any_bench.now)
    assert any_bench.inbox_states() == ["done", "done"]
    assert [event.what for event in any_bench.log] == ["watered", "watered", "spider_mite"]
    assert f"reply:{inbox_id}" in any_bench.replies()
    assert any_bench.standing == fold_all(any_bench.log)


def test_a_row_that_the_database_refuses_is_told_and_the_rest_goes_on(bench: Bench) -> None:
    bench.note(act("watered", labels("1")))
    with bench.database.write() as conn:
        conn.exec_driver_sql(
            "CREATE TRIGGER refuse BEFORE UPDATE ON inbox WHEN NEW.state = 'done' AND NEW.text = 'watered 12' "
            "BEGIN SELECT RAISE(ABORT, 'refused'); END"
        )
    assert bench.type(bench.reads("watered 12", WATERED_12)).text == wording.SORRY
    assert [event.refs for event in bench.log] == [(plant("1"),)]
    assert bench.note(act("watered", labels("13"))).written == ["watered"]


def test_two_processes_on_one_database_see_each_others_notes(any_bench: Bench) -> None:
    other = Intake(any_bench.database, any_bench.settings)
    first = any_bench.intake
    for number in range(1, 7):
        any_bench.intake = other if number % 2 else first
        any_bench.later(minutes=1).note(act("watered", labels("12", str(20 + number))))
    assert any_bench.standing == fold_all(any_bench.log)
    assert len([one for one in any_bench.standing.plants() if one.soaked_on]) == 7
    with any_bench.database.read() as conn:
        assert projections.load_standing(conn, any_bench.collection_id) == fold_all(any_bench.log).rows()


# --- days -------------------------------------------------------------------------------------------------------------


def test_a_note_counts_from_when_it_was_sent_not_from_when_it_was_handled(bench: Bench) -> None:
    bench.at("2026-04-15T22:50").receive(bench.reads("watered 12", WATERED_12))
    bench.at("2026-04-17T08:00").intake.work(bench.now)
    assert bench.log[0].happened_on == day("2026-04-15")
    assert bench.due("dry_look").why["since"] == "2026-04-15"


def test_the_day_of_a_note_is_the_day_where_the_collection_stands(bench: Bench) -> None:
    bench.type("set zone Australia/Sydney")
    bench.now = datetime(2026, 4, 15, 15, 30, tzinfo=UTC)  # half past one in the night of the 16th
    assert bench.note(WATERED_12).events[0].happened_on == day("2026-04-16")
    bench.type("set zone America/Los_Angeles")
    assert bench.note(WATERED_12).events[0].happened_on == day("2026-04-15")


def test_a_note_of_a_day_gone_by_is_folded_into_its_place(bench: Bench) -> None:
    bench.note(WATERED_12)
    bench.later(days=2).note(act("watered", labels("12"), when="2026-04-10"))
    assert bench.thing("plant", "12").soaked_on == day("2026-04-15")
    assert bench.thing("plant", "12").last["watered"] == "2026-04-15"
    assert bench.standing == fold_all(bench.log)


# --- what is being talked of ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("minutes", "known"), [(1, True), (29, True), (30, True), (31, False), (600, False)])
def test_what_was_spoken_of_lapses_after_half_an_hour(bench: Bench, minutes: int, known: bool) -> None:
    bench.note(act("watered", labels("12", "13")))
    answer = bench.later(minutes=minutes).note(act("fed"), decision="log")
    assert answer.written == ["fed"]
    assert (answer.events[0].refs == (plant("12"), plant("13"))) is known
    assert ("Which" in answer.text) is not known


def test_a_note_sent_before_the_last_one_does_not_take_its_set(bench: Bench) -> None:
    """The clock of a phone may stand behind; a talk of the future is no talk of now."""
    bench.note(act("watered", labels("12", "13")))
    answer = bench.later(minutes=-5).note(act("fed"))
    assert "Which" in answer.text


def test_another_note_keeps_the_talk_open(bench: Bench) -> None:
    bench.note(act("watered", labels("12", "13")))
    bench.later(minutes=20).note(act("misted"))
    assert bench.later(minutes=20).note(act("fed")).events[0].refs == (plant("12"), plant("13"))


# --- two collections --------------------------------------------------------------------------------------------------


@pytest.fixture
def neighbour(bench: Bench) -> Bench:
    """Another grower's chat over the same bot, with a collection of its own."""
    return Bench(
        bench.database, CollectionSettings(zone="Europe/Berlin", latitude=52.0), address="next door", planted=bench.planted
    )


def _at_home(bench: Bench) -> None:
    bench.note(act("moved", labels("12", "13"), to="bench 2"), act("watered", labels("12", "13"), how="soak"))
    bench.later(minutes=40).note(acquired({"count": 5, "taxa": ["gymnocalycium"]}, "irma"))
    bench.later(minutes=40).note(seen("spider_mite", labels("12")))
    bench.note({"type": "request", "do": "teach", "which": labels("13"), "text": "grandad"}, decision="do")


def _everything(bench: Bench) -> tuple[Any, ...]:
    return bench.log, bench.standing, bench.dues, bench.view_settings()


def test_each_grower_has_a_collection(bench: Bench, neighbour: Bench) -> None:
    _at_home(bench)
    neighbour.note(act("watered", labels("12")))
    assert bench.collection_id != neighbour.collection_id
    assert [one.what for one in neighbour.log] == ["watered"]
    assert set(neighbour.standing.things) == {("plant", "12")}
    assert neighbour.thing("plant", "12").place == ""


def test_the_neighbours_words_name_nothing_here(bench: Bench, neighbour: Bench) -> None:
    _at_home(bench)
    before = _everything(bench)
    for entry in (
        act("watered", {"places": ["bench 2"]}),
        act("potted", {"lots": ["irma"]}),
        act("released", {"lots": ["irma"]}),
        seen("pest", labels("12"), status="cleared"),
        act("died", labels("13")),
        act("moved", labels("12"), to="bench 2"),
        {"type": "hold", "which": labels("12"), "until": "2026-05-01"},
    ):
        neighbour.later(minutes=40).note(entry)
    assert _everything(bench) == before
    assert neighbour.note(question("where", which={"nicknames": ["grandad"]}), decision="answer").text == "I don't know that one."


def test_the_neighbour_cannot_undo_fix_or_finish_what_is_mine(bench: Bench, neighbour: Bench) -> None:
    _at_home(bench)
    bench.note(question("due"), decision="answer")
    before = _everything(bench)
    assert "nothing to take back" in neighbour.note(fixed("undo"), decision="fix").text
    neighbour.note(fixed("which", labels("99")), decision="fix")
    neighbour.note(fixed("when", "2026-04-01"), decision="fix")
    for do in ("done", "later", "drop", "why"):
        assert "no list" in neighbour.note(asked(do, 1), decision="do").text
    assert neighbour.log == []
    assert _everything(bench) == before


def test_a_setting_and_an_open_question_are_of_one_collection(bench: Bench, neighbour: Bench) -> None:
    bench.note(act("watered", {"count": 4}), decision="log_ask", ask="which")
    neighbour.type("set latitude -33")
    assert bench.view_settings().latitude == 51.5
    neighbour.note({"type": "remark", "text": "the lobivias"}, answers=True)
    with bench.database.read() as conn:
        (chat,) = [one for one in (1, 2) if notes.open_question(conn, one) is not None]
        open_question = notes.open_question(conn, chat)
    assert open_question is not None
    assert open_question.ask == "which"


def test_what_is_due_is_listed_and_sent_to_its_own_grower_alone(bench: Bench, neighbour: Bench) -> None:
    _at_home(bench)
    neighbour.now = bench.now
    neighbour.note(act("watered", labels("77"), how="soak"))
    assert "12" not in neighbour.note(question("due", until="2027-01-01"), decision="answer").text
    for _ in range(60):
        bench.later(days=1).rounds()
    mine, theirs = "\n".join(bench.messages("digest")), "\n".join(neighbour.messages("digest"))
    assert "77" in theirs
    assert "77" not in mine
    assert "irma" in mine
    assert "irma" not in theirs


def test_messages_of_two_growers_wait_together_and_are_answered_apart(bench: Bench, neighbour: Bench) -> None:
    text = bench.reads("watered 12", WATERED_12)
    mine, theirs = bench.receive(text), neighbour.receive(text)
    assert bench.intake.work(bench.now) == 2
    assert {f"reply:{mine}", f"reply:{theirs}"} == set(bench.replies())
    assert bench.log[0].refs == neighbour.log[0].refs == (Ref("plant", "12"),)
    assert bench.log[0].identity != neighbour.log[0].identity


def test_a_day_between_two_notes_renews_what_is_due(bench: Bench) -> None:
    bench.note(seen("mealybug", labels("12")))
    first = bench.due("pest_look").why.get("value", 0.0)
    bench.later(days=6).note({"type": "remark", "text": "hot today"})
    assert bench.due("pest_look").why["value"] > first
    with bench.database.read() as conn:
        rows = projections.load_due(conn, bench.collection_id)
    assert {one.made_on for one in rows} == {(bench.now + timedelta(hours=1)).date()}
