"""Dose arithmetic as it is asked for in words: "how much for 7 l at 2 ml/l", "dilute 99% to 70%, 1 litre"."""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from bot.care.doses import DoseRefused, Rate, dilution_ml, dose, grams_for_nitrogen, no_dose_for, parse_litres, parse_rate
from bot.care.standing import LABEL
from bot.notes.lexicon import load

_N = r"\d+(?:[.,]\d+)?|[.,]\d+"
_LITRES = rf"(?:{_N})\s*(?:millilit(?:re|er)s?|ml|cc|lit(?:re|er)s?|l)\b"
RATE = (
    rf"(?:{_N})\s*(?:ml|millilit(?:re|er)s?|cc|mg|g|grams?)\s*(?:/|per|to the|a)\s*(?:{_N})?\s*(?:lit(?:re|er)s?|l)\b"
    rf"|(?:{_N})\s*(?:in|:)\s*(?:{_N})\b|(?:{_N})\s*(?:%|percent|per cent)"
)
_RATE = re.compile(RATE, re.IGNORECASE)
_VOLUME = re.compile(_LITRES, re.IGNORECASE)
_DILUTE = re.compile(
    rf"(?:how (?:do i|to) )?(?:dilute|thin|make)?\s*({_N})\s*(?:%|percent)[a-z ]*?\s"
    rf"(?:down )?to\s+({_N})\s*(?:%|percent)?(?P<rest>.*)",
    re.IGNORECASE,
)
_FEED = re.compile(rf"\b({_N})\s*[-:]\s*(?:{_N})\s*[-:]\s*(?:{_N})\b")
_PPM = re.compile(rf"\b({_N})\s*ppm\b", re.IGNORECASE)
_FEED_WORDS = frozenset({"feed", "fertiliser", "fertilizer", "nitrogen", "n", "grams", "many", "much", "how", "from", "using"})
_ACTIVE = re.compile(r"[a-z]{2,}(?:oate|prid|mectin|thrin|oxam|mate?|fen|zole|strobin)")  # how active substances are named
_BETWEEN = re.compile(
    r"(?:how much|what|is|are|the|dose|of|for|at|in|into|to|with|a|an|water|please|and|do|i|need|make|up|mix)?[\s,;?!.=]*"
)


def label_of(words: str, labels: Mapping[str, Rate]) -> Rate | None:
    """Return the greatest rate that the label of a product named in the words allows, as far as the grower said it."""
    low = words.lower()
    named = [one for one in labels if re.search(rf"\b{re.escape(one)}\b", low)]
    return labels[max(named, key=len)] if named else None


def labels_said(rules: Mapping[str, Mapping[str, Any]]) -> dict[str, Rate]:
    """Return the label rates among the grower's rules, by product."""
    return {
        key.removeprefix(LABEL): Rate(float(one["per_litre"]), "g" if one["unit"] == "g" else "ml")
        for key, one in rules.items()
        if key.startswith(LABEL)
    }


def worked_dose(
    text: str,
    product: str = "",
    rate: str = "",
    litres: float | None = None,
    labels: Mapping[str, Rate] = MappingProxyType({}),
) -> Mapping[str, Any] | None:
    """Return what a question about a dose comes to, None where it holds no rate and no water.

    `labels` are the greatest rates by product: above them there is no dose.

    One of `{"amount", "unit", "litres", "rate"}`, `{"strong_ml", "water_ml", "from", "to"}`, `{"grams", "litres", "ppm"}`,
    `{"refused", "product"}` where the bot gives no dose, `{"above_label"}` or `{"wrong"}` with what is wanted.
    """
    said = f"{text} {product}".strip()
    refused = no_dose_for(said)
    if refused:
        return {"refused": refused, "product": product}
    try:
        return _diluted(text) or _feed(text) or _of_rate(text, rate, litres, label_of(said, labels))
    except DoseRefused as refusal:
        return {"above_label": str(refusal)}
    except ValueError as problem:
        return {"wrong": str(problem)}


def is_bare_dose(text: str) -> bool:
    """Whether a note is nothing but a dose to be worked out: "2ml/l for 7 litres", "99% to 70%, 1 litre"."""
    said = text.strip()
    if _DILUTE.fullmatch(said) and _VOLUME.search(said):
        return True
    if _is_bare_feed(said):
        return True
    rate = _RATE.search(said)
    if rate is None:
        return False
    rest = said[: rate.start()] + " " + said[rate.end() :]
    water = _VOLUME.search(rest)
    if water is None:
        return False
    words = (rest[: water.start()] + " " + rest[water.end() :]).split()
    return all(_BETWEEN.fullmatch(one) or _is_product(one) for one in words)


def _is_product(word: str) -> bool:
    """Whether a word names what is sprayed or poured, and nothing that could have been done with it."""
    said = word.strip(",;.:?!").lower()
    senses = load().single.get(said, ())
    if senses:
        return all(one.family == "product" for one in senses)
    return no_dose_for(said) is not None or _ACTIVE.fullmatch(said) is not None


def _is_bare_feed(text: str) -> bool:
    """Whether a text is nothing but a feed and the nitrogen wanted: "100 ppm of 20-10-20 for 5 l"."""
    rest = text
    for pattern in (_FEED, _PPM, _VOLUME):
        found = pattern.search(rest)
        if found is None and pattern is not _VOLUME:
            return False
        rest = f"{rest[: found.start()]} {rest[found.end() :]}" if found else rest
    return all(_BETWEEN.fullmatch(one) for one in rest.lower().split() if one not in _FEED_WORDS)


def _diluted(text: str) -> Mapping[str, Any] | None:
    match = _DILUTE.search(text)
    if match is None:
        return None
    water = _VOLUME.search(match["rest"]) or _VOLUME.search(text)
    total_ml = 1000 * parse_litres(water[0]) if water else 1000.0
    strong, weak = _number(match[1]), _number(match[2])
    strong_ml, water_ml = dilution_ml(strong, weak, total_ml)
    return {"strong_ml": strong_ml, "water_ml": water_ml, "from": strong, "to": weak, "total_ml": total_ml}


def _feed(text: str) -> Mapping[str, Any] | None:
    """Grams of a feed "20-10-20" for so many ppm of nitrogen."""
    feed, ppm, water = _FEED.search(text), _PPM.search(text), _VOLUME.search(text)
    if feed is None or ppm is None:
        return None
    litres = parse_litres(water[0]) if water else 1.0
    grams = grams_for_nitrogen(_number(ppm[1]), _number(feed[1]), litres)
    return {"grams": grams, "litres": litres, "ppm": _number(ppm[1]), "nitrogen": _number(feed[1])}


def _of_rate(text: str, rate: str, litres: float | None, label: Rate | None) -> Mapping[str, Any] | None:
    found = _RATE.search(text)
    said = rate or (found[0] if found else "")
    rest = text[: found.start()] + " " + text[found.end() :] if found else text
    water = _VOLUME.search(rest)
    volume = parse_litres(water[0]) if water else litres
    if not said or volume is None:
        return None
    made = dose(parse_rate(said), volume, label_rate=label)
    return {"amount": made.amount, "unit": made.unit, "litres": made.litres, "rate": said.strip()}


def _number(text: str) -> float:
    return float(text.replace(",", "."))
