"""The bound on doubled replies can fail: the binomial tail that it rests on beside printed tables."""

import pytest

from tests.crash.test_kills import IMPROBABLE, chance


def test_binomial_tail() -> None:
    """Binomial tables, p = .05 (from memory): n = 20, P(X >= 1) = .6415, P(X >= 2) = .2642, P(X >= 3) = .0755."""
    assert [round(chance(number, 20), 4) for number in (1, 2, 3)] == [0.6415, 0.2642, 0.0755]


@pytest.mark.parametrize(("doubled", "kills", "passes"), [(1, 30, True), (4, 30, True), (9, 30, False), (18, 60, False)])
def test_a_share_far_above_one_in_twenty_fails(doubled: int, kills: int, passes: bool) -> None:
    assert (chance(doubled, kills) > IMPROBABLE) is passes
