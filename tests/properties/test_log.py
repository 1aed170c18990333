"""Properties of the care log: undo leaves nothing behind, rows hold everything, and no plant is counted twice or lost."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from copy import deepcopy
from datetime import UTC, date, datetime, timedelta
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bot.care.events import CORRECTIONS, CareEvent, Ref, effective, refs_to_json
from bot.care.fold import fold, fold_all
from bot.care.standing import Standing

FIRST_DAY = date(2026, 2, 20)
RECORDED = datetime(2026, 6, 1, 8, 0, tzinfo=UTC)
# A machine that does other things at the same time is no fault of the log.
UNHURRIED = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
PLANTS = tuple(Ref("plant", key) for key in ("12", "13", "200"))
LOTS = tuple(Ref("lot", key) for key in ("irma", "swap"))
OTHERS = (Ref("place", "bench 2"), Ref("sowing", "S1"), Ref("taxon", "rebutia @ tray 3"), Ref("some", "ab12"), Ref("house", ""))
LEAVING = ("died", "given", "discarded", "missing")

days = st.integers(0, 90).map(lambda offset: FIRST_DAY + timedelta(days=offset))
counts = st.one_of(st.none(), st.integers(1, 9))


def _lot_ref(ref: Ref, count: int | None) -> Ref:
    return ref if ref.kind == "plant" else Ref(ref.kind, ref.key, count)


refs = st.lists(st.builds(_lot_ref, st.sampled_from(PLANTS + LOTS + OTHERS), counts), min_size=1, max_size=3, unique=True)
stocked = st.lists(st.builds(_lot_ref, st.sampled_from(PLANTS + LOTS), counts), min_size=1, max_size=2, unique=True)
places = st.sampled_from(["bench 2", "the frame", "kitchen sill"])


def _facts(**parts: st.SearchStrategy[Any]) -> st.SearchStrategy[dict[str, Any]]:
    return st.fixed_dictionaries({}, optional=dict(parts))


later_days = days.map(lambda day: (day + timedelta(days=30)).isoformat())
ACTS = st.one_of(
    st.tuples(
        st.sampled_from(["watered", "fed", "wetted", "misted"]), _facts(how=st.sampled_from(["soak", "splash"]), ml=st.just(80))
    ),
    st.tuples(st.sampled_from(["inspected", "released", "rest_started", "rest_ended", "found_alive", *LEAVING]), st.just({})),
    st.tuples(st.just("treated"), _facts(how=st.just("spray"), product=st.just("soap"), course=st.just("1/3"))),
    st.tuples(
        st.sampled_from(["unpotted", "washed", "root_pruned", "set_to_dry"]), _facts(roots=st.just("tap"), cut=st.just("rot"))
    ),
    st.tuples(
        st.sampled_from(["potted", "repotted"]), _facts(pot_cm=st.just(7), mix=st.just("pumice"), to=places, how=st.just("on"))
    ),
    st.tuples(
        st.sampled_from(["moved", "isolated", "pricked_out", "uncovered", "offered"]), _facts(to=places, why=st.just("mites"))
    ),
    st.tuples(st.just("named"), _facts(name=st.sampled_from(["lobivia", "Rebutia minuscula"]), sure=st.booleans())),
    st.tuples(st.sampled_from(["germinated", "rooted", "failed"]), _facts(total=st.just(True), of=st.integers(1, 9))),
    st.tuples(st.sampled_from(["offsets_taken", "cutting_taken"]), _facts(count=st.integers(1, 5))),
    st.tuples(st.just("sown"), _facts(sown=st.integers(1, 50), to=places, name=st.just("lithops"))),
    st.tuples(
        st.just("acquired"),
        _facts(state=st.sampled_from(["bare_root", "potted", "seed"]), name=st.just("gymnocalycium"), price=st.just(9.5)),
    ),
)
SIGNS = st.sampled_from(["spider_mite", "webbing", "mealybug", "pest", "scorch", "mix_dry", "mix_damp", "flowering", "healthy"])
STATUS = st.sampled_from(["present", "suspected", "absent", "cleared"]).map(lambda status: {"status": status})
happenings = st.one_of(
    st.tuples(st.just("event"), ACTS, refs),
    st.tuples(st.just("finding"), st.tuples(SIGNS, STATUS), refs),
    st.tuples(st.just("skip"), st.tuples(st.just("watered"), _facts(why=st.just("damp"))), refs),
    st.tuples(st.just("measure"), st.tuples(st.just("height"), st.just({"value": 7.5, "unit": "cm"})), refs),
    st.tuples(st.just("hold"), st.tuples(st.just(""), _facts(until=later_days, cond=st.just("papery"))), refs),
    st.tuples(
        st.just("climate"),
        st.tuples(
            st.just(""),
            st.fixed_dictionaries({"min_c": st.integers(-5, 12), "max_c": st.integers(13, 35)}, optional={"place": places}),
        ),
        st.just([]),
    ),
    st.tuples(st.just("reminder"), st.tuples(st.just(""), _facts(due=later_days, text=st.just("order seed"))), refs),
    st.tuples(st.just("taught"), st.tuples(st.just("plant"), st.just({"name": "grandad"})), refs),
    st.tuples(st.sampled_from(["done", "dropped"]), st.tuples(st.just(""), st.just({"due": "dry|bench 2"})), refs),
    st.tuples(
        st.just("later"), st.tuples(st.just(""), st.fixed_dictionaries({"due": st.just("look|x"), "until": later_days})), refs
    ),
)


def _event(number: int, note: int, kind: str, on: date, what: str = "", refs: Iterable[Ref] = (), **facts: Any) -> CareEvent:
    return CareEvent(f"e{number:04d}", note, on, RECORDED, kind, what, tuple(refs), facts, sequence=number)


@st.composite
def patches(draw: st.DrawFn) -> dict[str, Any]:
    """An amendment's new fields, as the fixes write them."""
    return draw(
        st.one_of(
            days.map(lambda day: {"happened_on": day.isoformat()}),
            stocked.map(lambda held: {"refs": refs_to_json(held)}),
            st.sampled_from(["watered", "fed", "moved", "repotted"]).map(lambda act: {"what": act, "kind": "event"}),
            st.sampled_from([{"facts": {"pot_cm": 5}}, {"facts": {"how": None}}, {"facts": {"to": "tray 3"}}]),
        )
    )


@st.composite
def logs(draw: st.DrawFn, *, corrected: bool = True, ascending: bool = False) -> list[CareEvent]:
    """A log of notes of one to three events; with corrections also fixes, undos, and undos of those."""
    log: list[CareEvent] = []
    today = FIRST_DAY
    for note in range(1, draw(st.integers(1, 12)) + 1):
        correct = corrected and log and draw(st.integers(0, 3)) == 0
        if correct:
            log.append(_correction(draw, log, note, today))
            continue
        for _ in range(draw(st.integers(1, 3))):
            kind, (what, facts), held = draw(happenings)
            today = max(today, draw(days)) if ascending else draw(days)
            log.append(_event(len(log) + 1, note, kind, today, what, held, **facts))
    return log


def _correction(draw: st.DrawFn, log: Sequence[CareEvent], note: int, today: date) -> CareEvent:
    target = draw(st.sampled_from(log))
    if target.kind not in CORRECTIONS and draw(st.booleans()):
        return _event(len(log) + 1, note, "amended", today, target=target.identity, patch=draw(patches()))
    whole_note = [one.identity for one in log if one.note == target.note]
    return _event(len(log) + 1, note, "withdrawn", today, targets=whole_note)


def _undo_of_last_note(log: Sequence[CareEvent]) -> CareEvent:
    last = log[-1].note
    targets = [one.identity for one in log if one.note == last]
    return _event(len(log) + 1, last + 1, "withdrawn", log[-1].happened_on, targets=targets)


def _as_it_stands(standing: Standing) -> dict[tuple[str, str], dict[str, Any]]:
    """Return the rows without the number of the newest event, which an undo raises."""
    rows = {key: row for key, row in standing.rows().items() if key != ("fold", "")}
    return rows | {("fold", ""): {"last_on": standing.last_on}}


def _through_the_store(standing: Standing) -> Standing:
    """Return the standing as it comes back from its rows: as JSON text, in the order of their keys."""
    rows = {key: json.loads(json.dumps(row)) for key, row in sorted(standing.rows().items())}
    return Standing.from_rows(rows)


@UNHURRIED
@given(logs())
def test_undo_of_the_last_note_leaves_nothing_behind(log: list[CareEvent]) -> None:
    before = [one for one in log if one.note != log[-1].note]
    assert _as_it_stands(fold_all([*log, _undo_of_last_note(log)])) == _as_it_stands(fold_all(before))


@UNHURRIED
@given(logs())
def test_undo_of_an_undo_brings_everything_back(log: list[CareEvent]) -> None:
    undone = [*log, _undo_of_last_note(log)]
    assert _as_it_stands(fold_all([*undone, _undo_of_last_note(undone)])) == _as_it_stands(fold_all(log))


@UNHURRIED
@given(logs(corrected=False, ascending=True))
def test_folding_on_is_folding_from_the_start(log: list[CareEvent]) -> None:
    live = Standing()
    for event in log:
        fold(live, event)
    assert live == fold_all(log)


@UNHURRIED
@given(logs(corrected=False, ascending=True), st.data())
def test_folding_on_after_a_restart_is_folding_from_the_start(log: list[CareEvent], data: st.DataObject) -> None:
    cut = data.draw(st.integers(0, len(log)))
    live = _through_the_store(fold_all(log[:cut]))
    for event in log[cut:]:
        fold(live, event)
    assert live == fold_all(log)


@UNHURRIED
@given(logs())
def test_rows_hold_the_whole_standing(log: list[CareEvent]) -> None:
    standing = fold_all(log)
    assert _through_the_store(standing) == standing


@UNHURRIED
@given(logs())
def test_folding_changes_no_event_and_comes_out_the_same_twice(log: list[CareEvent]) -> None:
    kept = deepcopy(log)
    first = fold_all(log)
    assert log == kept
    assert fold_all(reversed(log)) == first


@UNHURRIED
@given(logs())
def test_what_counts_is_in_the_order_in_which_it_happened(log: list[CareEvent]) -> None:
    counted = effective(log)
    order = [(one.happened_on, one.sequence) for one in counted]
    assert order == sorted(order)
    assert not {one.kind for one in counted} & CORRECTIONS
    assert {one.identity for one in counted} <= {one.identity for one in log}


LOT = "irma"


@st.composite
def stock_logs(draw: st.DrawFn) -> list[CareEvent]:
    """What may happen to a lot's number: it comes, in one or more loads, and leaves in parts, also more than there are."""
    log = [_event(1, 1, "event", FIRST_DAY, "acquired", [Ref("lot", LOT, draw(st.integers(1, 20)))])]
    for number in range(2, draw(st.integers(2, 9)) + 1):
        act = draw(st.sampled_from(["acquired", "found_alive", *LEAVING, *LEAVING]))
        count = draw(st.integers(1, 9)) if act == "acquired" else draw(counts)
        gone = sum(fold_all(log).things[("lot", LOT)].tally.get(one, 0) for one in LEAVING)
        if act == "found_alive" and (count or 1) > gone:
            continue  # more found than were ever missed is no loss found again
        log.append(_event(number, number, "event", FIRST_DAY + timedelta(days=number), act, [Ref("lot", LOT, count)]))
    return log


@settings(UNHURRIED, max_examples=300)
@given(stock_logs())
def test_what_came_is_what_is_left_and_what_is_gone(log: list[CareEvent]) -> None:
    lot = fold_all(log).things[("lot", LOT)]
    assert lot.count is not None
    assert lot.count >= 0
    assert lot.tally["come"] == lot.count + sum(lot.tally.get(act, 0) for act in LEAVING)
    assert lot.alive == (lot.count > 0)


@UNHURRIED
@given(logs())
def test_no_count_is_ever_negative(log: list[CareEvent]) -> None:
    for thing in fold_all(log).things.values():
        assert thing.count is None or thing.count >= 0
        assert thing.bare_count is None or thing.bare_count >= 0
        assert all(one["count"] is None or one["count"] >= 0 for one in thing.settling)


@UNHURRIED
@given(logs(corrected=False, ascending=True), st.data())
def test_rows_once_written_do_not_change_with_the_state_that_goes_on(log: list[CareEvent], data: st.DataObject) -> None:
    cut = data.draw(st.integers(0, len(log)))
    live = fold_all(log[:cut])
    rows = live.rows()
    kept = deepcopy(rows)
    again = Standing.from_rows(rows)
    for event in log[cut:]:
        fold(live, event)
        fold(again, event)
    assert rows == kept
