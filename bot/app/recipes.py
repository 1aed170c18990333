"""What a mix is made of, in words: "1 loam 2 pumice 1 grit", "50% pumice, 30% loam, 20% grit", "half loam half sand"."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from bot.care.mixes import kind_of

MOST_PARTS = 12
LARGEST_SHARE = 1000
OFF_BY = Fraction(1, 100)  # "33% 33% 33%" is a whole
_WORDS = {
    "half": Fraction(1, 2), "halves": Fraction(1, 2), "third": Fraction(1, 3), "quarter": Fraction(1, 4),
    "fifth": Fraction(1, 5), "sixth": Fraction(1, 6), "eighth": Fraction(1, 8), "tenth": Fraction(1, 10),
}  # fmt: skip
_COUNTS = {word: number for number, word in enumerate("one two three four five six seven eight nine ten".split(), 1)}
_NUMBER = r"(?:-|minus )?\d+(?:[.,]\d+)?"
_FRACTION = rf"(?:(?:an?|{'|'.join(_COUNTS)}) )?(?:half|third|quarter|fifth|sixth|eighth|tenth)s?(?: of)?|\d/\d\d?"
_COUNTED = rf"(?:{'|'.join(_COUNTS)})(?: parts?(?: of)?)?"
_UNIT = r"(?: ?%| per ?cent| percent)?(?: (?:parts?|l|litres?|liters?|scoops?|buckets?|cups?|pots?|shovels?)\b)?(?: of)?"
_REST = r"(?:the )?(?:rest|remainder)"
_SHARE = rf"(?:{_FRACTION}|{_COUNTED}|{_NUMBER}{_UNIT}|{_REST})"
_NAME = r"[a-z][a-z' -]*?(?: no\.? ?\d)?(?: \(?\d+(?:[.,]\d+)? ?(?:-|to) ?\d+(?:[.,]\d+)? ?mm\)?)?"
_BETWEEN = r"(?: ?[,;+&:/] ?(?:and )?| and | with | to | )"
_FRONT = re.compile(rf"(?P<share>{_SHARE}) ?(?P<name>{_NAME})(?={_BETWEEN}{_SHARE} ?[a-z]|$)")
_BEHIND = re.compile(rf"(?P<name>{_NAME}) ?(?::|=)? ?(?P<share>{_SHARE})(?=[ ,;+&]|$)")
_GAP = re.compile(_BETWEEN)
_LIST = r"[a-z][a-z' -]*?(?:(?: ?[,:/+&] ?(?:and )?| and )[a-z][a-z' -]*?)*"
_RATIO = r"\d+(?:[.,]\d+)?(?: ?[:/] ?\d+(?:[.,]\d+)?)+"
_RATIOS = (
    re.compile(rf"(?P<ratio>{_RATIO})(?: mix)?(?: of| mix of)? (?P<names>{_LIST})"),
    re.compile(rf"(?P<names>{_LIST}),? (?:at |in )?(?P<ratio>{_RATIO})"),
)
_EQUAL = re.compile(
    rf"equal (?:parts |shares |amounts )?(?:of )?(?P<names>{_LIST})|(?P<others>{_LIST}),? (?:in |at )?equal parts"
)
_PURE = re.compile(r"(?:pure|straight|only|just|all|nothing but|100 ?%) (?P<name>[a-z][a-z' -]*)")


@dataclass(frozen=True, slots=True)
class Recipe:
    """The parts of a mix with their shares by volume, as said: `percent` where they were said in percent."""

    parts: tuple[tuple[str, float], ...]
    percent: bool = False


@dataclass(frozen=True, slots=True)
class Fault:
    """Why words are no recipe: `sum` (`value` in percent), `zero`, `twice` (`name`), or `many`."""

    kind: str
    value: float = 0.0
    name: str = ""


Said = tuple[str, Fraction | None, str]  # name, share (None: the rest), how that was said: percent, fraction, number or rest


def recipe_in(text: str) -> Recipe | Fault | None:
    """Return the recipe that words are; a fault where they are meant as one and cannot be; None where they are none."""
    low = " ".join(text.lower().replace("\N{RIGHT SINGLE QUOTATION MARK}", "'").split()).strip(" .!")
    said = _in_ratio(low) or _in_shares(low)
    if not said or not any(kind_of(name) for name, _, _ in said):
        return None
    return _fault(said) or _made(said)


def _in_ratio(low: str) -> list[Said]:
    if match := _PURE.fullmatch(low):
        return [(match["name"], Fraction(100), "percent")] if kind_of(match["name"]) else []
    if match := _EQUAL.fullmatch(low):
        return [(name, Fraction(1), "number") for name in _names(match["names"] or match["others"], 0)]
    for pattern in _RATIOS:
        if match := pattern.fullmatch(low):
            shares = [_decimal(one) for one in re.split(r"[:/]", match["ratio"])]
            names = _names(match["names"], len(shares))
            how = "percent" if sum(shares) == 100 else "number"
            return [(name, share, how) for name, share in zip(names, shares, strict=True)] if len(names) == len(shares) else []
    return []


def _names(said: str, count: int) -> list[str]:
    names = [one.strip() for one in re.split(r" ?[,:/+&] ?(?:and )?| and ", said) if one.strip()]
    return said.split() if len(names) == 1 and len(said.split()) == count else names


def _in_shares(low: str) -> list[Said]:
    """Return shares and names in turn, each share before its name or each behind it; empty where anything else stands there."""
    for pattern in (_FRONT, _BEHIND):
        found: list[Said] = []
        at = 0
        while (match := pattern.match(low, at)) is not None and len(found) <= MOST_PARTS:
            found.append((match["name"].strip(), *_share(match["share"])))
            at = match.end()
            if at == len(low):
                return found if len(found) > 1 or found[0][2] == "percent" else []
            gap = _GAP.match(low, at)
            at = gap.end() if gap else at
    return []


def _share(said: str) -> tuple[Fraction | None, str]:
    bare = said.strip()
    if re.fullmatch(_REST, bare):
        return None, "rest"
    if match := re.fullmatch(r"(\d)/(\d\d?)", bare):
        return (Fraction(int(match[1]), int(match[2])) if int(match[2]) else Fraction(0)), "fraction"
    words = bare.removesuffix(" of").split()
    if (part := _WORDS.get(words[-1].removesuffix("s"))) is not None:
        return part * (_COUNTS.get(words[0], 1) if len(words) > 1 else 1), "fraction"
    if words[0] in _COUNTS:
        return Fraction(_COUNTS[words[0]]), "number"
    number = re.match(_NUMBER, bare)
    assert number is not None
    return _decimal(number[0]), "percent" if re.match(r" ?%| per ?cent", bare[number.end() :]) else "number"


def _decimal(said: str) -> Fraction:
    return Fraction(said.strip().replace("minus ", "-").replace(",", "."))


def _fault(said: Sequence[Said]) -> Fault | None:
    names = [name for name, _, _ in said]
    shares = [share for _, share, _ in said if share is not None]
    twice = next((name for name in names if names.count(name) > 1), "")
    if twice:
        return Fault("twice", name=twice)
    if len(said) > MOST_PARTS or len(said) - len(shares) > 1 or max(shares, default=0) > LARGEST_SHARE:
        return Fault("many")
    if any(share <= 0 for share in shares):
        return Fault("zero")
    whole = _whole(said)
    if whole is None:
        return None if len(shares) == len(said) else Fault("many")
    left = whole - sum(shares)
    rest = len(shares) < len(said)
    if left <= 0 if rest else abs(left) > OFF_BY * whole:
        return Fault("sum", value=float(100 * sum(shares) / whole))
    return None


def _whole(said: Sequence[Said]) -> Fraction | None:
    """Return what the shares must add up to: 100 percent, one whole; None where they are parts of any number."""
    how = {one for _, _, one in said} - {"rest"}
    return Fraction(100) if "percent" in how else Fraction(1) if how == {"fraction"} else None


def _made(said: Sequence[Said]) -> Recipe:
    whole = _whole(said)
    left = (whole or Fraction(0)) - sum(share for _, share, _ in said if share is not None)
    shares = [left if share is None else share for _, share, _ in said]
    if whole == 1:  # halves and quarters are told as parts: half and two quarters are 2, 1 and 1
        times = math.lcm(*(one.denominator for one in shares))
        shares = [one * times for one in shares]
    parts = tuple((name, float(share)) for (name, _, _), share in zip(said, shares, strict=True))
    return Recipe(parts, percent=whole == 100)
