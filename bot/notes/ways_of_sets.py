"""The ways to name a selection of plants: "the rebutias on bench 1 except 41", plainest first."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Sequence
from functools import cache
from itertools import product

from bot.notes.languages import folder
from bot.notes.reading import Selection


@cache
def table(language: str = "en") -> dict[str, tuple[str, ...]]:
    """Return the ways of a language by name, in the order of its table `ways.csv`; each holds its parts in braces."""
    with (folder(language) / "ways.csv").open("r", encoding="utf-8") as lines:
        return {row["name"]: tuple(row["forms"].split("|")) for row in csv.DictReader(lines)}


def put(name: str, /, **parts: object) -> Iterator[str]:
    """Yield the ways of a name in the table with its parts put in; those with an empty part too, for the blank left out later."""
    yield from (one.format(**parts) for one in table().get(name, ()))


def sets(which: Selection | None) -> Iterator[str]:
    """Yield the ways to name a selection; nothing, and a pronoun, for none."""
    if which is None:
        yield from ("", *table()["nothing"])
        return
    seen = set()
    for taken in _taken(which):
        for one in _named(which):
            said = " ".join(f"{one} {taken}".split())
            if said not in seen:
                seen.add(said)
                yield said


def listed(words: Sequence[str]) -> str:
    """Return words as a list: "12, 14 and 15"."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} {table()['and'][0]} {words[-1]}"


def _taken(which: Selection) -> Iterator[str]:
    if not which.excluded:
        yield ""
        return
    said = [list(sets(one))[:4] for one in which.excluded]
    for words in product(*said):
        yield from put("except", taken=listed(words))
        yield from put("except", taken=", ".join(words))


def _named(which: Selection) -> Iterator[str]:
    """Yield amount, plants and where they stand, put together."""
    for amount, plants, where in product(_amounts(which), _plants(which), _where(which)):
        if where or plants or not which.places:
            yield f"{amount} {plants} {where}"
    if which.places and not next(_plants(which)):
        for amount in _amounts(which):
            yield from put("place_alone", amount=amount, listed=listed(which.places))


def _amounts(which: Selection) -> list[str]:
    said = list(table().get(f"refer_{which.refer}", (which.refer,))) if which.refer else [""]
    if which.fraction:
        part = table().get(f"fraction_{which.fraction:g}", (f"{which.fraction:g}",))[0]
        said = list(put("part", part=part))
    if which.count is None:
        return said
    names = table()["words"]
    word = names[which.count - 1] if 0 < which.count <= len(names) else str(which.count)
    name = "count_of" if which.of else "count_about" if which.approx else "count"
    counted = list(put(name, count=which.count, of=which.of, word=word))
    if not which.refer:
        return counted
    return [*put("count_all", count=which.count, word=word), *(f"{one} {number}" for one in said for number in counted)]


def _plants(which: Selection) -> Iterator[str]:
    parts = [one for one in _parts(which) if one]
    for said in product(*parts):
        yield " ".join(said)
        if len(said) > 1:
            yield " ".join(reversed(said))


def _parts(which: Selection) -> Iterator[list[str]]:
    """Yield for each field but amount and place the ways to say it."""
    for name, value in (("set", which.state), ("roots", which.roots)):
        yield list(table().get(f"{name}_{value}", (value,))) if value else []
    yield list(put("pots", value=f"{which.pot_cm:g}")) if which.pot_cm is not None else []
    yield list(put("described", value=which.words)) if which.words else []
    names = [*which.labels, *which.nicknames]
    yield [", ".join(names), listed(names), *put("labels", listed=listed(names))] if names else []
    yield _genera(which.taxa) if which.taxa else []
    kinds = table().get(f"kind_{which.kind}", (which.kind,)) if which.kind else ()
    yield [*kinds, *(one for kind in kinds for one in put("the", value=kind))]
    yield list(put("lots", listed=listed(which.lots))) if which.lots else []
    yield [listed(which.sowings), ", ".join(which.sowings)] if which.sowings else []


def _genera(taxa: Sequence[str]) -> list[str]:
    ways = [[_once(one, name) for one in put("genus", value=name)] for name in taxa]
    return [listed(said) for said in zip(*ways, strict=True)]


def _once(said: str, name: str) -> str:
    """Return the plural of a name that ends like one as it is."""
    return said.replace(f"{name}s", name) if name.endswith("s") else said


def _where(which: Selection) -> list[str]:
    if not which.places:
        return [""]
    return [one for said in (listed(which.places), ", ".join(which.places)) for one in put("places", listed=said)]
