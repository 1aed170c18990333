"""Which column of a spreadsheet says what of a plant: guessed from its head and from what stands in it."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from bot.app.plants_cells import DateOrder, read_date, read_pot_cm
from bot.app.plants_table import PlantsProblem, Table, column_named
from bot.care.accessions import NUMBER
from bot.care.genera import genus_rows

ROLES: tuple[str, ...] = tuple(
    "label name genus epithet place pot came source price count repotted field note accession currency status kind".split()
)
IGNORED = "none"
_POT_UNIT = re.compile(r'cm|mm|in\b|inch|"|″')
MOSTLY = 0.8  # of the cells: then what stands in a column tells what it is
SAMPLE = 400
# Heads by which a column is known, in several languages; lower case, letters and digits only.
_HEADS: Mapping[str, str] = {
    role: f" {words} "
    for role, words in {
        "label": "label no nr number plantno plantnumber id nummer etikett schild "
        "schildnr pflanzennummer sammlungsnummer numero numéro etiquette étiquette etichetta etiqueta num key code",
        "name": "name taxon plant plantname species scientificname botanicalname latinname art pflanze pflanzenname "
        "botanischername nom nombre nome naam espece espèce especie",
        "genus": "genus gattung genre genero género genere geslacht",
        "epithet": "epithet specificepithet artepitheton speciesepithet",
        "place": "place location bench tray shelf position standort platz ort tisch regal lieu emplacement ubicacion ubicación "
        "lugar posto plaats where",
        "pot": "pot potsize potcm pots size topf topfgröße topfgroesse topfgrösse topfcm pottaille maceta vaso potmaat",
        "came": "acquired cameon date dateacquired acquisitiondate received bought purchased purchasedate came since erworben "
        "datum kaufdatum gekauft erhalten zugang zugangsdatum achat acquis fecha data aankoop",
        "source": "source camefrom from seller supplier nursery origin vendor quelle herkunft händler haendler verkäufer von "
        "lieferant vendeur fournisseur origen proveedor provenienza herkomst",
        "price": "price cost paid preis kosten prix precio prezzo prijs",
        "count": "count qty quantity pcs plants anzahl stück stueck menge quantité quantite cantidad quantità aantal",
        "repotted": "repotted lastrepotted repotdate lastrepot umgetopft rempotage rempoté trasplantado rinvasato verpot",
        "accession": "accession accessionno accessionnumber accessionnr accno accnr accnumber acc accn akzession "
        "akzessionsnummer zugangsnummer inventarnummer numérodaccession numerodaccession",
        "currency": "currency währung waehrung devise moneda valuta",
        "status": "status state zustand",
        "kind": "kind",
        "field": "fieldnumber fieldno collectornumber feldnummer collnr",
        "note": "note notes remark remarks comment comments bemerkung bemerkungen notiz anmerkung remarque nota notas opmerking",
    }.items()
}


@dataclass(frozen=True, slots=True)
class Guess:
    """What a column is taken for; `how` is told (by the grower), head (known by its head) or content (to be confirmed)."""

    role: str
    column: int
    how: str


def guessed(table: Table, told: Mapping[str, str], order: DateOrder) -> tuple[Guess, ...]:
    """Return what each column is taken for, in the order of the columns; those that say nothing known are left out.

    `told` maps a role to the head or the letters of its column, and `none` to a comma-separated list of columns to leave alone.
    Raises PlantsProblem where a role or column is unknown, or nothing tells the label.
    """
    found: dict[int, Guess] = {one.column: one for one in _told(table, told)}
    left = {number for one in _ignored(table, told) for number in column_named(table.head, one)}
    taken = {one.role for one in found.values()}
    for number, head in enumerate(table.head):
        role = _by_head(head)
        if number not in found and number not in left and role and role not in taken:
            found[number] = Guess(role, number, "head")
            taken.add(role)
    for number in range(len(table.head)):
        role = _by_content(table.column(number)[:SAMPLE], taken, order) if number not in found and number not in left else ""
        if role:
            found[number] = Guess(role, number, "content")
            taken.add(role)
    made = [found[number] for number in sorted(found)]
    if "label" not in taken:
        made = _labelled(table, made)
    return tuple(made)


def _labelled(table: Table, made: list[Guess]) -> list[Guess]:
    """Return the guesses where nothing but the accession numbers can stand on the pots: then they are the labels too."""
    own = next((one for one in made if one.role == "accession"), None)
    if own is None:
        raise PlantsProblem("no_label", head=table.head)
    numbers = all(NUMBER.fullmatch(cell.replace(" ", "")) for cell in table.column(own.column))
    return [Guess("label", own.column, own.how), *(one for one in made if one is not own or numbers)]


def unsettled(guesses: Iterable[Guess]) -> list[Guess]:
    """Return the guesses that a person must confirm: those that rest on what stands in a column alone."""
    return [one for one in guesses if one.how == "content"]


def told_of(text: str) -> dict[str, str]:
    """Return "label=No, pot=C" as a mapping of roles to columns. Raises PlantsProblem where it is none."""
    pairs: dict[str, str] = {}
    for one in filter(None, (part.strip() for part in text.split(","))):
        role, equals, column = (part.strip() for part in one.partition("="))
        if not equals or not column or role not in (*ROLES, IGNORED):
            raise PlantsProblem("bad_columns", said=one, roles=(*ROLES, IGNORED))
        pairs[role] = f"{pairs[role]}\n{column}" if role == IGNORED and role in pairs else column
    return pairs


def _told(table: Table, told: Mapping[str, str]) -> list[Guess]:
    made = []
    for role, column in told.items():
        if role == IGNORED:
            continue
        number = next(column_named(table.head, column), None)
        if number is None:
            raise PlantsProblem("no_column", said=column, head=table.head)
        made.append(Guess(role, number, "told"))
    return made


def _ignored(table: Table, told: Mapping[str, str]) -> list[str]:
    columns = [one for one in told.get(IGNORED, "").split("\n") if one]
    missing = next((one for one in columns if next(column_named(table.head, one), None) is None), None)
    if missing is not None:
        raise PlantsProblem("no_column", said=missing, head=table.head)
    return columns


def _by_head(head: str) -> str:
    said = re.sub(r"[^\w]|_", "", head.casefold())
    said = re.sub(r"(?<=[a-zß-ÿ])(cm|mm|in|inch)$", "", said) if said.startswith(("pot", "topf")) else said
    return next((role for role, words in _HEADS.items() if said and f" {said} " in words), "")


def _by_content(cells: Sequence[str], taken: Iterable[str], order: DateOrder) -> str:
    if len(cells) < 2:  # one cell tells nothing
        return ""
    fits: Mapping[str, Callable[[str], bool]] = {
        "came": lambda cell: len(cell) >= len("1.1.2020") and read_date(cell, order) is not None,
        "pot": lambda cell: bool(_POT_UNIT.search(cell.lower())) and read_pot_cm(cell, "metric") is not None,
        "name": lambda cell: bool(genus_rows(cell.split()[0])),
    }
    return next((role for role, test in fits.items() if role not in taken and _mostly(cells, test)), "")


def _mostly(cells: Sequence[str], fits: Callable[[str], bool]) -> bool:
    return sum(map(fits, cells)) >= MOSTLY * len(cells)
