"""What the trade convention lists, as a caution and nothing more: the appendix of a name, and whether a border lies between.

CITES appendices as of 2025-03-06 (secretariat's list of species), with two moves decided at the 20th Conference of the Parties
as the press told them. Status follows the name that the convention uses, not the newest genus: every alias is looked up, and
the strictest hit counts. A name nobody can resolve is unknown, never "not listed".
"""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib import resources
from typing import Literal

from bot.care.genera import genus_row
from bot.care.names import parse
from bot.care.normals import country_names
from bot.care.sources import Trust

Appendix = Literal["I", "II", "III", "none", "unknown"]
AS_OF = date(2025, 3, 6)
_STRICT: Mapping[Appendix, int] = {"I": 4, "II": 3, "III": 2, "unknown": 1, "none": 0}
# Genera whose plants the convention lists under another name.
ALIASES: Mapping[str, str] = {
    "rapicactus": "Turbinicarpus", "gymnocactus": "Turbinicarpus", "kadenicarpus": "Turbinicarpus",
    "normanbokea": "Turbinicarpus",
    "aloidendron": "Aloe", "aloiampelos": "Aloe", "aristaloe": "Aloe", "gonialoe": "Aloe", "kumara": "Aloe",
}  # fmt: skip
SPECIES_ALIASES: Mapping[str, str] = {
    "echinomastus mariposensis": "Sclerocactus mariposensis", "echinomastus erectocentrus": "Sclerocactus erectocentrus",
    "ancistrocactus tobuschii": "Sclerocactus brevihamatus ssp. tobuschii", "toumeya papyracantha": "Sclerocactus papyracanthus",
    "backebergia militaris": "Pachycereus militaris", "solisia pectinata": "Mammillaria pectinifera",
}  # fmt: skip
NOT_LISTED = frozenset(("pereskia", "pereskiopsis", "quiabentia"))
NOT_LISTED_SPECIES = frozenset(("aloe vera", "aloe barbadensis", "euphorbia misera"))
CACTI = "CACTACEAE"
EUROPEAN_UNION = frozenset(
    """austria belgium bulgaria croatia cyprus czechia denmark estonia finland france germany greece hungary ireland italy latvia
    lithuania luxembourg malta netherlands poland portugal romania slovakia slovenia spain sweden""".split()
)
COUNTRY_NAMES: Mapping[str, str] = {
    "uk": "united kingdom", "great britain": "united kingdom", "britain": "united kingdom", "england": "united kingdom",
    "scotland": "united kingdom", "wales": "united kingdom", "holland": "netherlands", "czech republic": "czechia",
    "united kingdom": "united kingdom", "northern ireland": "united kingdom",
    "usa": "united states", "us": "united states", "america": "united states", "nz": "new zealand",
    "south korea": "south korea", "korea": "south korea", "north korea": "north korea", "türkiye": "turkey", "turkiye": "turkey",
    "uae": "united arab emirates", "bosnia": "bosnia and herzegovina", "ivory coast": "ivory coast", "myanmar": "myanmar",
    "burma": "myanmar", "eswatini": "eswatini", "swaziland": "eswatini", "curacao": "curaçao", "reunion": "réunion",
    "samoa": "samoa", "american samoa": "american samoa",
}  # fmt: skip
TRUST = {
    "AS_OF": Trust("published", "the day of the secretariat's list of species that was taken over"),
    "ALIASES": Trust("from memory", "names under which the convention lists split genera; Aloe segregates as Aloe"),
    "SPECIES_ALIASES": Trust("from memory", "names under which the convention lists moved species"),
    "NOT_LISTED": Trust("published", "deleted at CoP14; Commission Regulation (EC) 318/2008, recital 3"),
    "NOT_LISTED_SPECIES": Trust("published", "CITES appendices, notes on Aloe spp. and Euphorbia spp."),
    "EUROPEAN_UNION": Trust("published", "Treaty on European Union, the 27 members since 2020"),
}


@dataclass(frozen=True, slots=True)
class Listing:
    """The appendix that a name falls under, under which listing, and what the listing adds."""

    appendix: Appendix
    listed_as: str = ""
    note: str = ""
    doubtful: bool = False  # the name is only sure to its genus, so the strictest of the genus counts


def appendix_of(name: str) -> Listing:
    """Return what a name falls under; the strictest listing of its aliases, "unknown" for what no table holds.

    A name that is only sure to its genus counts as the strictest of the genus; one that is not even sure of that is unknown.
    """
    taxon = parse(name.strip()[:1].upper() + name.strip()[1:])
    sure = taxon.surely
    if not sure.known:
        return Listing("unknown")
    words = [sure.genus, *([sure.species] if sure.species else []), *(word for pair in sure.below for word in pair)]
    words = [one.lower() for one in words]
    doubtful = bool(taxon.open_term) or not sure.species
    found = [_one(alias, doubtful) for alias, doubtful in _aliases(words, doubtful)]
    if taxon.crossed_with is not None:
        found.append(appendix_of(taxon.crossed_with.printed))
    return max(found, key=lambda one: _STRICT[one.appendix])


def _aliases(words: list[str], doubtful: bool) -> Iterator[tuple[list[str], bool]]:
    yield words, doubtful
    if words[0] in ALIASES:
        yield [ALIASES[words[0]].lower(), *words[1:]], doubtful
    moved = SPECIES_ALIASES.get(" ".join(words[:2]))
    if moved is not None:
        yield moved.lower().split(), doubtful


def _one(words: list[str], doubtful: bool) -> Listing:
    genus, species = words[0], " ".join(words[:2])
    if genus in NOT_LISTED or species in NOT_LISTED_SPECIES:
        return Listing("none", "not listed")
    rows = listings()
    hits = [row for row in rows if row["taxon"].lower().split(" ")[0] == genus]
    family = genus_row(genus)
    if family is not None and family.family.upper() == CACTI:
        hits.append(next(row for row in rows if row["taxon"] == f"{CACTI} spp."))
    if not hits:
        return Listing("none", "not listed") if family is not None else Listing("unknown")
    if not doubtful:
        hits = [row for row in hits if row["taxon"].endswith("spp.") or _is(row["taxon"].lower(), words)]
    if not hits:
        return Listing("none", "only other species of the genus are listed")
    row = max(hits, key=lambda one: _STRICT[_appendix(one)])
    return Listing(_appendix(row), row["taxon"], row["note"] or row["annotation"], doubtful)


def _is(taxon: str, words: list[str]) -> bool:
    """Whether a listed name is that of the words: a listed species holds all below it, a listed form only itself."""
    listed = [one for one in taxon.split() if not one.endswith(".")]
    said = [one for one in words if not one.endswith(".")]
    return said[: len(listed)] == listed or (len(listed) > 2 and set(listed) <= set(said))


def _appendix(row: Mapping[str, str]) -> Appendix:
    found: Appendix = "I" if row["appendix"] == "I" else "II" if row["appendix"] == "II" else "III"
    return found


@cache
def listings() -> tuple[Mapping[str, str], ...]:
    """Return the rows of the table: taxon, appendix, annotation, note, source."""
    with (resources.files(__package__) / "cites.csv").open("r", encoding="utf-8") as lines:
        return tuple(csv.DictReader(lines))


def country_of(words: str) -> str:
    """Return a country by the name that is kept, "the UK" as united kingdom; empty for what is none."""
    low = " ".join(words.lower().split()).removeprefix("the ").strip(" .!")
    kept = COUNTRY_NAMES.get(low, low)
    return kept if low in COUNTRY_NAMES or low in EUROPEAN_UNION | country_names() else ""


def is_border(here: str, there: str) -> bool | None:
    """Return whether a border of the convention lies between two countries; None where one is not known."""
    if not here or not there:
        return None
    return here != there and not {here, there} <= EUROPEAN_UNION
