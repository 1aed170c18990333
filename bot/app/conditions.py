"""What a reminder waits for where no day is said: "when it flowers" is over when it is noted in flower."""

from __future__ import annotations

import re
from datetime import datetime

from bot.notes.reader import read

_LEAD = re.compile(r"^(?:when|once|if|as soon as|after|until|till)\b ?(?:ever )?", re.IGNORECASE)
# what the reader takes for no finding of its own
_WORDS = (
    (re.compile(r"\b(?:wakes?|woken|growing|grows?|new growth|comes? into growth)\b"), ("growing", "rest_ended")),
    (re.compile(r"\b(?:roots?|rooted)\b"), ("rooted", "roots_healthy")),
    (re.compile(r"\b(?:pups?|offsets)\b"), ("pupping",)),
    (re.compile(r"\b(?:sets? seed|fruits?|berries)\b"), ("fruiting",)),
    (re.compile(r"\b(?:germinates?|comes? up|is up)\b"), ("germinated",)),
)


def fulfilled_by(cond: str, now: datetime) -> list[str]:
    """Return the signs and acts of which any fulfils a condition in words; empty where nobody can tell."""
    said = _LEAD.sub("", cond.strip().lower())
    entries = read(said, now.replace(tzinfo=None)).entries
    found = [str(one.sign) for one in entries if one.type == "finding" and one.status == "present"]
    found += [act for rule, acts in _WORDS if rule.search(said) for act in acts]
    return list(dict.fromkeys(found))


__all__ = ["fulfilled_by"]
