"""The sums of a lot against a stock book kept by hand."""

from __future__ import annotations

import pytest

from bot.care.ledger import ledger_of
from bot.care.standing import Standing, Thing

pytestmark = pytest.mark.published


def test_a_stock_book_closes() -> None:
    """Common practice of stock books: what came in and was found is what is there, what went out, what died and what is missing.

    Worked by hand: 17 came of 18 ordered, 1 was found beyond; 2 given, 3 dead, 1 missing, so 12 are left, 8 of them without a
    number. One of the numbered plants died and one was given since.
    """
    standing = Standing()
    lot = standing.thing("lot", "barn")
    lot.count = 8
    lot.tally = {"ordered": 18, "come": 17, "beyond": 1, "split_off": 6, "given": 1, "died": 1, "discarded": 1, "missing": 1}
    fates = ("alive", "alive", "alive", "alive", "dead", "given")
    for number, status in enumerate(fates, 214):
        one = standing.thing("plant", str(number))
        one.status, one.count = status, 1 if status == "alive" else 0
        one.tally["split_from"] = "lot:barn"
    standing.things[("plant", "12")] = Thing("plant", "12", lot="barn")  # of the lot by word only: it was never counted in it
    found = ledger_of(standing, lot)
    assert (found.ordered, found.come, found.beyond) == (18, 17, 1)
    assert (found.alive, found.unnumbered, [one.key for one in found.numbered]) == (12, 8, ["214", "215", "216", "217"])
    assert (found.out, found.dead, found.missing) == (2, 3, 1)
    assert found.closes
