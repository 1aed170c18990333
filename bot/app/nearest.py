"""What may have been meant by a number or a name that is not there."""

from __future__ import annotations

from collections.abc import Iterable

from bot.care.standing import Standing


def near(label: str, standing: Standing, most: int = 3) -> tuple[str, ...]:
    """Return the numbers and names nearest to one that does not exist."""
    from rapidfuzz import process  # noqa: PLC0415  only for a number that is not there

    known = [one.key for one in standing.plants() if one.kind == "plant"]
    known += [one.nickname for one in standing.plants() if one.nickname]
    return tuple(word for word, score, _ in process.extract(label, known, limit=most) if score >= 50)


def one_slip_away(number: str, known: Iterable[str]) -> list[str]:
    """Return the numbers one slip of a finger away: first those with two figures changed round, then the shorter ones."""
    from rapidfuzz.distance import OSA  # noqa: PLC0415  only for a number that is not there

    found = [one for one in known if OSA.distance(number, one, score_cutoff=1) == 1]
    return sorted(found, key=lambda one: (sorted(one) != sorted(number), len(one), one))
