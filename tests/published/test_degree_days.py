"""Degree-days against published tables; each row of `data/degree_days.csv` names its source."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Protocol

import pytest

from bot.care.climate import DayTemperature
from bot.care.degreedays import Cutoff, Method, degree_days, double_degree_days
from bot.care.pests import pest_row, reinspection

pytestmark = pytest.mark.published

TABLE = Path(__file__).parent / "data" / "degree_days.csv"
ROWS = list(csv.DictReader(TABLE.read_text(encoding="utf-8").splitlines()))
METHODS: Mapping[str, Method] = {
    "single_sine": "sine",
    "single_triangle": "triangle",
    "average_method1": "average",
    "average_method2": "average-clamped",
}
CUTOFFS: Mapping[str, Cutoff] = {
    "none": "horizontal",
    "horizontal": "horizontal",
    "vertical": "vertical",
    "intermediate": "intermediate",
}
ZALOM = (
    "Zalom, Goodell, Wilson, Barnett & Bentley 1983, Degree-Days: The Calculation and Use of Heat Units in Pest Management "
    "(Univ. California), Table 7"
)
DAY0 = date(2025, 5, 1)


class Published(Protocol):
    def close(
        self, got: float, printed: float, tolerance: float, source: str, unit: str = "", *, relative: bool = False
    ) -> None: ...


def sourced(row: Mapping[str, str]) -> str:
    source = row["source"].split(", day ")[0].split(", case ")[0]
    return f"{source} [{row['status'].replace('computed_reference', 'reference computation').replace('_', ' ')}]"


def named(row: Mapping[str, str]) -> str:
    return f"{row['id']} {row['method']} {row['cutoff']} {row['pest_key']} {row['source'][:48]}"


DAILY = [row for row in ROWS if row["method"] in METHODS]
COUNTED = [row for row in ROWS if row["method"].endswith("_k")]


def test_every_row_is_used() -> None:
    assert len(DAILY) + len(COUNTED) == len(ROWS) == 270


@pytest.mark.parametrize("row", DAILY, ids=named)
def test_one_day(row: Mapping[str, str], published: Published) -> None:
    upper = float(row["upper"]) if row["cutoff"] != "none" else None
    got = degree_days(
        float(row["tmin"]), float(row["tmax"]), float(row["lower"]), upper, METHODS[row["method"]], CUTOFFS[row["cutoff"]]
    )
    published.close(got, float(row["expected"]), float(row["tolerance"]), sourced(row), "DD")


@pytest.mark.parametrize("row", COUNTED, ids=named)
def test_days_to_an_interval(row: Mapping[str, str], published: Published) -> None:
    weather = DayTemperature(float(row["tmin"]), float(row["tmax"]))
    pest = pest_row(row["pest_key"])
    assert pest is not None
    assert pest.intervals is not None
    assert float(row["k_dd"]) == getattr(pest.intervals, f"{row['item']}_dd")
    due = reinspection(pest, DAY0, lambda _: weather, DAY0, horizon_days=400)
    got = {"retreat": due.retreat_on, "latest": due.latest_on, "clear": due.clear_on}[row["item"]]
    assert got is not None
    published.close((got - DAY0).days, float(row["expected"]), float(row["tolerance"]), sourced(row), "days")


@pytest.mark.parametrize(
    ("pest", "at_c", "seen_days", "tolerance", "source"),
    [
        ("thrips", 15, 34.2, 2, "Katayama 1997, Jpn. J. Appl. Entomol. Zool. 41(4), days from egg to adult [published]"),
        ("thrips", 20, 19.2, 1, "Katayama 1997, Jpn. J. Appl. Entomol. Zool. 41(4), days from egg to adult [published]"),
        ("thrips", 25, 12.1, 1, "Katayama 1997, Jpn. J. Appl. Entomol. Zool. 41(4), days from egg to adult [published]"),
        ("thrips", 30, 9.5, 1, "Katayama 1997, Jpn. J. Appl. Entomol. Zool. 41(4), days from egg to adult [published]"),
        ("armoured_scale", 21.5, 53.05, 6, "Zambrano et al. 2024, CEDAMAZ 14(2):138-143, female cycle [published]"),
        ("armoured_scale", 27, 39.75, 8, "Zambrano et al. 2024, CEDAMAZ 14(2):138-143, female cycle [published]"),
        ("fungus_gnat", 24, 21, 3, "common practice: suppliers' 20 to 25 days at 20-25 C, 3 weeks at 24 C"),
        ("spider_mite", 15, 33, 1, "common practice: Sound Horticulture, spider mite management, days at 15 C"),
        ("spider_mite", 21, 14, 2, "common practice: Sound Horticulture, spider mite management, days at 21 C"),
        ("spider_mite", 30, 7, 1, "common practice: Sound Horticulture, spider mite management, days at 30 C"),
    ],
)
def test_development_seen(pest: str, at_c: float, seen_days: float, tolerance: float, source: str, published: Published) -> None:
    row = pest_row(pest)
    assert row is not None
    whole = next(stage for stage in row.stages if stage.item == "egg_to_adult")
    got = whole.k_dd / degree_days(at_c, at_c, whole.base_c, whole.upper_c)
    published.close(got, seen_days, tolerance, source, "days")


def test_double_triangle(published: Published) -> None:
    # The table prints 24.88 for 60/100 with 75 next; the halves it is made of print 23.75 and 30.50 (see its cases 5).
    first, second = (degree_days(low, 100, 55, 90, "triangle") for low in (60, 75))
    published.close(first, 23.75, 0.006, f"{ZALOM} [published]", "DD")
    assert double_degree_days(60, 100, 75, 55, 90, "triangle") == pytest.approx((first + second) / 2)
