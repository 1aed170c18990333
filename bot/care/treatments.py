"""Treatments: what each leaves alive, in what weather it may be used, and what is never proposed.

No doses stand here, nor anywhere: the label is the law. A dry resting plant gets neither oil nor soap.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from bot.care.sources import Trust

Objection = Literal["never", "too hot", "too cold", "dry resting plant", "sulphur lately"]

HOT_ABOVE_C = 29.0
SULPHUR_DAYS = 30


@dataclass(frozen=True, slots=True)
class Treatment:
    """One kind of treatment: temperatures in Celsius it works in, what survives it, whether it may be proposed at all.

    `wets_plant` bars it from a dry resting plant. `survives` are short fragments.
    """

    kind: str
    least_c: float | None
    most_c: float | None
    wets_plant: bool
    proposed: bool
    survives: tuple[str, ...]
    trust: Trust


TREATMENTS: Mapping[str, Treatment] = {
    one.kind: one
    for one in (
        Treatment(
            "soap",
            4,
            HOT_ABOVE_C,
            wets_plant=True,
            proposed=True,
            survives=("mite eggs", "what the wet film misses"),
            trust=Trust("published", "sosplantcare.com (40-90 F); Effects of Household Soap Solutions on ... Spider Mite, 2006"),
        ),
        Treatment(
            "oil",
            10,
            HOT_ABOVE_C,
            wets_plant=True,
            proposed=True,
            survives=("what it does not wet",),
            trust=Trust("published", "WSU Extension Hortsense, Horticultural spray oil (50-85 F); Rutgers Plant & Pest Advisory"),
        ),
        Treatment(
            "water jet",
            None,
            None,
            wets_plant=True,
            proposed=True,
            survives=("eggs", "ovisacs", "anything in spines, areoles, roots"),
            trust=Trust("common practice"),
        ),
        Treatment(
            "alcohol dab",
            None,
            None,
            wets_plant=False,
            proposed=True,
            survives=("eggs in the ovisac", "young in spines and roots"),
            trust=Trust("common practice"),
        ),
        Treatment(
            "drench",
            None,
            None,
            wets_plant=True,
            proposed=True,
            survives=("gnat eggs and pupae",),
            trust=Trust("common practice"),
        ),
        Treatment(
            "nematodes",
            12,
            25,
            wets_plant=True,
            proposed=True,
            survives=("adults",),
            trust=Trust("published", "Radova & Trnkova 2010, J. Agrobiology: 70 % at 15 C in moist soil, few at 10 C"),
        ),
        Treatment("alcohol spray", None, None, True, False, (), Trust("project default", "flammable, strips bloom, scorches")),
        Treatment("hot dip", None, None, True, False, (), Trust("project default", "heat tolerance of cactus roots is unknown")),
        Treatment("peroxide", None, None, True, False, (), Trust("project default", "unproven")),
        Treatment("essential oil", None, None, True, False, (), Trust("published", "Cloyd et al. 2009, J. Econ. Entomol. 102")),
        Treatment("systemic", None, None, False, False, (), Trust("project default", "the label and local rules decide")),
    )
}

TRUST = {
    "HOT_ABOVE_C": Trust("published", "WSU Extension Hortsense, Horticultural spray oil: not above 85 F"),
    "SULPHUR_DAYS": Trust("published", "Rutgers Plant & Pest Advisory: 30 days between sulphur and oil"),
    "TREATMENTS": Trust("published", "each entry names its own source"),
}


def objections(
    kind: str,
    min_c: float | None = None,
    max_c: float | None = None,
    *,
    dry_resting: bool = False,
    days_since_sulphur: int | None = None,
) -> tuple[Objection, ...]:
    """What speaks against a treatment on a day of these temperatures; none for a kind that is not known here."""
    known = TREATMENTS.get(kind)
    if known is None:
        return ()
    if not known.proposed:
        return ("never",)
    found: list[Objection] = []
    if known.most_c is not None and max_c is not None and max_c > known.most_c:
        found.append("too hot")
    # It is used by day: only a day that never gets there is too cold.
    warmest = max_c if max_c is not None else min_c
    if known.least_c is not None and warmest is not None and warmest < known.least_c:
        found.append("too cold")
    if dry_resting and known.wets_plant:
        found.append("dry resting plant")
    if kind == "oil" and days_since_sulphur is not None and days_since_sulphur < SULPHUR_DAYS:
        found.append("sulphur lately")
    return tuple(found)
