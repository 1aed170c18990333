"""The care log's values: what happened, to which plants, and how later events correct earlier ones."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time
from typing import Any


@dataclass(frozen=True, slots=True, order=True)
class Ref:
    """What an event is about: a thing of the collection, or a counted part of it.

    `kind` is one of plant, lot, sowing, place, taxon (unnumbered plants of a genus), house (everything) and some (plants
    that the note left unsaid; the key is then the public id of the event itself). `count` is set for a counted, unnamed part.
    """

    kind: str
    key: str
    count: int | None = None


@dataclass(frozen=True, slots=True)
class CareEvent:
    """One line of the care log. Appended, never edited; corrections are events too.

    `kind` and `what` follow the reading: event/act, skip/act, finding/sign, measure/of, climate, hold, reminder, and the
    log's own: taught, set, done, later, dropped (a due thing; `facts["due"]` is its key), withdrawn and amended
    (`facts["target"]` is the identity of the corrected event, `facts["patch"]` its new fields).
    `facts` holds JSON values only. `sequence` is 0 until the store has numbered it.
    """

    identity: str
    note: int
    happened_on: date
    recorded_at: datetime
    kind: str
    what: str = ""
    refs: tuple[Ref, ...] = ()
    facts: Mapping[str, Any] = field(default_factory=dict)
    happened_at: time | None = None
    person: int = 0
    sequence: int = 0
