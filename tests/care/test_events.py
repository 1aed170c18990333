"""Corrections of the log: a withdrawal, a withdrawal of that, amendments upon amendments; the latest word wins."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

import pytest

from bot.care.events import CareEvent, Ref, effective, patched, refs_from_json, refs_to_json

RECORDED = datetime(2026, 4, 15, 9, 0, tzinfo=UTC)
PLANT = Ref("plant", "12")


def _event(
    sequence: int, kind: str = "event", what: str = "", on: int = 15, refs: tuple[Ref, ...] = (), **facts: Any
) -> CareEvent:
    return CareEvent(f"e{sequence}", sequence, date(2026, 4, on), RECORDED, kind, what, refs, facts, sequence=sequence)


WATERED = _event(1, what="watered", refs=(PLANT,), how="soak")


def _withdraws(sequence: int, *targets: str) -> CareEvent:
    return _event(sequence, "withdrawn", targets=list(targets))


def _amends(sequence: int, target: str, **patch: Any) -> CareEvent:
    return _event(sequence, "amended", target=target, patch=patch)


def test_what_nobody_corrected_counts_as_it_is() -> None:
    assert effective([WATERED]) == [WATERED]


def test_what_was_withdrawn_does_not_count() -> None:
    assert effective([WATERED, _withdraws(2, "e1")]) == []


def test_a_withdrawal_withdrawn_counts_for_nothing() -> None:
    assert effective([WATERED, _withdraws(2, "e1"), _withdraws(3, "e2")]) == [WATERED]
    assert effective([WATERED, _withdraws(2, "e1"), _withdraws(3, "e2"), _withdraws(4, "e3")]) == []


def test_several_withdrawals_of_one_event_must_all_be_taken_back() -> None:
    log = [WATERED, _withdraws(2, "e1"), _withdraws(3, "e1"), _withdraws(4, "e2")]
    assert effective(log) == []
    assert effective([*log, _withdraws(5, "e3")]) == [WATERED]


def test_the_latest_amendment_wins_field_by_field() -> None:
    log = [WATERED, _amends(2, "e1", happened_on="2026-04-12", facts={"ml": 80}), _amends(3, "e1", facts={"ml": 90})]
    (event,) = effective(log)
    assert (event.happened_on, event.facts) == (date(2026, 4, 12), {"how": "soak", "ml": 90})


def test_an_amendment_withdrawn_leaves_the_one_before() -> None:
    log = [WATERED, _amends(2, "e1", facts={"ml": 80}), _amends(3, "e1", facts={"ml": 90}), _withdraws(4, "e3")]
    assert effective(log)[0].facts["ml"] == 80


def test_an_amendment_of_what_was_withdrawn_brings_nothing_back() -> None:
    assert effective([WATERED, _withdraws(2, "e1"), _amends(3, "e1", what="fed")]) == []


def test_what_counts_is_ordered_by_its_day_as_amended() -> None:
    later = _event(2, what="fed", on=16, refs=(PLANT,))
    assert [one.what for one in effective([WATERED, later])] == ["watered", "fed"]
    assert [one.what for one in effective([WATERED, later, _amends(3, "e1", happened_on="2026-04-20")])] == ["fed", "watered"]


def test_of_one_day_the_order_is_that_of_the_writing() -> None:
    log = [_event(sequence, what=what) for sequence, what in ((1, "unpotted"), (2, "washed"), (3, "potted"))]
    assert [one.what for one in effective(reversed(log))] == ["unpotted", "washed", "potted"]


@pytest.mark.parametrize(
    ("patch", "name", "value"),
    [
        ({"what": "fed"}, "what", "fed"),
        ({"kind": "skip"}, "kind", "skip"),
        ({"happened_on": "2026-04-01"}, "happened_on", date(2026, 4, 1)),
        ({"refs": [["lot", "irma", 3]]}, "refs", (Ref("lot", "irma", 3),)),
        ({"facts": {"how": None}}, "facts", {}),
        ({"facts": {"how": "splash", "ml": 20}}, "facts", {"how": "splash", "ml": 20}),
        ({}, "what", "watered"),
    ],
)
def test_what_an_amendment_may_change(patch: dict[str, Any], name: str, value: Any) -> None:
    assert getattr(patched(WATERED, patch), name) == value
    assert WATERED.facts == {"how": "soak"}, "the event itself stays as it was written"


def test_refs_go_through_json() -> None:
    refs = (PLANT, Ref("lot", "irma", 3), Ref("house", ""))
    assert refs_from_json(refs_to_json(refs)) == refs
