"""The rows of `pests.csv`: warmth that each stage of a pest needs, and the intervals of its treatment.

Each row names its own source, mark and confidence in the table.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from bot.care.sources import Mark, number, package_table

_ROW_OF_SIGN = {"scale_insect": "armoured_scale", "scale": "armoured_scale"}
_WHOLE_DEVELOPMENT = ("egg_to_adult", "generation", "birth_to_adult", "nymph")


@dataclass(frozen=True, slots=True)
class Stage:
    """Warmth that one stage of a pest needs: `k_dd` degree-days above `base_c`, with the range that studies span."""

    item: str
    base_c: float
    base_low_c: float
    base_high_c: float
    upper_c: float
    k_dd: float
    k_low_dd: float
    k_high_dd: float
    mark: Mark
    confidence: str
    source: str


@dataclass(frozen=True, slots=True)
class PestIntervals:
    """Degree-days from a treatment to the re-treatment, the latest treatment and the all-clear, above `base_c`.

    `early_*` is the low end of the egg's range (for looks), `late_*` the high end of the whole development (for the
    all-clear). `trade_days` is the trade's own rule in days, `trade_note` its words.
    """

    base_c: float
    upper_c: float
    retreat_dd: float
    latest_dd: float
    clear_dd: float
    early_base_c: float
    early_retreat_dd: float
    late_base_c: float
    late_clear_dd: float
    trade_days: tuple[int, int] | None
    trade_note: str
    unsure: bool


@dataclass(frozen=True, slots=True)
class PestRow:
    """What is known of one pest. `intervals` is None where a calendar rule stands instead (vine weevil)."""

    key: str
    scientific_name: str
    stages: tuple[Stage, ...]
    intervals: PestIntervals | None

    @property
    def unsure(self) -> bool:
        """Whether the row is of low confidence and must be said to be."""
        return self.intervals is None or self.intervals.unsure

    @property
    def sources(self) -> tuple[str, ...]:
        """The sources of the row's stages, each once, with its mark."""
        return tuple(dict.fromkeys(f"{stage.source} [{stage.mark}]" for stage in self.stages if stage.source))


def pest_row(sign: str, on_cacti: bool | None = None) -> PestRow | None:
    """The row for a sign as a note names it ("mealybug", "scale_insect") or for a row's own key.

    None for signs without degree-days (whitefly, slug, caterpillar, nematode, ant, rodent, pest): they get plain looks.
    """
    key = _ROW_OF_SIGN.get(sign, sign)
    if key == "mealybug":
        key = "mealybug_cactus" if on_cacti else "mealybug_citrus"
    return pest_rows().get(key)


@cache
def pest_rows() -> Mapping[str, PestRow]:
    """All rows of `pests.csv` by key."""
    by_key: dict[str, list[Mapping[str, str]]] = {}
    for line in package_table("pests.csv"):
        by_key.setdefault(line["pest_key"], []).append(line)
    return {key: _row(key, lines) for key, lines in by_key.items()}


def _row(key: str, lines: Sequence[Mapping[str, str]]) -> PestRow:
    stages = tuple(_stage(line) for line in lines if line["kind"] == "stage")
    intervals = {line["item"]: line for line in lines if line["kind"] == "interval"}
    return PestRow(key, lines[0]["scientific_name"], stages, _intervals(stages, intervals) if intervals else None)


def _stage(line: Mapping[str, str]) -> Stage:
    base, k_dd = float(line["t_lower_c"]), float(line["k_dd"])
    return Stage(
        item=line["item"],
        base_c=base,
        base_low_c=number(line["t_lower_min"]) or base,
        base_high_c=number(line["t_lower_max"]) or base,
        upper_c=float(line["t_upper_c"]),
        k_dd=k_dd,
        k_low_dd=number(line["k_dd_min"]) or k_dd,
        k_high_dd=number(line["k_dd_max"]) or k_dd,
        mark=_mark(line["status"]),
        confidence=line["confidence"],
        source=line["source"],
    )


def _intervals(stages: Sequence[Stage], lines: Mapping[str, Mapping[str, str]]) -> PestIntervals:
    retreat, latest, clear = lines["retreat"], lines["latest"], lines["clear"]
    base = float(retreat["t_lower_c"])
    egg = next((stage for stage in stages if stage.item == "egg"), None)
    whole = next(stage for stage in reversed(stages) if stage.item in _WHOLE_DEVELOPMENT)
    trade = number(retreat["trade_days_min"]), number(retreat["trade_days_max"])
    retreat_dd, clear_dd = float(retreat["k_dd"]), float(clear["k_dd"])
    return PestIntervals(
        base_c=base,
        upper_c=float(retreat["t_upper_c"]),
        retreat_dd=retreat_dd,
        latest_dd=float(latest["k_dd"]),
        clear_dd=clear_dd,
        early_base_c=min(base, egg.base_low_c) if egg else base,
        early_retreat_dd=retreat_dd - (egg.k_dd - egg.k_low_dd) if egg else retreat_dd,
        late_base_c=max(base, whole.base_high_c),
        late_clear_dd=clear_dd + (whole.k_high_dd - whole.k_dd),
        trade_days=(int(trade[0]), int(trade[1])) if trade[0] is not None and trade[1] is not None else None,
        trade_note=retreat["trade_note"],
        unsure="low" in {retreat["confidence"], whole.confidence},
    )


def _mark(status: str) -> Mark:
    marks: Mapping[str, Mark] = {"published": "published", "derived": "derived", "memory": "from memory"}
    return marks[status]
