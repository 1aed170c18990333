"""The care log's values: what happened, to which plants, and how later events correct earlier ones."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
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
    log's own: taught, wished, set, done, later, dropped (a due thing; `facts["due"]` is its key), withdrawn and amended
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


CORRECTIONS = frozenset({"withdrawn", "amended"})


def targets_of(event: CareEvent) -> Sequence[str]:
    """Return the identities of what a correction corrects; nothing for any other event."""
    if event.kind not in CORRECTIONS:
        return ()
    return (event.facts["target"],) if event.kind == "amended" else event.facts["targets"]


def effective(log: Iterable[CareEvent]) -> list[CareEvent]:
    """Return the log as it counts: corrections carried out, in the order (date, sequence) in which it is folded.

    A withdrawal may name an event, an amendment or another withdrawal (undo of an undo); the latest word wins.
    """
    events = sorted(log, key=lambda one: one.sequence)
    dead: set[str] = set()
    for event in reversed(events):
        if event.kind == "withdrawn" and event.identity not in dead:
            dead.update(event.facts["targets"])
    patches: dict[str, list[Mapping[str, Any]]] = {}
    for event in events:
        if event.kind == "amended" and event.identity not in dead:
            patches.setdefault(event.facts["target"], []).append(event.facts["patch"])
    alive = [
        _patched(one, patches.get(one.identity, ())) for one in events if one.identity not in dead and one.kind not in CORRECTIONS
    ]
    return sorted(alive, key=lambda one: (one.happened_on, one.sequence))


def _patched(event: CareEvent, patches: Iterable[Mapping[str, Any]]) -> CareEvent:
    for patch in patches:
        event = patched(event, patch)
    return event


def patched(event: CareEvent, patch: Mapping[str, Any]) -> CareEvent:
    """Return the event with the new fields of an amendment: refs, happened_on, what, kind; facts are merged, None removes."""
    facts = {**event.facts, **patch.get("facts", {})}
    return replace(
        event,
        kind=patch.get("kind", event.kind),
        what=patch.get("what", event.what),
        happened_on=date.fromisoformat(patch["happened_on"]) if "happened_on" in patch else event.happened_on,
        refs=refs_from_json(patch["refs"]) if "refs" in patch else event.refs,
        facts={key: value for key, value in facts.items() if value is not None},
    )


def refs_to_json(refs: Iterable[Ref]) -> list[list[Any]]:
    """Return refs as `[kind, key, count]` lists."""
    return [[one.kind, one.key, one.count] for one in refs]


def refs_from_json(given: Iterable[Iterable[Any]]) -> tuple[Ref, ...]:
    """Return the refs that `refs_to_json` wrote."""
    return tuple(Ref(*one) for one in given)
