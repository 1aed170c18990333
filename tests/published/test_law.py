"""The appendices of the convention, by its own list and by the traps of its names."""

from __future__ import annotations

from datetime import date

import pytest

from bot.care.law import AS_OF, COUNTRY_NAMES, EUROPEAN_UNION, Appendix, appendix_of, country_of, is_border, listings
from bot.care.normals import country_names

# CITES (Washington 1973), Appendices I, II and III valid from 7 February 2025, and the secretariat's list of 2025-03-06.
LISTED: tuple[tuple[str, Appendix], ...] = (
    ("Ariocarpus retusus", "I"), ("Discocactus horstii", "I"), ("Pelecyphora aselliformis", "I"), ("Turbinicarpus laui", "I"),
    ("Uebelmannia pectinifera", "I"), ("Strombocactus disciformis", "I"), ("Astrophytum asterias", "I"),
    ("Astrophytum myriostigma", "II"), ("Mammillaria pectinifera", "I"), ("Mammillaria bombycina", "II"),
    ("Melocactus conoideus", "I"), ("Melocactus matanzanus", "II"), ("Rebutia minuscula", "II"), ("Copiapoa cinerea", "II"),
    ("Aloe polyphylla", "I"), ("Aloe aristata", "II"), ("Aloe vera", "none"), ("Euphorbia decaryi", "I"),
    ("Euphorbia decaryi var. spirosticha", "I"), ("Euphorbia obesa", "II"), ("Euphorbia misera", "none"),
    ("Pachypodium ambongense", "I"), ("Pachypodium lamerei", "II"), ("Agave parviflora", "I"), ("Agave victoriae-reginae", "II"),
    ("Agave americana", "none"), ("Conophytum bilobum", "III"), ("Fouquieria fasciculata", "I"), ("Fouquieria columnaris", "II"),
    ("Lithops lesliei", "none"), ("Haworthia cooperi", "none"), ("Echeveria elegans", "none"),
)  # fmt: skip
# Commission Regulation (EC) 318/2008, recital 3: deleted at the 14th Conference of the Parties.
DELETED = ("Pereskia aculeata", "Pereskiopsis spathulata", "Quiabentia verticillata")
# Korotkova et al. 2021 (Willdenowia 51:251) moved what the convention still lists under the older name; aliases from memory.
MOVED = tuple(
    "Gymnocactus beguinii,Rapicactus subterraneus,Echinomastus mariposensis,Backebergia militaris,Solisia pectinata".split(",")
)


@pytest.mark.published
@pytest.mark.parametrize(("name", "appendix"), LISTED, ids=[name for name, _ in LISTED])
def test_names_as_the_convention_lists_them(name: str, appendix: Appendix) -> None:
    """CITES (1973), appendices valid from 2025-02-07; secretariat's list of 2025-03-06."""
    assert appendix_of(name).appendix == appendix


@pytest.mark.parametrize("name", DELETED)
def test_what_was_taken_off(name: str) -> None:
    """Commission Regulation (EC) 318/2008, recital 3."""
    assert appendix_of(name).appendix == "none"


@pytest.mark.parametrize("name", MOVED)
def test_a_newer_or_older_genus_hides_no_listing(name: str) -> None:
    """Korotkova et al. 2021, Willdenowia 51:251-271: the strictest of the aliases counts."""
    assert appendix_of(name).appendix == "I"


@pytest.mark.parametrize(
    ("name", "appendix"),
    [("Mammillaria cf. pectinifera", "I"), ("Mammillaria sp.", "I"), ("Rebutia aff. minuscula", "II"), ("Mammillaria", "I"),
     ("Lithops", "none"), ("Zzyzx minor", "unknown"), ("", "unknown"), ("the blue one", "unknown")],
)  # fmt: skip
def test_a_name_in_doubt_counts_as_the_strictest_of_its_genus(name: str, appendix: Appendix) -> None:
    """Sigovini, Keppel & Tagliapietra 2016 (Methods Ecol. Evol. 7:1217): a qualified name is sure to the rank above only."""
    assert appendix_of(name).appendix == appendix


def test_cultivars_and_crosses_are_looked_up_by_their_genus() -> None:
    """ICNCP, Brickell et al. 2016: what stands in quotes is no part of the Latin name."""
    assert appendix_of("Astrophytum asterias 'Superkabuto'").appendix == "I"
    assert appendix_of("Aloe x spinosissima").appendix == "II"


def test_the_table_is_whole_and_dated() -> None:
    """Secretariat's list as of 2025-03-06: the rows that were taken over, each with an appendix."""
    assert date(2025, 3, 6) == AS_OF
    assert len(listings()) == 129
    assert {row["appendix"] for row in listings()} == {"I", "II", "III"}


@pytest.mark.parametrize(
    ("here", "there", "border"),
    [("Germany", "the UK", True), ("Germany", "Austria", False), ("uk", "England", False), ("USA", "Germany", True),
     ("", "Germany", None), ("Switzerland", "Germany", True)],
)  # fmt: skip
def test_borders(here: str, there: str, border: bool | None) -> None:
    """Council Regulation (EC) 338/97 of 1996 holds in the whole Union: inside it there is no border of the convention."""
    assert is_border(country_of(here), country_of(there)) is border


@pytest.mark.parametrize(
    "name", ["Germany", "Switzerland", "New Zealand", "South Africa", "Mexico", "Japan", "Trinidad and Tobago"]
)
def test_countries_by_their_names(name: str) -> None:
    """ISO 3166-1:2020, short names as the time zone tables give them."""
    assert country_of(name) == name.lower()
    assert name.lower() in country_names()


@pytest.mark.parametrize(
    ("said", "kept"),
    [("the United Kingdom", "united kingdom"), ("Northern Ireland", "united kingdom"), ("South Korea", "south korea"),
     ("the Czech Republic", "czechia"), ("Türkiye", "turkey"), ("Burma", "myanmar"), ("Bosnia", "bosnia and herzegovina")],
)  # fmt: skip
def test_countries_the_tables_write_another_way(said: str, kept: str) -> None:
    """ISO 3166-1:2020; the everyday names of the same countries are from memory."""
    assert country_of(said) == kept


def test_every_country_that_a_name_stands_for_stays_itself() -> None:
    """A country told once is known again by the name it is kept under; so are the 27 members (Treaty on European Union)."""
    for kept in {*COUNTRY_NAMES.values(), *EUROPEAN_UNION}:
        assert country_of(kept) == kept


@pytest.mark.parametrize("words", ["hope", "music on", "", "the greenhouse", "bench 2"])
def test_other_words_are_no_country(words: str) -> None:
    """ISO 3166-1:2020 holds none of these."""
    assert country_of(words) == ""
