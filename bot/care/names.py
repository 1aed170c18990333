"""Botanical names as growers write them, taken apart and set in type by the codes.

A name is kept as it was typed; what is computed from it (care, the convention on trade, exchange) takes it from here. Authors
and epithets are read by the parser of the Global Biodiversity Information Facility, where it is installed; before that goes what
growers add and no code knows: field numbers, groups, "cv.", "cf." and "sp.", senses. Nothing ever fails: what cannot be taken
apart has no genus.

Sources: ICN (Turland et al. 2018, Regnum Vegetabile 159) Articles 21 to 24 and H.1 to H.3 for ranks and hybrids; ICNCP (Brickell
et al. 2016) Articles 14, 18 and 21 for cultivars, Groups and graft-chimaeras; Sigovini, Keppel & Tagliapietra 2016 (Methods Ecol.
Evol. 7:1217-1225) for "cf.", "aff." and "sp."
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from bot.care.genera import genus_row
from bot.care.sources import Trust

CROSS = "\N{MULTIPLICATION SIGN}"
LONGEST = 200  # what is longer is no name
TRUST = {"LONGEST": Trust("project default", "the longest names with authors and data on labels are shorter")}

_RANKS = {
    "subsp": "subsp.", "ssp": "subsp.", "subspecies": "subsp.", "var": "var.", "v": "var.", "varietas": "var.",
    "subvar": "subvar.", "f": "f.", "fo": "f.", "fa": "f.", "fma": "f.", "forma": "f.", "form": "f.",
    "nothosubsp": "nothosubsp.", "nothovar": "nothovar.", "nothof": "nothof.",
}  # fmt: skip
_OPEN = {
    "cf": "cf.", "aff": "aff.", "affin": "aff.", "nr": "aff.", "near": "aff.", "sp": "sp.", "spp": "sp.", "spec": "sp.",
    "species": "sp.",
}  # fmt: skip
_SENSES = {"sl": "s.l.", "slat": "s.l.", "ss": "s.s.", "sstr": "s.s.", "sensulato": "s.l.", "sensustricto": "s.s."}
_SINGLE = "\N{LEFT SINGLE QUOTATION MARK}\N{RIGHT SINGLE QUOTATION MARK}\N{GRAVE ACCENT}\N{ACUTE ACCENT}"
_DOUBLE = '"\N{LEFT DOUBLE QUOTATION MARK}\N{RIGHT DOUBLE QUOTATION MARK}\N{DOUBLE LOW-9 QUOTATION MARK}'
_QUOTES, _QUOTES_TOO = (str.maketrans(dict.fromkeys(one, "'")) for one in (_SINGLE, _DOUBLE))
_CULTIVAR = re.compile(r"(?:^|(?<=\s))'(?P<name>[^\s'](?:.{0,60}?[^\s])?)'(?=$|[\s,;)])")
_CV = re.compile(r"(?:^|\s)cv\.?\s+(?P<name>[^'(].*?)\s*(?=\(|$)")
_GROUP = re.compile(
    r"\(\s*(?P<name>[^()]{1,40}?)\s+(?:Group|Grp|Gp)\.?\s*\)|(?<=\s)(?P<bare>[A-Z][\w-]*(?: [A-Z][\w-]*)?)\s+Group\b"
)
_SENSE = re.compile(r"(?:^|\s)(?P<sense>s\.\s?l\.|s\.\s?lat\.|s\.\s?s\.|s\.\s?str\.|sensu lato|sensu stricto)(?=$|\s)")
_CHIMAERA = re.compile(r"\+\s*(?=[A-Z])")
_SEEN = re.compile(r"(?:^|\s)(?P<term>cf|aff|affin|nr|near|spp?|spec|species)(?P<dot>\.?)(?=$|\s)", re.IGNORECASE)
_EPITHET = r"[a-zäëïöüæœ][a-zäëïöüæœ-]{2,}"
_BELOW = re.compile(
    rf"(?:^|(?<=\s))(?P<rank>{'|'.join(_RANKS)})\.?\s+(?P<cross>[x{CROSS}]\s*)?(?P<epithet>{_EPITHET})(?=$|[\s,;)])"
)
_FIELD_NUMBER = re.compile(
    r"(?:^|(?<=\s))(?P<ex>ex\s+)?(?P<code>[A-Z]{1,5}|[A-Z][a-z]{1,3}|[A-Z]{1,3}[a-z])\.?(?P<gap>[ ./-]?)"
    r"(?P<number>\d{1,6}(?:[./-]\d{1,4})*[a-z]?)(?=$|[\s,;)])"
    rf"(?P<other>\s*[x{CROSS}]\s*[A-Z][A-Za-z]{{0,4}}[ ./-]?\d{{1,6}}[a-z]?)?"
)
_FORMULA = re.compile(rf"\s+[x{CROSS}]\s+(?=(?:[x{CROSS}]\s?)?(?:\?\s)?[A-Z][a-z]*\.?(?:\s|$))|\s+{CROSS}\s*(?=[A-Z])")
_BEFORE_GENUS = f"+?{CROSS}"
_GENUS = re.compile(r"[A-Z][a-zäëïöü-]{2,}$")
_SPECIES = re.compile(rf"{_EPITHET}$")
_NO_EPITHET = frozenset(
    """from ex at near in of by loc coll collected wild grown seed seeds habitat via and with or not the for to on hort sensu
    auct non cultivar hybrid hybrids unknown type form plant plants white red pink yellow orange variegated crested
    small large big tall dark light""".split()
)


@dataclass(frozen=True, slots=True)
class Taxon:
    """A name taken apart. Empty strings where a part is not there; `typed` is what was given, to the letter.

    `qualifier` ("cf.", "aff.", "?") stands before the part `doubted` ("genus", "species"). `below` holds the ranks under the
    species in order, each with its epithet; the lowest belongs to the name (ICN Art. 24.1). `crossed_with` is the other parent.
    """

    typed: str
    genus: str = ""
    genus_hybrid: bool = False
    chimaera: bool = False
    qualifier: str = ""
    doubted: str = ""
    species: str = ""
    species_hybrid: bool = False
    below: tuple[tuple[str, str], ...] = ()
    cultivar: str = ""
    group: str = ""
    field_number: str = ""
    open_term: str = ""
    sense: str = ""
    authors: str = ""
    crossed_with: Taxon | None = None

    @property
    def known(self) -> bool:
        """Whether it could be taken apart at all."""
        return bool(self.genus)

    @property
    def surely(self) -> Taxon:
        """The name as far as it is sure: "cf." and "aff." leave the rank above, which is what counts for care and the law."""
        if self.doubted == "genus":
            return Taxon(self.typed)
        plain = replace(self, qualifier="", doubted="", open_term="", sense="")
        return replace(plain, species="", species_hybrid=False, below=()) if self.doubted == "species" else plain

    @property
    def printed(self) -> str:
        """The name by the codes, without authors and what stands behind it; as typed where it could not be taken apart."""
        return "".join(text for text, _ in self.pieces()) if self.known else " ".join(self.typed.split())

    def pieces(self) -> list[tuple[str, bool]]:
        """Return the name in pieces, each with whether it is Latin and stands in italics; all else stands upright."""
        if not self.known:
            return [(" ".join(self.typed.split()), False)]
        words: list[tuple[str, bool]] = [(f"{self.qualifier} ", False)] if self.doubted == "genus" else []
        words += [("+ ", False)] if self.chimaera else []
        words += [(CROSS, False)] if self.genus_hybrid else []
        words.append((self.genus, True))
        words += self._epithets()
        words += [(" sp.", False)] if self.open_term == "sp." else []
        words += [(f" ({self.group} Group)", False)] if self.group else []
        words += [(f" '{self.cultivar}'", False)] if self.cultivar else []
        words += [(f" {self.sense}", False)] if self.sense else []
        if self.crossed_with is not None:
            words += [(f" {CROSS} ", False), *self.crossed_with.pieces()]
        return _joined(words)

    def _epithets(self) -> list[tuple[str, bool]]:
        words: list[tuple[str, bool]] = []
        if self.doubted == "species":
            words.append((f" {self.qualifier}", False))
        if self.species:
            words += [(f" {CROSS}", False), (self.species, True)] if self.species_hybrid else [(" ", False), (self.species, True)]
        for rank, epithet in self.below:
            words += [(f" {rank} ", False), (epithet, True)]
        return words


def _joined(words: list[tuple[str, bool]]) -> list[tuple[str, bool]]:
    """Return pieces with neighbours of one kind as one; a lone space goes with what is before it."""
    pieces: list[tuple[str, bool]] = []
    for text, latin in words:
        if pieces and (pieces[-1][1] == latin or text == " "):
            pieces[-1] = (pieces[-1][0] + text, pieces[-1][1])
        else:
            pieces.append((text, latin))
    return pieces


@lru_cache(maxsize=4096)
def genus_of(name: str) -> str:
    """Return the genus of a name in lower case, for the hot paths: its first word behind a cross; none where that is doubted.

    Agrees with `parse` for all that begins with a genus, and gives the first word of what does not.
    """
    first, _, rest = name.partition(" ")
    if "?" in name and (taxon := parse(name)).known:
        return taxon.surely.genus.lower()
    if len(first) > 1 and first[0] not in _BEFORE_GENUS and first.rstrip(".").lower() not in ("cf", "aff"):
        return (first[1:] if first[0] == "x" and first[1].isupper() else first).rstrip(",;").lower()
    if first in ("x", "X", "+", CROSS):
        return rest.partition(" ")[0].lower()
    return first[1:].lower() if first[:1] in ("+", CROSS) else ""


@lru_cache(maxsize=4096)
def parse(typed: str) -> Taxon:
    """Return a name taken apart; one without a genus for what is none. Never raises."""
    text = " ".join(typed.translate(_QUOTES).split()).strip(" ,;")
    if not text or len(text) > LONGEST:
        return Taxon(typed)
    if _CULTIVAR.search(text) is None:
        text = text.translate(_QUOTES_TOO)
    sides = _FORMULA.split(text, maxsplit=1)
    if len(sides) == 2 and sides[0] and _field_numbered(sides) is None:
        return _formula(typed, sides[0], sides[1])
    return _one(typed, text)


def _field_numbered(sides: list[str]) -> str | None:
    """Return the cross of two field numbers, which is no cross of two names."""
    left, right = re.search(r"[A-Z][A-Za-z]{0,4} ?\d{1,6}[a-z]?$", sides[0]), re.match(r"[A-Z][A-Za-z]{0,4} ?\d", sides[1])
    return f"{left[0]} {CROSS} {right[0]}" if left and right else None


def _formula(typed: str, first: str, second: str) -> Taxon:
    mother = _one(typed, first)
    initial = re.match(r"([A-Z])\.\s*(.*)", second)
    if initial and mother.genus.startswith(initial[1]):
        second = f"{mother.genus} {initial[2]}"
    father = parse(second)
    return replace(mother, crossed_with=father if father.known else None)


def _one(typed: str, text: str) -> Taxon:
    """Take what no code knows out of a name, from the outside in, and read the rest."""
    taxon = Taxon(typed)
    if found := _CHIMAERA.match(text):
        taxon, text = replace(taxon, chimaera=True), text[found.end() :]
    text, taxon = _lift_tail(text, taxon)
    text, taxon = _lift_cultivar(text, taxon)
    if found := _SENSE.search(text):
        sense = _SENSES[re.sub(r"[.\s]", "", found["sense"])]
        taxon, text = replace(taxon, sense=sense), f"{text[: found.start()]} {text[found.end() :]}"
    text, taxon = _lift_hybrid_genus(text, taxon)
    text, taxon = _lift_doubt(_in_case(text), taxon)
    return _read(" ".join(text.split()), taxon)


def _lift_tail(text: str, taxon: Taxon) -> tuple[str, Taxon]:
    """Take off a field number and all that stands behind it: a place, a height, who collected it."""
    for found in _FIELD_NUMBER.finditer(text):
        if found.start() and not _is_year(found):
            number = f"{found['code']}{found['gap']}{found['number']}{found['other'] or ''}"
            rest = text[found.end() :]
            behind = _CULTIVAR.search(rest)
            return f"{text[: found.start()]}{behind[0] if behind else ''}", replace(taxon, field_number=number.strip())
    return text, taxon


def _is_year(found: re.Match[str]) -> bool:
    """Whether "Haw 1821" is an author and a year: a code with small letters before a year since Linnaeus."""
    digits = found["number"]
    return not found["code"].isupper() and digits.isdigit() and 1753 <= int(digits) <= 2100


def _lift_cultivar(text: str, taxon: Taxon) -> tuple[str, Taxon]:
    if found := _GROUP.search(text):
        taxon = replace(taxon, group=found["name"] or found["bare"])
        text = f"{text[: found.start()]} {text[found.end() :]}"
    found = _CULTIVAR.search(text) or _CV.search(text)
    if found:
        taxon = replace(taxon, cultivar=" ".join(found["name"].strip(" '").split()))
        text = f"{text[: found.start()]} {text[found.end() :]}"
    return " ".join(text.split()), taxon


def _lift_hybrid_genus(text: str, taxon: Taxon) -> tuple[str, Taxon]:
    found = re.match(rf"(?:{CROSS}\s?|[xX]\s+)(?=[A-Za-z])", text) or re.match(r"x(?=[A-Z][a-z])", text)
    return (text[found.end() :], replace(taxon, genus_hybrid=True)) if found else (text, taxon)


def _in_case(text: str) -> str:
    """Give a name that was typed in one case throughout its own: a genus is written with a capital, epithets are not."""
    letters = [one for one in text if one.isalpha()]
    if not letters:
        return text
    if all(one.isupper() for one in letters) and len(letters) > 3:
        text = text.lower()
    head, _, rest = text.partition(" ")
    if head.lower().rstrip(".") in ("cf", "aff") and rest:
        return f"{head.lower()} {_in_case(rest)}"
    return text[:1].upper() + text[1:] if genus_row(head.strip("?,;")) else text


def _lift_doubt(text: str, taxon: Taxon) -> tuple[str, Taxon]:
    if "?" in text:
        bare = text.replace("?", " ")
        at_genus = text.startswith("?") or (re.match(r"\S+\s*\?", text) is not None and len(bare.split()) == 1)
        taxon, text = replace(taxon, qualifier="?", doubted="genus" if at_genus else "species", open_term="?"), bare
    found = _SEEN.search(text)
    if found is None:
        return text, taxon
    term = _OPEN[found["term"].lower()]
    if term == "sp.":
        behind = _BELOW.match(text[found.end() :].lstrip()) is None
        return (text[: found.start()] if behind else text), replace(taxon, open_term="sp.")
    if not found["dot"] and found["term"].lower() not in ("cf", "aff"):
        return text, taxon  # "near" and the like are words of a place as well
    rest = f"{text[: found.start()]} {text[found.end() :]}".strip()
    return rest, replace(taxon, qualifier=term, doubted="genus" if not found.start() else "species", open_term=term)


def _read(text: str, taxon: Taxon) -> Taxon:
    """Read genus, epithets and authors of what is left; a subgenus in brackets stands between the two and is left out."""
    text = re.sub(r"^(\S+) \([A-Z][a-z-]+\)(?= [a-z])", r"\1", text)
    words = text.split()
    genus = words[0].strip(f"{CROSS},;") if words else ""
    if not _GENUS.match(genus):
        return replace(taxon, doubted="", qualifier="")
    found = _by_parser(text) or {}
    species, crossed = _plain_species(words)
    below = tuple((_RANKS[one["rank"]], one["epithet"]) for one in _BELOW.finditer(text) if one.start()) if species else ()
    hybrid = bool(species) and (crossed or "SPECIFIC" in (found.get("notho") or ()))
    if taxon.doubted == "species" and not species and taxon.qualifier == "?":
        taxon = replace(taxon, doubted="genus")
    return replace(taxon, genus=genus, species=species, species_hybrid=hybrid, below=below, authors=_authors(found))


def _plain_species(words: list[str]) -> tuple[str, bool]:
    """Return the epithet that follows the genus, and whether a cross stands before it, also a glued one."""
    rest, crossed = words[1:], False
    if rest and rest[0] in ("x", "X", CROSS):
        rest, crossed = rest[1:], True
    if not rest:
        return "", False
    word = rest[0].strip(",;")
    if word.startswith(CROSS):
        word, crossed = word[1:], True
    return (word, crossed) if _SPECIES.match(word) and word not in _NO_EPITHET and word not in _RANKS else ("", False)


def _by_parser(text: str) -> dict[str, Any] | None:
    """Return what the parser makes of a name, None where it is not installed or the text is no name to it."""
    try:
        from nameparser import UnparsableNameError  # noqa: PLC0415  not there on every board, and not for every start
        from nameparser import parse as parsed  # noqa: PLC0415  as above
    except ImportError:
        return None
    try:
        return dict(parsed(text, code="BOTANICAL").to_dict())
    except (UnparsableNameError, ValueError):
        return None


def _authors(found: dict[str, Any]) -> str:
    def said(key: str) -> str:
        return " & ".join(str(one) for one in (found.get(key) or {}).get("authors", ()))

    basionym, combination = said("basionymAuthorship"), said("combinationAuthorship")
    return f"({basionym}) {combination}".strip() if basionym else combination
