"""The living plants as a Darwin Core archive: a table of occurrences, its description, and a word about the set of data.

Darwin Core (Wieczorek et al. 2012, PLoS ONE 7:e29715; TDWG standard 2009, maintained at rs.tdwg.org/dwc) names the columns; the
text guide (Robertson et al. 2009, TDWG) says how `meta.xml` describes them. Without `locality` and sources: where a plant was
found wild may be what thieves look for.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from typing import IO
from xml.sax.saxutils import escape

from bot.care.names import parse
from bot.sharing.exchange import Packing

TERMS = "http://rs.tdwg.org/dwc/terms/"
COLUMNS = tuple(
    """occurrenceID basisOfRecord collectionCode catalogNumber otherCatalogNumbers recordNumber individualCount organismQuantity
    organismQuantityType degreeOfEstablishment occurrenceStatus eventDate verbatimIdentification scientificName
    scientificNameAuthorship genus specificEpithet infraspecificEpithet taxonRank verbatimTaxonRank cultivarEpithet
    identificationQualifier""".split()
)
_RANKS = {"subsp.": "subspecies", "var.": "variety", "f.": "form", "subvar.": "subvariety"}


@dataclass(frozen=True, slots=True)
class Living:
    """One plant or lot: its key within the collection, its name as typed, how many, since when, its field number."""

    key: str
    name: str
    count: int | None
    since: date | None
    field_number: str = ""
    accession: str = ""


def write(target: IO[bytes], collection_id: str, title: str, plants: Iterable[Living], on: date) -> int:
    """Write the archive to a file opened for writing; return how many occurrences it holds."""
    rows = [_row(one, collection_id) for one in plants]
    packing = Packing(target)
    packing.add("eml.xml", [_about(title, on).encode()])
    packing.add("meta.xml", [_meta().encode()])
    packing.add("occurrence.csv", [_table(rows).encode()])
    packing.close()
    return len(rows)


def _row(one: Living, collection_id: str) -> dict[str, str]:
    taxon = parse(one.name)
    sure = taxon.surely if taxon.known else taxon
    rank, below = sure.below[-1] if sure.below else ("", "")  # only the lowest belongs to the name (ICN Art. 24.1)
    doubted = taxon.species if taxon.doubted == "species" else taxon.genus
    scientific = replace(sure, below=sure.below[-1:], group="").printed if sure.known else ""
    kind, _, label = one.key.partition(":")
    return {
        "occurrenceID": f"{collection_id}:{one.key}",
        "basisOfRecord": "LivingSpecimen",
        "collectionCode": collection_id,
        "catalogNumber": one.accession or label,
        "otherCatalogNumbers": label if one.accession and kind == "plant" else "",
        "recordNumber": one.field_number or taxon.field_number,
        "individualCount": str(one.count if one.count is not None else 1),
        "organismQuantity": str(one.count if one.count is not None else 1),
        "organismQuantityType": "individuals",
        "degreeOfEstablishment": "cultivated",
        "occurrenceStatus": "present",
        "eventDate": one.since.isoformat() if one.since else "",
        "verbatimIdentification": one.name,
        # a doubtful name counts at the rank above; the doubt itself has a column of its own
        "scientificName": f"{scientific} {taxon.authors}" if taxon.authors and sure.species and not sure.cultivar else scientific,
        "scientificNameAuthorship": taxon.authors if sure.species else "",
        "genus": sure.genus,
        "specificEpithet": sure.species,
        "infraspecificEpithet": below,
        "taxonRank": _RANKS.get(rank.removeprefix("notho")) or ("species" if sure.species else "genus" if sure.genus else ""),
        "verbatimTaxonRank": rank,
        "cultivarEpithet": sure.cultivar,
        "identificationQualifier": f"{taxon.qualifier} {doubted}" if taxon.doubted and taxon.qualifier != "?" else "",
    }


def _table(rows: list[dict[str, str]]) -> str:
    written = io.StringIO()
    table = csv.DictWriter(written, COLUMNS, lineterminator="\r\n")
    table.writeheader()
    table.writerows(rows)
    return written.getvalue()


def _meta() -> str:
    fields = "\n".join(f'    <field index="{number}" term="{TERMS}{name}"/>' for number, name in enumerate(COLUMNS))
    return f"""<?xml version="1.0" encoding="UTF-8"?>
<archive xmlns="http://rs.tdwg.org/dwc/text/" metadata="eml.xml">
  <core encoding="UTF-8" fieldsTerminatedBy="," linesTerminatedBy="\\r\\n" fieldsEnclosedBy="&quot;" ignoreHeaderLines="1"
        rowType="{TERMS}Occurrence">
    <files><location>occurrence.csv</location></files>
    <id index="0"/>
{fields}
  </core>
</archive>
"""


def _about(title: str, on: date) -> str:
    return f"""<?xml version="1.0" encoding="UTF-8"?>
<eml:eml xmlns:eml="https://eml.ecoinformatics.org/eml-2.2.0" packageId="{on.isoformat()}" system="potside">
  <dataset>
    <title>{escape(title)}</title>
    <pubDate>{on.isoformat()}</pubDate>
    <abstract><para>Plants alive in a private collection, without where they were found and whom they came from.</para></abstract>
  </dataset>
</eml:eml>
"""
