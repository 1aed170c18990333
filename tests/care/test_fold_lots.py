"""What a plant that is numbered out of a lot carries with it: what held for all of the lot, and nothing that held for a part."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

from bot.care.due import all_due
from bot.care.events import CareEvent, Ref
from bot.care.fold import fold_all
from bot.care.ledger import ledger_of
from bot.care.losses import rate_of
from bot.care.standing import Standing, Thing
from tests.care.test_due import _setting

FIRST = date(2026, 4, 3)
BARN = Ref("lot", "barn")


class Log:
    """A log in the making, day after day."""

    def __init__(self) -> None:
        self.events: list[CareEvent] = []

    def add(self, what: str, *refs: Ref, day: int = 0, kind: str = "event", **facts: Any) -> Log:
        on, recorded = FIRST + timedelta(days=day), datetime(2026, 4, 3, tzinfo=UTC)
        number = len(self.events) + 1
        self.events.append(CareEvent(f"e{number}", 0, on, recorded, kind, what, refs, facts, sequence=number))
        return self

    def split(self, *labels: str, day: int, **facts: Any) -> Log:
        refs = (Ref("plant", one) for one in labels)
        said: dict[str, Any] = {"from": "lot:barn"} | facts
        return self.add("split", *refs, day=day, kind="known", **said)

    def standing(self) -> Standing:
        return fold_all(self.events)


def came(count: int = 9, **facts: Any) -> Log:
    said: dict[str, Any] = {"from": "Hofer"} | facts
    return Log().add("acquired", Ref("lot", "barn", count), **said)


def part(count: int) -> Ref:
    return Ref("lot", "barn", count)


def plant(log: Log, label: str = "214") -> Thing:
    return log.standing().things[("plant", label)]


def test_what_held_for_all_goes_with_the_plant() -> None:
    log = came(name="mammillaria", accession="2026.0001").add("watered", BARN, day=20, how="soak")
    log.add("moved", BARN, day=21, to="bench 2").split("214", day=30, accession="2026.0001", qualifier=0)
    one = plant(log)
    assert (one.came_on, one.came_from, one.taxon, one.place, one.lot) == (FIRST, "Hofer", "mammillaria", "bench 2", "barn")
    assert one.soaked_on == FIRST + timedelta(days=20)
    assert one.last["watered"] == "2026-04-23"
    assert (one.isolated_on, one.isolated_why, one.accession) == (FIRST, "new", "2026.0001*A")
    assert one.first_on == FIRST


def test_what_held_for_a_part_does_not() -> None:
    log = came().add("watered", BARN, day=5).add("watered", part(4), day=9).add("treated", part(4), day=9, product="soap")
    one = plant(log.split("214", day=12))
    assert one.last["watered"] == "2026-04-08"
    assert one.soaked_on == FIRST + timedelta(days=5)
    assert "treated" not in one.last


def test_parts_of_one_day_that_make_up_the_lot_hold_for_all() -> None:
    log = came().add("washed", part(4), day=1).add("washed", part(5), day=1)
    assert plant(log.split("214", day=2)).last["washed"] == "2026-04-04"
    log = came().add("washed", part(4), day=1).add("washed", part(5), day=3)
    assert "washed" not in plant(log.split("214", day=4)).last


def test_a_pot_goes_along_where_all_have_the_same() -> None:
    same = came().add("potted", part(6), day=1, pot_cm=7).add("potted", part(3), day=1, pot_cm=7).split("214", day=2)
    assert plant(same).pot == {"cm": 7}
    mixed = came().add("potted", part(6), day=1, pot_cm=7).add("potted", part(3), day=1, pot_cm=9).split("214", day=2)
    assert plant(mixed).pot == {}


def test_bare_plants_are_counted_down_and_wait_on() -> None:
    standing = came(state="bare_root").split("214", "215", day=2).standing()
    lot, one = standing.things[("lot", "barn")], standing.things[("plant", "214")]
    assert (lot.count, lot.bare_count, one.bare_on, one.bare_count) == (7, 7, FIRST, 1)


def test_an_open_case_a_reminder_and_a_hold_go_along() -> None:
    log = came().add("spider_mite", BARN, day=3, kind="finding", status="present")
    log.add("", BARN, day=3, kind="reminder", due="2026-05-01", act="inspected")
    log.add("", BARN, day=4, kind="hold", cond="papery").split("214", day=5)
    standing = log.standing()
    (case,) = standing.cases.values()
    (reminder,) = standing.reminders.values()
    assert Ref("plant", "214") in case.refs
    assert Ref("plant", "214") in reminder.refs
    assert standing.things[("plant", "214")].hold == {"cond": "papery", "on": "2026-04-07"}


def test_a_case_of_a_part_is_about_the_plants_once_all_have_numbers() -> None:
    log = came(2).add("spider_mite", part(1), day=3, kind="finding", status="present").split("214", day=5)
    (case,) = log.standing().cases.values()
    assert case.refs == (part(1),)
    (case,) = log.split("215", day=6).standing().cases.values()
    assert set(case.refs) == {Ref("plant", "214"), Ref("plant", "215")}


def test_what_was_done_of_what_is_due_stays_done() -> None:
    setting = _setting(date(2026, 4, 25))
    log = came().add("potted", BARN, day=1)
    (due,) = [one for one in all_due(log.standing(), setting) if one.kind == "first_water"]
    log.add("", day=20, kind="done", due=due.key).split("214", day=21)
    assert [one for one in all_due(log.standing(), setting) if one.kind == "first_water"] == []


def test_nothing_of_the_plants_own_is_overruled() -> None:
    own = Log().add("named", Ref("plant", "214"), name="lobivia").add("moved", Ref("plant", "214"), to="bench 3")
    own.add("acquired", Ref("lot", "barn", 9), day=1, name="mammillaria", to="bench 2").split("214", day=2)
    assert (plant(own).taxon, plant(own).place) == ("lobivia", "bench 3")


def test_offsets_that_are_numbered_keep_their_parent() -> None:
    log = Log().add("acquired", Ref("plant", "12")).add("offsets_taken", Ref("plant", "12"), day=1, count=3)
    batch = log.events[-1].identity
    log.add("split", Ref("plant", "40"), day=2, kind="known", **{"from": f"batch:{batch}"})
    one = plant(log, "40")
    assert (one.parent, one.tally["raised_as"]) == ("plant:12", "offset")
    assert log.standing().things[("batch", batch)].count == 2


def test_the_years_at_risk_are_the_same_split_or_not() -> None:
    """Arithmetic: nine plants over a hundred days, whether or not some of them have numbers."""
    last = FIRST + timedelta(days=100)
    whole = rate_of(came().standing().things.values(), FIRST, last)
    parted = rate_of(came().split("214", "215", "216", day=40).standing().things.values(), FIRST, last)
    assert (whole.plant_years, whole.plants) == (parted.plant_years, parted.plants)


def test_more_plants_out_than_a_corrected_lot_had_are_found_beyond() -> None:
    log = came(9).split("214", "215", "216", day=5)
    patch = {"refs": [["lot", "barn", 2]]}
    log.add("", day=6, kind="amended", target="e1", patch=patch)
    standing = log.standing()
    found = ledger_of(standing, standing.things[("lot", "barn")])
    assert (found.come, found.beyond, found.unnumbered, len(found.numbered)) == (2, 1, 0, 3)
    assert found.closes
