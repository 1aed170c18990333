"""The Darwin Core archive, read back by an independent library and held against the standard's terms."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from dwca.read import DwCAReader

from bot.sharing.darwin_core import COLUMNS, TERMS, Living, write

# Darwin Core list of terms (TDWG, 2023-09-18 and before);
# occurrenceStatus, otherCatalogNumbers, organismQuantity and organismQuantityType are from memory.
RATIFIED = frozenset(
    """occurrenceID basisOfRecord collectionCode catalogNumber otherCatalogNumbers recordNumber individualCount
    organismQuantity organismQuantityType degreeOfEstablishment occurrenceStatus eventDate verbatimIdentification
    scientificName scientificNameAuthorship genus specificEpithet infraspecificEpithet taxonRank verbatimTaxonRank
    cultivarEpithet identificationQualifier locality recordedBy""".split()
)
PLANTS = (
    Living("plant:12", "Rebutia minuscula", None, date(2025, 5, 4), "WR 88"),
    Living("plant:14", "Copiapoa cf. cinerea", None, None),
    Living("plant:15", "Mammillaria spinosissima subsp. pilcayensis 'Blue; \"Sky\"'", None, None),
    Living("lot:barn", "Lobivia", 4, date(2026, 1, 1)),
    Living("plant:K-17b", "Lobivia", None, None, accession="2026.0012*A"),
)


@pytest.fixture
def rows(tmp_path: Path) -> list[dict[str, str]]:
    with (tmp_path / "dwc.zip").open("wb") as file:
        assert write(file, "c0ffee", "Plants & more", PLANTS, date(2026, 4, 15)) == len(PLANTS)
    with DwCAReader(tmp_path / "dwc.zip") as archive:
        assert archive.descriptor.core.type == f"{TERMS}Occurrence"
        assert archive.metadata is not None
        return [{key.removeprefix(TERMS): value for key, value in one.data.items()} for one in archive]


def test_every_column_is_a_term_of_the_standard() -> None:
    assert set(COLUMNS) <= RATIFIED
    assert "locality" not in COLUMNS  # wild localities and people do not leave
    assert "recordedBy" not in COLUMNS


def test_another_library_reads_the_plants(rows: list[dict[str, str]]) -> None:
    assert [one["catalogNumber"] for one in rows] == ["12", "14", "15", "barn", "2026.0012*A"]
    assert {one["basisOfRecord"] for one in rows} == {"LivingSpecimen"}  # Darwin Core type vocabulary
    # degree of establishment vocabulary, TDWG 2021: "captive" is said of animals
    assert {one["degreeOfEstablishment"] for one in rows} == {"cultivated"}
    assert rows[0]["scientificName"] == "Rebutia minuscula"
    assert (rows[0]["eventDate"], rows[0]["recordNumber"]) == ("2025-05-04", "WR 88")
    assert rows[3]["individualCount"] == "4"
    assert [one["otherCatalogNumbers"] for one in rows] == ["", "", "", "", "K-17b"]
    assert len({one["occurrenceID"] for one in rows}) == len(rows)


def test_a_doubtful_name_counts_at_the_rank_above(rows: list[dict[str, str]]) -> None:
    """Sigovini, Keppel & Tagliapietra 2016 (Methods Ecol. Evol. 7:1217): a qualified name is not the taxon itself."""
    doubtful = rows[1]
    assert (doubtful["scientificName"], doubtful["taxonRank"], doubtful["specificEpithet"]) == ("Copiapoa", "genus", "")
    assert doubtful["identificationQualifier"] == "cf. cinerea"
    assert doubtful["verbatimIdentification"] == "Copiapoa cf. cinerea"


def test_ranks_and_cultivars(rows: list[dict[str, str]]) -> None:
    assert rows[2]["taxonRank"] == "subspecies"
    assert rows[2]["infraspecificEpithet"] == "pilcayensis"
    assert rows[2]["cultivarEpithet"] == 'Blue; "Sky"'
