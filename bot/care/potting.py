"""Pots and mix: which pot for which root, what a pot holds, how much mix a batch needs, and what to buy."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from bot.care.drying import HEIGHT_OF_TOP, Shape
from bot.care.genera import RootForm
from bot.care.sources import COMMON_PRACTICE, PROJECT_DEFAULT, Reason, Trust

ROOM_ROUND_BODY_CM = 1.0
DEEPER_THAN_ROOT_CM = (2.0, 3.0)
WIDER_THAN_SPREAD_CM = (1.0, 2.0)
SHALLOW_OF_WIDTH = (0.5, 0.7)
SHALLOW_BELOW_ROOT_CM = 1.0
RIM_GAP_CM = 1.5
SETTLING = 1.10
WASTE = 1.05
VOLUME_RULE = 0.40
VOLUME_RULE_ERROR = 0.15
TRADE_GALLON_L = 2.75
TRADE_SIZES_CM = (5.5, 6.0, 7.0, 8.0, 9.0, 10.5, 11.0, 13.0, 15.0, 17.0, 19.0, 20.0, 23.0, 25.0)
DEEP_POT_OF_WIDTH = 1.2

_SIZES = Trust("published", "Jacksons Nurseries, pot size guide; Hortico (Lavan), pot-size table")
TRUST = {
    "ROOM_ROUND_BODY_CM": Trust("common practice", "a tap root wants a pot just wider than the body"),
    "DEEPER_THAN_ROOT_CM": COMMON_PRACTICE,
    "WIDER_THAN_SPREAD_CM": COMMON_PRACTICE,
    "SHALLOW_OF_WIDTH": Trust("project default", "spreading roots want a wide, shallow pot"),
    "SHALLOW_BELOW_ROOT_CM": PROJECT_DEFAULT,
    "RIM_GAP_CM": Trust("project default", "room for water and top-dressing"),
    "SETTLING": Trust("common practice", "mix settles by 5 to 20 %"),
    "WASTE": COMMON_PRACTICE,
    "VOLUME_RULE": Trust("derived", "Hortico (Lavan), pot-size table: 0.40 D^3 / 1000 within 15 %"),
    "VOLUME_RULE_ERROR": Trust("derived", "Hortico (Lavan), pot-size table"),
    "TRADE_GALLON_L": Trust("published", "Wikipedia, Trade gallon (citing Glenn et al. 2000; Avent 2003): 2.7 to 2.8 L"),
    "TRADE_SIZES_CM": _SIZES,
    "DEEP_POT_OF_WIDTH": Trust("project default", "from here on a pot is sold as deep"),
}


@dataclass(frozen=True, slots=True)
class PotChoice:
    """The pot a plant asks for: inner width and depth in cm with their ranges, and why."""

    diameter_cm: float
    diameter_range_cm: tuple[float, float]
    depth_cm: float
    depth_range_cm: tuple[float, float]
    deep: bool
    reason: Reason


@dataclass(frozen=True, slots=True)
class PotLine:
    """One line of a buy list: pots of a trade size, deep or usual, and the litres of mix that fill them."""

    size_cm: float
    deep: bool
    count: int
    litres: float


def pot_for(
    roots: RootForm, body_cm: float | None = None, root_length_cm: float | None = None, spread_cm: float | None = None
) -> PotChoice:
    """The pot for a plant by its root, from body width, root length and root spread in cm as measured at the bench.

    Tap root and tuber: just wider than the body, as deep as the root and a little. Fibrous: a little wider than the
    spread (else the body), and shallow. Raises ValueError where the sizes needed are missing or not above zero.
    """
    given = {"body": body_cm, "root length": root_length_cm, "spread": spread_cm}
    for name, size in given.items():
        if size is not None and not 0 < size <= 200:
            raise ValueError(f"{name} of {size:g} cm is not possible")
    return _storage_root_pot(given) if roots in ("tap", "tuber") else _fibrous_pot(given)


def pot_volume_litres(top_cm: float, base_cm: float, height_cm: float, shape: Shape = "round", rim_gap_cm: float = 0.0) -> float:
    """Litres a pot holds, from its inner sizes, to the brim or to `rim_gap_cm` below it.

    Raises ValueError for sizes that are not above zero or a gap that leaves nothing.
    """
    height = height_cm - rim_gap_cm
    if min(top_cm, base_cm, height_cm) <= 0 or height <= 0 or rim_gap_cm < 0:
        raise ValueError("top, base and height of a pot must be above zero, with room below the rim gap")
    fill_cm = base_cm + (top_cm - base_cm) * height / height_cm
    frustum = height * (fill_cm**2 + fill_cm * base_cm + base_cm**2) / 3
    return (math.pi / 4 if shape == "round" else 1.0) * frustum / 1000


def volume_by_rule(top_cm: float, shape: Shape = "round") -> float:
    """Litres of a pot of the usual shape by its top width alone, within 15 %."""
    return VOLUME_RULE * top_cm**3 / 1000 * (1.0 if shape == "round" else 4 / math.pi)


def batch_litres(
    pots: int, litres_each: float, rootball_litres: float = 0.0, settling: float = SETTLING, waste: float = WASTE
) -> float:
    """Litres of mix for a batch of pots, less the root balls, with settling and waste.

    Raises ValueError for a count below one or root balls larger than their pots.
    """
    if pots < 1 or litres_each <= 0 or not 0 <= rootball_litres < litres_each:
        raise ValueError("a batch wants at least one pot, litres above zero and root balls smaller than the pots")
    return pots * (litres_each - rootball_litres) * settling * waste


def parts_of(litres: float, ratio: Sequence[float]) -> tuple[float, ...]:
    """Litres of each part of a mix (10 litres at 2:1:1 are 5, 2.5, 2.5). Raises ValueError for parts not above zero."""
    if not ratio or min(ratio) <= 0 or litres <= 0:
        raise ValueError("the parts of a mix and its litres must be above zero")
    return tuple(litres * part / sum(ratio) for part in ratio)


def top_dressing_litres(pots: int, top_cm: float, depth_cm: float = 1.0, shape: Shape = "round") -> float:
    """Litres of grit that cover the mix of so many pots to a depth."""
    return pots * (math.pi / 4 if shape == "round" else 1.0) * top_cm**2 * depth_cm / 1000


def buy_list(choices: Iterable[PotChoice]) -> tuple[PotLine, ...]:
    """Pots to buy for what waits to be potted: trade sizes at least as wide as asked, usual and deep apart."""
    counts = Counter((_trade_size(choice.diameter_range_cm[0]), choice.deep) for choice in choices)
    return tuple(PotLine(size, deep, count, _fill_litres(size, deep, count)) for (size, deep), count in sorted(counts.items()))


def _storage_root_pot(given: dict[str, float | None]) -> PotChoice:
    body, root = given["body"], given["root length"]
    if body is None or root is None:
        raise ValueError("a tap root or tuber wants the body's width and the root's length (in cm)")
    width = max(body, given["spread"] or 0.0) + 2 * ROOM_ROUND_BODY_CM
    low, high = (root + more for more in DEEPER_THAN_ROOT_CM)
    depth = (low + high) / 2
    reason = _reason(given, "ROOM_ROUND_BODY_CM", width)
    return PotChoice(width, (width, width), depth, (low, high), depth >= DEEP_POT_OF_WIDTH * width, reason)


def _fibrous_pot(given: dict[str, float | None]) -> PotChoice:
    across = given["spread"] or given["body"]
    if across is None:
        raise ValueError("fibrous roots want their spread or the body's width (in cm)")
    narrow, wide = (across + more for more in WIDER_THAN_SPREAD_CM)
    width = (narrow + wide) / 2
    low, high = (share * width for share in SHALLOW_OF_WIDTH)
    if given["root length"] is not None:
        # Coiled or long roots call for depth even where they are thin.
        low, high = (max(bound, given["root length"] + SHALLOW_BELOW_ROOT_CM) for bound in (low, high))
    depth = (low + high) / 2
    reason = _reason(given, "WIDER_THAN_SPREAD_CM", width)
    return PotChoice(width, (narrow, wide), depth, (low, high), depth >= DEEP_POT_OF_WIDTH * width, reason)


def _reason(given: dict[str, float | None], constant: str, width: float) -> Reason:
    return Reason("pot width", width, None, "cm", None, TRUST[constant], {key: size for key, size in given.items() if size})


def _trade_size(at_least_cm: float) -> float:
    return next((size for size in TRADE_SIZES_CM if size >= at_least_cm - 0.25), math.ceil(at_least_cm))


def _fill_litres(size_cm: float, deep: bool, count: int) -> float:
    each = volume_by_rule(size_cm) * (DEEP_POT_OF_WIDTH / HEIGHT_OF_TOP if deep else 1.0)
    return batch_litres(count, each)
