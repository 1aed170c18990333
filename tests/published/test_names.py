"""Botanical names against the test data of another parser, the codes, and the Darwin Core rule for doubtful names."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from bot.care.genera import genera
from bot.care.names import CROSS, Taxon, genus_of, parse

pytestmark = pytest.mark.published
TABLE = Path(__file__).parent / "data" / "names.csv"


def rows() -> list[dict[str, str]]:
    """The table: a name, its parts, and where the row comes from."""
    with TABLE.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def parts(taxon: Taxon) -> dict[str, str]:
    """The parts of a name as the table writes them."""
    return {
        "genus": taxon.genus,
        "genus_hybrid": CROSS if taxon.genus_hybrid else "",
        "species_qualifier": taxon.qualifier if taxon.doubted == "species" else "",
        "species": taxon.species,
        "species_hybrid": CROSS if taxon.species_hybrid else "",
        "infraspecific": "; ".join(f"{rank} {epithet}" for rank, epithet in taxon.below),
        "cultivar": taxon.cultivar,
        "group": f"{taxon.group} Group" if taxon.group else "",
        "field_number": taxon.field_number,
        "open_term": taxon.open_term,
    }


@pytest.mark.parametrize("row", rows(), ids=lambda row: row["input"])
def test_the_parts_of_a_name(row: dict[str, str]) -> None:
    """Rows marked so: the test data of gnparser (Mozzherin et al. 2017, BMC Bioinformatics 18:279; MIT), others by the codes."""
    found = parts(parse(row["input"]))
    assert found == {key: row[key] for key in found}


@pytest.mark.parametrize(
    ("typed", "printed"),
    [
        ("Haworthia emelyae var comptoniana cv. Moonlight", "Haworthia emelyae var. comptoniana 'Moonlight'"),
        ("Lithops karasmontana ssp. eberlanzii", "Lithops karasmontana subsp. eberlanzii"),  # ICN Art. 26, Rec. 21A: rank terms
        ("Gymnocalycium mihanovichii fa. rubra", "Gymnocalycium mihanovichii f. rubra"),
        ("x Gasteraloe beguinii", f"{CROSS}Gasteraloe beguinii"),  # ICN Art. H.3.1, Rec. H.3A.1: the sign touches the name
        ("Schlumbergera x buckleyi", f"Schlumbergera {CROSS}buckleyi"),
        ("Echeveria agavoides x E. colorata", f"Echeveria agavoides {CROSS} Echeveria colorata"),  # Art. H.2.1: formula
        ('Amorphophallus konjac "Nightstick"', "Amorphophallus konjac 'Nightstick'"),  # ICNCP Art. 14: single quotes
        (
            "Crassula ovata 'Gollum' (Hobbit Group)",
            "Crassula ovata (Hobbit Group) 'Gollum'",
        ),  # ICNCP Art. 15: Group in brackets before
        ("+ Crataegomespilus dardarii", "+ Crataegomespilus dardarii"),  # ICNCP Art. 21: graft-chimaera
        ("Conophytum cf minimum", "Conophytum cf. minimum"),
        ("Mammillaria spec. Rog 123", "Mammillaria sp."),
        ("MAMMILLARIA LAUI SSP DASYACANTHA", "Mammillaria laui subsp. dasyacantha"),
        ("Aloe vera (L.) Burm.f.", "Aloe vera"),
        ("the blue one from the ridge", "the blue one from the ridge"),
    ],
)
def test_a_name_is_printed_by_the_codes(typed: str, printed: str) -> None:
    """ICN (Turland et al. 2018) and ICNCP (Brickell et al. 2016), articles beside the names."""
    assert parse(typed).printed == printed
    assert "".join(text for text, _ in parse(typed).pieces()) == printed


@pytest.mark.parametrize(
    ("name", "pieces"),
    [
        ("Lobivia", [("Lobivia", True)]),
        ("Copiapoa cf. cinerea", [("Copiapoa", True), (" cf. ", False), ("cinerea", True)]),
        ("Mammillaria spina subsp. pilca", [("Mammillaria spina", True), (" subsp. ", False), ("pilca", True)]),
        ("Echeveria 'Topsy Turvy'", [("Echeveria", True), (" 'Topsy Turvy'", False)]),
        ("xGasteraloe x beguinii", [(CROSS, False), ("Gasteraloe", True), (f" {CROSS}", False), ("beguinii", True)]),
        ("the blue one", [("the blue one", False)]),
    ],
)
def test_names_in_type(name: str, pieces: list[tuple[str, bool]]) -> None:
    """ICN Preface 2018 and ICNCP Rec. 14A: Latin in italics; ranks, signs, cultivars and terms of doubt upright."""
    assert parse(name).pieces() == pieces


@pytest.mark.parametrize(
    ("typed", "sure"),
    [
        ("Conophytum cf. minimum", "Conophytum"),
        ("Conophytum aff. pellucidum SB 1234", "Conophytum"),
        ("Mammillaria spec. Rog 123", "Mammillaria"),
        ("Lobivia ferox?", "Lobivia"),
        ("Lithops karasmontana s.l.", "Lithops karasmontana"),
    ],
)
def test_a_qualified_name_counts_at_the_rank_above(typed: str, sure: str) -> None:
    """Sigovini, Keppel & Tagliapietra 2016, Methods Ecol. Evol. 7:1217-1225; International Transfer Format 2, 1997."""
    assert parse(typed).surely.printed == sure


@pytest.mark.parametrize("typed", ["cf. Lobivia ferox", "Lobivia?"])
def test_a_doubted_genus_leaves_nothing_sure(typed: str) -> None:
    """The same rule one rank up."""
    assert not parse(typed).surely.known
    assert genus_of(typed) == ""


@pytest.mark.parametrize(
    ("typed", "number"),
    [("Lithops lesliei C015", "C015"), ("Sedum x ISI 93-30", "ISI 93-30"), ("Copiapoa sp. Botija MG 1055.5", "MG 1055.5"),
     ("Rebutia heliosa RMF 45 x FK 12", "RMF 45 x FK 12"), ("Haworthia cooperi Haw 1821", ""),
     ("Sulcorebutia mentosa HS 125a", "HS 125a")],
)  # fmt: skip
def test_field_numbers_are_told_from_years_and_authors(typed: str, number: str) -> None:
    """Forms of collectors' numbers as lists of field numbers print them (common practice); "Haw 1821" is Haworth's year."""
    assert parse(typed).field_number == number


def test_every_genus_of_the_table_is_a_genus() -> None:
    """The genera of the care table (Korotkova et al. 2021, Willdenowia 51:251-271, for the cacti), also typed small."""
    for row in genera():
        assert parse(row.genus).genus == row.genus
        assert parse(row.genus.lower()).genus == row.genus
        assert genus_of(row.genus) == row.genus.lower()


@settings(deadline=None)  # tests are not timed
@given(st.text(max_size=120))
def test_nothing_fails(typed: str) -> None:
    """Whatever is typed: a text comes back, and nothing is taken for a genus that does not stand in it."""
    taxon = parse(typed)
    assert taxon.typed == typed
    assert taxon.printed or not typed.strip()
    assert not taxon.genus or taxon.genus.lower() in typed.lower()


_PIECES = (
    "Lithops",
    "lesliei",
    "subsp. fulviceps",
    "var. hornii",
    "f. albinica",
    "x",
    CROSS,
    "cf.",
    "aff.",
    "sp.",
    "?",
    "'Red King'",
    '"Sky"',
)
_WORD = st.sampled_from(
    (*_PIECES, "cv. Moon", "+", "C015", "KK 608", "(Hobbit Group)", "s.l.", "(Phil.) Britton & Rose", "from", "E.", "Aloe")
)


@settings(deadline=None)  # tests are not timed
@example(typed="Lithops x Lithops ?")  # found by chance: the doubt stands before the second parent when printed
@given(st.lists(_WORD, max_size=9).map(" ".join))
def test_what_is_printed_reads_back_to_itself(typed: str) -> None:
    """ICN and ICNCP give one way to write a name; printing it once more changes nothing."""
    once = parse(typed)
    if once.known:
        assert parse(once.printed).printed == once.printed


@settings(deadline=None)  # tests are not timed
@given(
    st.sampled_from(("", "x ", "x", f"{CROSS} ", CROSS, "cf. ", "aff ")),
    st.lists(_WORD, max_size=5).map(lambda words: " ".join(("Aloe", *words))),
)
def test_the_quick_way_to_the_genus_agrees(before: str, name: str) -> None:
    """Reference: `parse` itself, for what it takes apart."""
    typed = before + name
    taxon = parse(typed)
    if taxon.known and taxon.crossed_with is None and not taxon.chimaera:
        assert genus_of(typed) == (taxon.surely.genus.lower())
