"""What is said of where a plant is from: field number, provenance, the text of its label."""

from __future__ import annotations

from bot.app.english import phrases
from bot.care.events import CareEvent
from bot.care.standing import Standing, Thing

PROVENANCE = {"W": "wild-collected", "Z": "from wild seed", "G": "not of wild origin", "U": "of unknown origin"}


def told(event: CareEvent, standing: Standing) -> str:
    """Return what was kept, and what follows of it."""
    facts, what = event.facts, phrases.cap(phrases.things(event.refs, standing))
    parts = [f"field number {facts['field_number']}"] if facts.get("field_number") else []
    parts += [f"label “{facts['label_text']}”"] if facts.get("label_text") else []
    code = str(facts.get("provenance", ""))
    parts += [f"{PROVENANCE[code]} ({code})"] if code in PROVENANCE else []
    off = " Off every list that others see." if code == "W" else ""
    return f"{what}: {', '.join(parts)}.{off}"


def card(thing: Thing) -> str:
    """Return the line of a card; empty where nothing is known."""
    tally = thing.tally
    parts = [str(tally["field_number"])] if tally.get("field_number") else []
    parts += [PROVENANCE[tally["provenance"]]] if tally.get("provenance") in PROVENANCE else []
    parts += [f"label “{tally['label_text']}”"] if tally.get("label_text") else []
    return f"{phrases.cap(', '.join(parts))}." if parts else ""
