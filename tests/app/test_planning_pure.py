"""Planning is pure: it changes nothing of what it looks at, and the same view gives the same plan."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, date, datetime
from itertools import count
from typing import Any

import pytest

from bot.app.climates import setting_of
from bot.app.plan import OpenNote, Plan, View
from bot.app.planning import plan
from bot.app.which import Talk
from bot.care.due import all_due
from bot.care.events import CareEvent, Ref
from bot.care.fold import fold_all
from bot.notes.reading import Reading
from bot.store.people import CollectionSettings
from tests.app.bench import acquired, act, asked, fixed, labels, plant, question, seen

NOW = datetime(2026, 4, 15, 10, 40, tzinfo=UTC)
SETTINGS = CollectionSettings(zone="UTC", latitude=51.5)
HAPPENINGS: list[tuple[int, str, str, tuple[Ref, ...], dict[str, Any]]] = [
    (1, "event", "named", (plant("12"), plant("13")), {"name": "lobivia"}),
    (1, "event", "moved", (plant("12"), plant("13")), {"to": "bench 2"}),
    (2, "event", "acquired", (Ref("lot", "irma", 6),), {"from": "irma", "state": "bare_root"}),
    (3, "event", "sown", (Ref("sowing", "S1"),), {"sown": 50}),
    (8, "finding", "slug", (plant("12"),), {"status": "present"}),
    (10, "event", "isolated", (plant("13"),), {}),
    (14, "climate", "", (), {"min_c": 7, "max_c": 21}),
]
LOG = [
    CareEvent(f"e{number}", number, date(2026, 4, day), NOW, kind, what, refs, facts, sequence=number)
    for number, (day, kind, what, refs, facts) in enumerate(HAPPENINGS, 1)
]


def _numbers() -> Callable[[], str]:
    numbers: Iterator[int] = count(1)
    return lambda: f"{next(numbers):016x}"


def _view(**said: Any) -> View:
    standing = fold_all(LOG)
    setting = setting_of(standing, SETTINGS, NOW.date())
    dues = tuple(all_due(standing, setting))
    talk = Talk(refs=(plant("12"),), at=NOW, listed=tuple(one.key for one in dues))
    made = View(NOW, standing, setting, SETTINGS, talk, dues, tuple(LOG), new_identity=_numbers())
    return replace(made, **said)


def _plan(*entries: dict[str, Any], decision: str = "log", ask: str | None = None, view: View | None = None) -> Plan:
    reading = Reading.from_json({"decision": decision, "ask": ask, "entries": list(entries)})
    return plan(reading, view or _view())


NOTES: dict[str, list[dict[str, Any]]] = {
    "soaked four, mites": [act("watered", {"count": 4}, how="soak"), seen("spider_mite")],
    "of the talk": [act("fed"), seen("mealybug", status="suspected")],
    "isolated soaked": [act("watered", labels("13"), how="soak")],
    "all of the bench but one": [act("watered", {"places": ["bench 2"], "except": labels("12")})],
    "new stock": [acquired({"count": 3, "taxa": ["rebutia"]}, "irma")],
    "sown": [act("sown", {"taxa": ["lithops"]}, sown=20)],
    "offsets": [act("offsets_taken", {"labels": ["12"], "kind": "offsets", "count": 2}), act("potted")],
    "died": [act("died", labels("12"))],
    "undo": [fixed("undo")],
    "which": [fixed("which", labels("14"))],
    "value": [fixed("value", 5, field="min_c")],
    "done": [asked("done", 1, 2)],
    "later": [asked("later", 1, until="2026-05-01")],
    "teach": [{"type": "request", "do": "teach", "which": labels("12"), "text": "grandad"}],
    "set": [{"type": "request", "do": "set", "text": "set latitude -34"}],
    "due": [act("watered", labels("12")), question("due", until="2026-06-01")],
    "count": [acquired({"count": 3, "taxa": ["rebutia"]}, "irma"), question("count")],
    "hold": [{"type": "hold", "which": labels("12"), "until": "2026-05-01"}],
    "reminder": [{"type": "reminder", "act": "repotted", "which": labels("12"), "due": "2026-05-01"}],
    "thermometer": [{"type": "climate", "min_c": 3, "max_c": 18, "place": "the frame"}],
}


@pytest.mark.parametrize("entries", NOTES.values(), ids=NOTES.keys())
def test_planning_changes_nothing_of_the_view(entries: list[dict[str, Any]]) -> None:
    view = _view()
    rows, dues, talk = view.standing.rows(), view.due, view.talk
    _plan(*entries, view=view)
    assert view.standing.rows() == rows
    assert (view.due, view.talk) == (dues, talk)
    assert view.settings == SETTINGS


@pytest.mark.parametrize("entries", NOTES.values(), ids=NOTES.keys())
def test_the_same_view_gives_the_same_plan(entries: list[dict[str, Any]]) -> None:
    assert _plan(*entries) == _plan(*entries)


@pytest.mark.parametrize("entries", NOTES.values(), ids=NOTES.keys())
def test_what_is_planned_is_of_its_day_its_person_and_has_a_name_of_its_own(entries: list[dict[str, Any]]) -> None:
    events = _plan(*entries, view=_view(person=7)).events
    assert len({one.identity for one in events}) == len(events)
    assert {one.person for one in events} <= {7}
    assert {one.recorded_at for one in events} <= {NOW}
    assert all(one.happened_on <= NOW.date() and one.sequence == 0 for one in events)


@pytest.mark.parametrize("entries", NOTES.values(), ids=NOTES.keys())
def test_something_is_always_said_or_asked(entries: list[dict[str, Any]]) -> None:
    made = _plan(*entries)
    assert made.said or made.ask


def test_the_talk_fills_in_what_the_note_left_out() -> None:
    (event,) = _plan(act("fed")).events
    assert event.refs == (plant("12"),)
    lapsed = _view(talk=Talk(refs=(plant("12"),), at=NOW.replace(hour=9)))
    made = _plan(act("fed"), view=lapsed)
    assert made.events[0].refs[0].kind == "some"
    assert made.ask is not None
    assert made.ask.about == "which"


def test_what_a_note_names_first_its_later_parts_are_about() -> None:
    made = _plan(act("watered", labels("13")), seen("mealybug"), {"type": "hold", "until": "2026-05-01"})
    assert {one.refs for one in made.events} == {(plant("13"),)}


def test_a_part_of_the_set_does_not_become_the_set() -> None:
    """Watered 12 and 13, mites on one, fed them: both were fed."""
    made = _plan(act("watered", labels("12", "13")), seen("spider_mite", {"count": 1}), act("fed"))
    assert made.events[-1].refs == (plant("12"), plant("13"))


def test_one_note_puts_one_question() -> None:
    made = _plan(act("died", {"words": "the sad one"}), act("given", {"words": "the blue one"}), decision="log_ask", ask="which")
    assert made.events == ()
    assert made.ask is not None
    assert made.ask.facts["words"] == "the sad one"


def test_the_answer_to_an_open_question_withdraws_what_the_note_had_written() -> None:
    old = OpenNote(3, "soaked four", "which", date(2026, 4, 14), tuple(LOG[-1:]), (3,))
    reading = replace(
        Reading.from_json({"decision": "log", "ask": None, "entries": [act("watered", labels("12"))]}), answers=True
    )
    made = plan(reading, _view(open_note=old))
    assert [one.kind for one in made.events] == ["withdrawn", "event"]
    assert made.events[0].facts == {"targets": ["e7"]}
    assert made.events[1].happened_on == date(2026, 4, 14), "the day of the note, not of the answer"
    assert made.closes_question


def test_settings_are_planned_not_made() -> None:
    made = _plan({"type": "request", "do": "set", "text": "set latitude -34"})
    assert made.settings is not None
    assert made.settings.latitude == -34
    assert made.events == ()
