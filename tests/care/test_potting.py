"""Pots and mix: the pot for a root, what cannot be, and what to buy."""

from __future__ import annotations

import pytest

from bot.care.potting import batch_litres, buy_list, parts_of, pot_for, pot_volume_litres, top_dressing_litres


def test_a_tap_root_gets_a_narrow_deep_pot() -> None:
    """Common practice: 1 cm round the body, as deep as the root and 2 to 3 cm."""
    pot = pot_for("tap", body_cm=4.5, root_length_cm=9)
    assert pot.diameter_cm == 6.5
    assert pot.depth_range_cm == (11, 12)
    assert pot.deep


def test_spreading_roots_get_a_wide_shallow_pot() -> None:
    """Common practice: root spread and 1 to 2 cm, shallow."""
    pot = pot_for("fibrous", body_cm=5, spread_cm=8)
    assert pot.diameter_range_cm == (9, 10)
    assert pot.depth_cm < pot.diameter_cm
    assert not pot.deep
    assert pot_for("fibrous", spread_cm=8, root_length_cm=14).depth_cm == 15


def test_sizes_that_are_missing_or_impossible() -> None:
    with pytest.raises(ValueError, match="body's width and the root's length"):
        pot_for("tap", body_cm=4.5)
    with pytest.raises(ValueError, match="spread or the body"):
        pot_for("fibrous")
    with pytest.raises(ValueError, match="not possible"):
        pot_for("fibrous", body_cm=0)
    with pytest.raises(ValueError, match="above zero"):
        pot_volume_litres(0, 6, 8)
    with pytest.raises(ValueError, match="rim gap"):
        pot_volume_litres(9, 6, 8, rim_gap_cm=9)


def test_a_box_is_its_sides_multiplied() -> None:
    assert pot_volume_litres(10, 10, 10, "square") == pytest.approx(1.0)


def test_parts_of_a_mix() -> None:
    assert parts_of(10, (2, 1, 1)) == (5, 2.5, 2.5)
    with pytest.raises(ValueError, match="above zero"):
        parts_of(10, (2, 0))


def test_batches() -> None:
    assert batch_litres(24, 0.29, 0.1) == pytest.approx(24 * 0.19 * 1.155)
    with pytest.raises(ValueError, match="root balls smaller"):
        batch_litres(3, 0.2, 0.2)
    assert top_dressing_litres(1, 10, 1) == pytest.approx(0.0785, abs=1e-4)


def test_buy_list_by_size_and_depth() -> None:
    waiting = [pot_for("tap", 4.5, 9), pot_for("tap", 4.6, 9.5), pot_for("fibrous", 5, spread_cm=8), pot_for("fibrous", 4.2)]
    lines = buy_list(waiting)
    assert [(line.size_cm, line.deep, line.count) for line in lines] == [(5.5, False, 1), (7.0, True, 2), (9.0, False, 1)]
    assert all(line.litres > 0 for line in lines)
    assert buy_list([]) == ()
