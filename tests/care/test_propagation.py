"""Sowings, offsets, cuttings, grafts: look dates, intervals, and pending kept pending."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from bot.care.genera import genus_row
from bot.care.propagation import (
    callus,
    germination,
    graft_looks,
    next_offset_look,
    offset_may_come_off,
    root_checks,
    rooted_of,
    sowing_looks,
    sowing_months,
    wilson_interval,
)

D = date(2026, 4, 4)


def test_germination_with_its_interval() -> None:
    """31 of 50: 62 %, 95 % range 48 to 74."""
    known = germination(31, 50)
    assert known.percent == 62
    assert (round(known.low), round(known.high)) == (48, 74)
    assert germination(0, 20).low == 0
    assert germination(20, 20).high == 100
    for up, sown in ((3, 2), (-1, 5), (0, 0)):
        with pytest.raises(ValueError, match="not possible"):
            germination(up, sown)


def test_wilson_interval_of_a_textbook() -> None:
    """Newcombe 1998, Statist. Med. 17:857-872, Table I: 81/263 gives 0.2553 to 0.3662, 15/148 0.0624 to 0.1605."""
    assert wilson_interval(81, 263) == pytest.approx((0.2553, 0.3662), abs=5e-5)
    assert wilson_interval(15, 148) == pytest.approx((0.0624, 0.1605), abs=5e-5)
    assert wilson_interval(0, 20) == pytest.approx((0.0, 0.1611), abs=5e-5)


def test_sowing_looks() -> None:
    """Common practice: days 7, 14, 21, then weekly; review after 60 days, slow kinds 120."""
    looks = sowing_looks(D)
    assert looks.looks[:3] == tuple(D + timedelta(days=n) for n in (7, 14, 21))
    assert looks.give_up_review == D + timedelta(days=60)
    assert looks.looks[-1] < looks.give_up_review
    assert sowing_looks(D, "Ariocarpus").give_up_review == D + timedelta(days=120)
    assert sowing_looks(D, "Ariocarpus").prick_out[0] > sowing_looks(D).prick_out[0]


def test_sowing_months_turn_in_the_south() -> None:
    mammillaria, conophytum, lithops = (genus_row(name) for name in ("Mammillaria", "Conophytum", "Lithops"))
    assert mammillaria
    assert conophytum
    assert lithops
    assert sowing_months(mammillaria, 52) == {3, 4, 5}
    assert sowing_months(mammillaria, -34) == {9, 10, 11}
    assert sowing_months(mammillaria, 52, heated=True) == {2, 3}
    assert sowing_months(conophytum, 52) == {8, 9}
    assert sowing_months(lithops, 52) == {4}


def test_callus_by_width() -> None:
    """Common practice, as for cut roots."""
    assert callus(8).days == (3, 4)
    assert callus(20).days == (7, 10)
    assert callus(40).days == (14, 21)
    assert callus(90).days == (21, 56)
    assert callus(20, mean_c=12).days == (10, 15)
    assert callus(20, damp_air=True).slowed
    with pytest.raises(ValueError, match="above zero"):
        callus(0)


def test_root_checks_and_grafts() -> None:
    assert root_checks(D, 2) == (D + timedelta(days=21), D + timedelta(days=28))
    assert graft_looks(D) == (D + timedelta(days=7), D + timedelta(days=14), D + timedelta(days=28))


def test_offsets_stay_until_they_can_go_on_alone() -> None:
    assert offset_may_come_off(2, 6)
    assert not offset_may_come_off(1.5, 6)
    assert offset_may_come_off(1, 6, own_roots=True)
    assert next_offset_look(D, 3) == date(2027, 3, 1)
    assert next_offset_look(date(2026, 2, 1), 3) == date(2026, 3, 1)


def test_pending_is_not_dead() -> None:
    batch = rooted_of(6, 4)
    assert (batch.pending, batch.lost) == (2, 0)
    assert rooted_of(6, 4, removed=1).percent == 80
    assert rooted_of(2, 0, removed=2).percent is None
    with pytest.raises(ValueError, match="not possible"):
        rooted_of(6, 5, 2)
