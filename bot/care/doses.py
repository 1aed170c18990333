"""Dose arithmetic and nothing more: the label rules, and some things get no dose at all."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from bot.care.sources import Trust

Unit = Literal["ml", "g"]

NO_DOSE: Mapping[str, tuple[str, ...]] = {
    "systemic": tuple(
        """systemic imidacloprid acetamiprid thiacloprid thiamethoxam dinotefuran clothianidin nitenpyram neonicotinoid
        flupyradifurone sulfoxaflor spirotetramat dimethoate acephate""".split()
    ),
    "peroxide": ("peroxide", "h2o2"),
    "essential oil": ("essential oil", "tea tree", "rosemary oil", "clove oil", "peppermint oil", "lavender oil", "thyme oil"),
}
LARGEST_LITRES = 10_000.0

TRUST = {
    "NO_DOSE": Trust(
        "project default",
        "label and local rules for systemics (active substances from memory); peroxide and essential oils are unproven",
    ),
    "LARGEST_LITRES": Trust("project default", "beyond this a unit was mistyped"),
}

_NUMBER = r"(\d+(?:[.,]\d+)?|[.,]\d+)"
_PER_LITRE = re.compile(
    rf"{_NUMBER}\s*(ml|millilit(?:re|er)s?|cc|g|grams?|mg)\s*(?:/|per|to the|a)\s*{_NUMBER}?\s*(?:l|lit(?:re|er)s?)"
)
_ONE_IN = re.compile(rf"{_NUMBER}\s*(?:in|to|:|/)\s*{_NUMBER}")
_PERCENT = re.compile(rf"{_NUMBER}\s*(?:%|percent|per cent)(?:\s*v/?v)?")
_VOLUME = re.compile(rf"{_NUMBER}\s*(ml|l|lit(?:re|er)s?|cc)?")


class DoseRefused(ValueError):
    """No dose is given: for what must not be dosed by a bot, or above the label's rate that the grower entered."""


@dataclass(frozen=True, slots=True)
class Rate:
    """A rate of so many millilitres or grams in one litre."""

    per_litre: float
    unit: Unit = "ml"


@dataclass(frozen=True, slots=True)
class Dose:
    """How much goes into how many litres."""

    amount: float
    unit: Unit
    litres: float


def no_dose_for(product: str) -> str | None:
    """Why a product gets no dose ("systemic", "peroxide", "essential oil"), or None where arithmetic is allowed."""
    said = product.casefold()
    return next((kind for kind, words in NO_DOSE.items() if any(word in said for word in words)), None)


def dose(rate: Rate, litres: float, product: str = "", label_rate: Rate | None = None) -> Dose:
    """What a rate makes of so many litres: 2 ml/l in 7 litres are 14 ml.

    Raises DoseRefused for products that get none and above the label's rate, ValueError for amounts that cannot be.
    """
    kind = no_dose_for(product)
    if kind:
        raise DoseRefused(f"no dose for {product} ({kind}): the label and your local rules decide")
    if label_rate and (label_rate.unit != rate.unit or rate.per_litre > label_rate.per_litre):
        raise DoseRefused(f"above the label's {label_rate.per_litre:g} {label_rate.unit}/l: the label is the law")
    if not 0 < litres <= LARGEST_LITRES or not 0 < rate.per_litre <= 1000:
        raise ValueError("the rate and the litres of water must be above zero and possible")
    return Dose(rate.per_litre * litres, rate.unit, litres)


def parse_rate(text: str) -> Rate:
    """A rate as growers write it: "2ml/l", "10 ml per 5 litres", "1 in 200", "1:200", "2%", "0.5 g/l".

    1 in 200 is one part in 200 parts of the mixture, 5 ml/l. Raises ValueError for anything else.
    """
    said = text.strip().casefold()
    match = _PER_LITRE.fullmatch(said)
    if match:
        amount, unit, litres = _value(match[1]), match[2], _value(match[3]) if match[3] else 1.0
        return _rate(amount / 1000 if unit == "mg" else amount, litres, "g" if unit.startswith(("g", "mg")) else "ml")
    match = _PERCENT.fullmatch(said)
    if match:
        return _rate(10 * _value(match[1]), 1.0, "ml")
    match = _ONE_IN.fullmatch(said)
    if match:
        return _rate(1000 * _value(match[1]), _value(match[2]), "ml")
    raise ValueError(f'a rate reads like "2ml/l", "1 in 200" or "2%", not "{text}"')


def parse_litres(text: str) -> float:
    """Litres as growers write them: "7l", "7", "500 ml", "1.5 litres". Raises ValueError for anything else."""
    match = _VOLUME.fullmatch(text.strip().casefold())
    if not match:
        raise ValueError(f'water reads like "7l" or "500ml", not "{text}"')
    return _value(match[1]) / (1000 if match[2] in ("ml", "cc") else 1)


def nitrogen_ppm(grams_per_litre: float, nitrogen_percent: float) -> float:
    """Parts per million of nitrogen in a feed: grams per litre x percent N x 10 (0.5 g/l of 20-10-20 are 100).

    Raises ValueError for a percentage outside 0 to 100 or a rate below zero.
    """
    if grams_per_litre < 0 or not 0 <= nitrogen_percent <= 100:
        raise ValueError("grams per litre must not be negative, percent N lies between 0 and 100")
    return grams_per_litre * nitrogen_percent * 10


def grams_for_nitrogen(ppm: float, nitrogen_percent: float, litres: float = 1.0) -> float:
    """Grams of a feed that give so many ppm of nitrogen in so many litres. Raises ValueError without nitrogen."""
    if not 0 < nitrogen_percent <= 100 or ppm < 0 or litres <= 0:
        raise ValueError("percent N lies above 0 and up to 100, ppm not below 0, litres above 0")
    return ppm * litres / (nitrogen_percent * 10)


def dilution_ml(strong_percent: float, weak_percent: float, total_ml: float) -> tuple[float, float]:
    """Millilitres of the strong liquid and of water for so much of the weak one (99 to 70 %, 1 l: 707 and 293).

    By volumes made up; alcohol and water shrink a little when mixed. Raises ValueError where the weak one is not weaker.
    """
    if not 0 < weak_percent <= strong_percent <= 100 or total_ml <= 0:
        raise ValueError("the wanted strength must lie above 0 and not above what you have, the volume above 0")
    strong_ml = total_ml * weak_percent / strong_percent
    return strong_ml, total_ml - strong_ml


def _rate(amount: float, litres: float, unit: Unit) -> Rate:
    if amount <= 0 or litres <= 0:
        raise ValueError("a rate must be above zero")
    return Rate(amount / litres, unit)


def _value(text: str) -> float:
    return float(text.replace(",", "."))
