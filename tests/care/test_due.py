"""What is due as a whole: one of each key, in order, put off, dropped and let go; the same standing gives the same list."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from bot.care.climate import DayTemperature
from bot.care.due import LAPSES_AFTER_DAYS, all_due, lapsed
from bot.care.due_values import Due, Setting, place_of_refs
from bot.care.events import CareEvent, Ref
from bot.care.fold import fold_all
from bot.care.standing import Standing

TODAY = date(2026, 4, 15)
Happening = tuple[str, str, list[Ref], dict[str, Any]]
RECORDED = datetime(2026, 4, 15, 9, 0, tzinfo=UTC)


def _warm(place: str) -> Callable[[date], DayTemperature]:
    return lambda day: DayTemperature(15.0, 25.0)  # noqa: ARG005


def _setting(today: date = TODAY, latitude: float = 51.5) -> Setting:
    return Setting(today, latitude, _warm, lambda place, day: 50.0, lambda place: lambda day: 15.0)  # noqa: ARG005


def _log(*given: Happening, on: date = TODAY) -> Standing:
    events = [
        CareEvent(f"e{number}", number, on, RECORDED, kind, what, tuple(refs), facts, sequence=number)
        for number, (kind, what, refs, facts) in enumerate(given, 1)
    ]
    return fold_all(events)


SLUG: Happening = ("finding", "slug", [Ref("plant", "12")], {"status": "present"})
SOAKED: Happening = ("event", "watered", [Ref("plant", "12"), Ref("plant", "13")], {"how": "soak"})
WASHED: Happening = ("event", "washed", [Ref("plant", "14")], {})
GRIT: Happening = ("reminder", "", [], {"text": "order grit", "due": "2026-04-20"})
MOVED: Happening = ("event", "moved", [Ref("plant", "12"), Ref("plant", "13")], {"to": "bench 2"})


def test_each_key_is_there_once_and_the_first_day_comes_first() -> None:
    dues = all_due(_log(MOVED, SLUG, SOAKED, WASHED, GRIT), _setting())
    keys = [one.key for one in dues]
    assert len(keys) == len(set(keys))
    assert [one.on for one in dues] == sorted(one.on for one in dues)
    assert {one.kind for one in dues} == {"pest_look", "dry_look", "pot_up", "reminder", "follow_up"}  # the neighbours of a find


def test_the_same_standing_gives_the_same_list_also_through_its_rows() -> None:
    standing = _log(MOVED, SLUG, SOAKED, WASHED, GRIT)
    assert all_due(standing, _setting()) == all_due(Standing.from_rows(standing.rows()), _setting())


def test_working_out_what_is_due_changes_nothing() -> None:
    standing = _log(MOVED, SLUG, SOAKED, WASHED, GRIT)
    before = standing.rows()
    all_due(standing, _setting())
    assert standing.rows() == before


def test_pots_of_a_kind_soaked_together_are_one_look() -> None:
    dues = [one for one in all_due(_log(MOVED, SOAKED), _setting()) if one.kind == "dry_look"]
    assert [one.refs for one in dues] == [(Ref("plant", "12"), Ref("plant", "13"))]
    assert dues[0].place == "bench 2"


def test_another_pot_is_another_look() -> None:
    repotted: Happening = ("event", "repotted", [Ref("plant", "13")], {"pot_cm": 5, "how": "on"})
    dues = [one for one in all_due(_log(MOVED, repotted, SOAKED), _setting()) if one.kind == "dry_look"]
    assert {one.refs for one in dues} == {(Ref("plant", "12"),), (Ref("plant", "13"),)}


def _said(standing: Standing, what: str, key: str, until: str = "") -> Standing:
    standing.handled[key] = {"what": what, "on": TODAY.isoformat()} | ({"until": until} if until else {})
    return standing


@pytest.mark.parametrize("what", ["done", "dropped"])
def test_what_was_done_or_dropped_is_off_the_list(what: str) -> None:
    standing = _log(GRIT)
    (due,) = all_due(standing, _setting())
    assert all_due(_said(standing, what, due.key), _setting()) == []


def test_what_was_put_off_comes_later_with_its_window() -> None:
    standing = _log(WASHED)
    (due,) = all_due(standing, _setting())
    assert due.until is not None
    (later,) = all_due(_said(standing, "later", due.key, "2026-05-20"), _setting())
    assert (later.on, later.until) == (date(2026, 5, 20), date(2026, 5, 20))
    assert (later.key, later.why) == (due.key, due.why)


def test_putting_off_to_an_earlier_day_does_not_bring_it_forward() -> None:
    standing = _log(GRIT)
    (due,) = all_due(standing, _setting())
    assert all_due(_said(standing, "later", due.key, "2026-04-17"), _setting()) == [due]


@pytest.mark.parametrize(("kind", "days"), LAPSES_AFTER_DAYS.items())
def test_a_look_that_nobody_reported_is_let_go_after_its_days(kind: str, days: int) -> None:
    due = Due("k", kind, TODAY, (), TODAY + timedelta(days=3))
    assert not lapsed(due, TODAY + timedelta(days=3 + days))
    assert lapsed(due, TODAY + timedelta(days=4 + days))


@pytest.mark.parametrize("kind", ["pest_look", "release_look", "intake_look", "isolation_look", "pot_up"])
def test_pests_quarantine_and_the_rack_stay_until_they_are_seen_to(kind: str) -> None:
    assert not lapsed(Due("k", kind, TODAY, ()), TODAY + timedelta(days=700))


def test_a_reason_and_its_trust_go_with_every_line() -> None:
    for due in all_due(_log(MOVED, SLUG, SOAKED, WASHED, GRIT), _setting()):
        assert due.why["quantity"]
        assert due.why.get("mark") or due.why["quantity"] == "asked"


def test_the_place_of_refs_is_the_one_in_which_all_stand() -> None:
    things = _log(MOVED, ("event", "moved", [Ref("plant", "20")], {"to": "tray 3"})).things
    assert place_of_refs([Ref("plant", "12"), Ref("plant", "13")], things) == "bench 2"
    assert place_of_refs([Ref("plant", "12"), Ref("plant", "20")], things) == ""
    assert place_of_refs([Ref("place", "tray 3"), Ref("plant", "20")], things) == "tray 3"
    assert place_of_refs([Ref("plant", "999")], things) == ""


def test_an_empty_collection_has_nothing_due() -> None:
    assert all_due(Standing(), _setting()) == []
