"""Counts, doses and pots: arithmetic against worked examples of others."""

from __future__ import annotations

import math
from typing import Protocol

import pytest

from bot.care.doses import (
    DoseRefused,
    Rate,
    dilution_ml,
    dose,
    grams_for_nitrogen,
    nitrogen_ppm,
    no_dose_for,
    parse_litres,
    parse_rate,
)
from bot.care.frost import habit_of_nights
from bot.care.pests import course_works, possible_share
from bot.care.potting import parts_of, top_dressing_litres
from bot.care.propagation import germination, rooted_of, wilson_interval

pytestmark = pytest.mark.published

NEWCOMBE = "Newcombe 1998, Statistics in Medicine 17:857-872, Table I, Wilson score method"
WHO = "WHO 2010, Guide to Local Production: WHO-recommended Handrub Formulations, for 10 litres"
OUNCE_G, GALLON_L = 28.349523125, 3.785411784  # US customary units, NIST Handbook 44, Appendix C


class Published(Protocol):
    def close(
        self, got: float, printed: float, tolerance: float, source: str, unit: str = "", *, relative: bool = False
    ) -> None: ...


@pytest.mark.parametrize(
    ("hits", "tries", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_wilson_interval(hits: int, tries: int, low: float, high: float, published: Published) -> None:
    """Newcombe 1998, Table I."""
    for got, printed in zip(wilson_interval(hits, tries), (low, high), strict=True):
        published.close(got, printed, 0.00005, NEWCOMBE)
    of_seed = germination(hits, tries)
    published.close(of_seed.low, 100 * low, 0.005, NEWCOMBE, "%")
    published.close(of_seed.high, 100 * high, 0.005, NEWCOMBE, "%")
    published.close(of_seed.percent, 100 * hits / tries, 1e-9, "a share", "%")


@pytest.mark.parametrize(("clear", "most"), [(30, 0.095), (60, 0.049), (100, 0.0295), (300, 0.00994)])
def test_rule_of_three(clear: int, most: float, published: Published) -> None:
    """Hanley & Lippman-Hand 1983, JAMA 249:1743-1745: 3/n beside the exact 95 % limit 1 - 0.05^(1/n)."""
    assert most == pytest.approx(1 - 0.05 ** (1 / clear), abs=0.0005)
    published.close(possible_share(clear), most, 0.06, "Hanley & Lippman-Hand 1983, JAMA 249:1743-1745", relative=True)


def test_one_spray_takes_about_half() -> None:
    """University of Kentucky extension, spider mites: one spray gives 50 to 60 %."""
    assert course_works([40, 20]) is True
    assert course_works([40, 16]) is True
    assert course_works([40, 25]) is False
    assert course_works([40]) is None


@pytest.mark.parametrize(("below_sd", "share"), [(0, 0.5), (1, 0.1587), (2, 0.0228)])
def test_habit_of_nights(below_sd: float, share: float, published: Published) -> None:
    """Table of the normal distribution: Phi(0) = .5000, Phi(-1) = .1587, Phi(-2) = .0228."""
    nights = [4.0, 8.0, 4.0, 8.0, 4.0, 8.0]
    spread = math.sqrt(6 * 4 / 5)
    found = habit_of_nights(6 - below_sd * spread, nights)
    assert found
    published.close(found[0], share, 0.00005, "Table of the normal distribution")
    assert habit_of_nights(3, [5.0]) is None


@pytest.mark.parametrize(("strong", "weak", "printed_ml"), [(96, 80, 8333), (99.8, 75, 7515)])
def test_dilution(strong: float, weak: float, printed_ml: float, published: Published) -> None:
    """WHO 2010: 8,333 ml of 96 % ethanol, or 7,515 ml of 99.8 % isopropyl alcohol, made up to 10 litres of 80 and 75 %."""
    alcohol, water = dilution_ml(strong, weak, 10_000)
    published.close(alcohol, printed_ml, 0.5, WHO, "ml")
    published.close(alcohol + water, 10_000, 1e-6, WHO, "ml")


def test_parts_per_million_of_nitrogen(published: Published) -> None:
    """UMass Extension, greenhouse fertilizer calculations (from memory): an ounce in 100 gallons is 75 ppm of a pure element."""
    per_litre = OUNCE_G / (100 * GALLON_L)
    source = "UMass Extension, greenhouse fertilizer calculations: 1 oz in 100 gal is 75 ppm (from memory)"
    published.close(nitrogen_ppm(per_litre, 100), 75, 0.5, source, "ppm")
    published.close(nitrogen_ppm(per_litre, 20), 15, 0.1, source, "ppm")
    published.close(grams_for_nitrogen(15, 20, 100 * GALLON_L), OUNCE_G, 0.2, source, "g")


def test_rates_as_labels_write_them(published: Published) -> None:
    """Definitions: 1 in 200 is 5 ml/l, 1 % by volume is 10 ml/l (common practice of labels)."""
    for text, per_litre in (("1 in 200", 5), ("1:100", 10), ("1%", 10), ("10 ml per 5 litres", 2), ("500mg/l", 0.5)):
        published.close(parse_rate(text).per_litre, per_litre, 1e-9, "definition of a rate", "per litre")
    published.close(dose(parse_rate("2ml/l"), parse_litres("7l")).amount, 14, 1e-9, "definition of a rate", "ml")
    published.close(parse_litres("500 ml"), 0.5, 1e-12, "SI: 1000 ml are a litre (common practice)", "l")


def test_no_dose_for_what_the_label_and_the_law_decide() -> None:
    """Directive 2009/128/EC; 7 U.S.C. 136j(a)(2)(G): a plant protection product is used as its label says."""
    assert no_dose_for("Imidacloprid granules") == "systemic"
    with pytest.raises(DoseRefused):
        dose(Rate(1), 5, "acetamiprid")
    with pytest.raises(DoseRefused, match="label"):
        dose(Rate(12), 1, "soap", Rate(10))
    assert dose(Rate(10), 1, "soap", Rate(10)).amount == 10


def test_parts_and_grit(published: Published) -> None:
    """Shares by definition; a layer of 1 cm on a round 9 cm pot is a cylinder of 63.6 cm3."""
    assert parts_of(10, (2, 1, 1)) == (5, 2.5, 2.5)
    published.close(sum(parts_of(7, (3, 2, 2))), 7, 1e-9, "geometry")
    published.close(top_dressing_litres(100, 9), 100 * math.pi * 4.5**2 / 1000, 1e-9, "geometry", "l")
    published.close(top_dressing_litres(10, 8, 2, "square"), 10 * 8 * 8 * 2 / 1000, 1e-9, "geometry", "l")


def test_a_pending_cutting_is_no_dead_one() -> None:
    """Common practice: rooted of taken, those removed left out, the pending kept pending."""
    batch = rooted_of(20, 12, 3, 2)
    assert (batch.pending, batch.percent) == (3, 100 * 12 / 18)
    with pytest.raises(ValueError, match="not possible"):
        rooted_of(5, 6)
