"""Which safety lines a plan brings: each once, and again when its trigger recurs after thirty days."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, timedelta

from bot.care.events import CareEvent
from bot.care.standing import Standing

AGAIN_AFTER = timedelta(days=30)
_PRODUCTS = {
    "alcohol": ("ipa", "alcohol", "spirit", "meths", "isopropyl", "surgical"),
    "oil": ("oil", "neem"),
    "soap": ("soap",),
    "homemade": ("washing up", "washing-up", "garlic", "tobacco", "detergent", "dish"),
}
_SAP_GENERA = frozenset({"euphorbia", "pedilanthus", "monadenium", "jatropha"})
_CUTTING_ACTS = frozenset({"cutting_taken", "root_pruned", "grafted", "divided", "offsets_taken"})


def cautions_for(events: Iterable[CareEvent], standing: Standing, said: Mapping[str, str], today: date) -> list[str]:
    """Return the topics to be said now; `said` maps a topic to the ISO date on which it was said last."""
    topics: list[str] = []
    for event in events:
        for topic in _topics(event, standing):
            last = said.get(topic)
            if topic not in topics and (last is None or today - date.fromisoformat(last) >= AGAIN_AFTER):
                topics.append(topic)
    return topics[:1]


def _topics(event: CareEvent, standing: Standing) -> list[str]:
    if event.kind != "event":
        return []
    genera = {thing.genus for ref in event.refs if (thing := standing.things.get((ref.kind, ref.key)))}
    if event.what in _CUTTING_ACTS:
        return ["sap"] if genera & _SAP_GENERA else []
    if event.what == "heated" and "product" in event.facts:
        return ["heater"]
    return _of_treatment(event) if event.what == "treated" else []


def _of_treatment(event: CareEvent) -> list[str]:
    how, product = str(event.facts.get("how", "")), str(event.facts.get("product", "")).lower()
    if how == "predators":
        return ["predators"]
    named = [topic for topic, words in _PRODUCTS.items() if any(one in product for one in words)]
    return named or (["pesticide"] if how in ("spray", "drench", "dip", "dust", "") and how != "hand" else [])
