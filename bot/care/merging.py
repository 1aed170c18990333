"""Two records of one plant made one: what each entry of the one says from then on.

The log is not touched. Each entry that speaks of the record which ends is amended, and an event says that its label leads to the
other; taken back together, all is as it was. What came in once and was noted twice is one arrival, the earlier.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from bot.care.accessions import FACT, FIRST, LETTERS
from bot.care.events import CORRECTIONS, CareEvent, Ref, refs_to_json
from bot.care.standing import Standing

MERGED, SAME, AGAIN = "merged", "same", "again"  # the event; labels that lead to its plant; plants that came by an earlier one
BEHIND = "behind"  # a name that is kept behind the one that counts


def rewritten(log: Iterable[CareEvent], old: Ref, new: Ref, vaguer: Ref | None = None) -> list[tuple[CareEvent, dict[str, Any]]]:
    """Return the events of an effective log that speak of `old`, in order, each with the patch that lets it speak of `new`.

    `vaguer` is the record that holds no more than the genus of the other's name: its names stand behind, however late.
    """
    events = [one for one in log if one.kind not in CORRECTIONS]
    first = next((one for one in events if _arrival(one, old, new)), None)
    found = []
    for one in events:
        again = first is not None and one is not first and _arrival(one, old, new)
        patch = _patch(one, old, new, again=again)
        if vaguer is not None and "name" in one.facts and any(_is(ref, vaguer) for ref in one.refs):
            patch = {**patch, "facts": {**patch.get("facts", {}), BEHIND: True}}
        if patch:
            found.append((one, patch))
    return found


def merged(standing: Standing, event: CareEvent) -> None:
    """Let the labels of an event lead to its plant."""
    for ref in event.refs:
        for label in event.facts.get(SAME, ()):
            standing.merged[str(label)] = ref.key


def _arrival(event: CareEvent, old: Ref, new: Ref) -> bool:
    return (event.kind, event.what) == ("event", "acquired") and any(_is(one, old) or _is(one, new) for one in event.refs)


def _is(one: Ref, other: Ref) -> bool:
    return (one.kind, one.key) == (other.kind, other.key)


def _patch(event: CareEvent, old: Ref, new: Ref, *, again: bool) -> dict[str, Any]:
    """Return what changes of an event; nothing where it does not speak of the plant that ends."""
    patch: dict[str, Any] = {}
    facts = {key: said for key, held in event.facts.items() if (said := _said(held, old, new)) != held}
    if event.what == "pollinated" and event.facts.get("by") == old.key:
        facts["by"] = new.key
    if any(_is(one, old) for one in event.refs):
        kept = _kept(event.refs, old, new)
        patch["refs"] = refs_to_json(Ref(new.kind, new.key, one.count) if _is(one, old) else one for _, one in kept)
        if event.facts.get(FACT) and (LETTERS in event.facts or len(kept) < len(event.refs)):
            facts[LETTERS] = [_index(event, position) for position, _ in kept]
    if again:
        facts[AGAIN] = [*event.facts.get(AGAIN, ()), new.key]
    return patch | ({"facts": facts} if facts else {})


def _kept(refs: tuple[Ref, ...], old: Ref, new: Ref) -> list[tuple[int, Ref]]:
    """Return the refs with their places, of two that now mean the same plant the first."""
    out: list[tuple[int, Ref]] = []
    met = False
    for position, one in enumerate(refs):
        if _is(one, old) or _is(one, new):
            if met:
                continue
            met = True
        out.append((position, one))
    return out


def _index(event: CareEvent, position: int) -> int:
    """Return which letter of its accession the plant at a place has, from 0: it keeps it."""
    given = event.facts.get(LETTERS)
    return int(given[position]) if given else int(event.facts.get(FIRST) or 0) + position


def _said(held: Any, old: Ref, new: Ref) -> Any:
    """Return a value of the facts with the new plant in place of the old: in a key ("isolation|plant:47|…"), a ref, a list."""
    mine, other = f"{old.kind}:{old.key}", f"{new.kind}:{new.key}"
    if isinstance(held, str):
        return "|".join(other if part == mine else part for part in held.split("|")) if mine in held else held
    if isinstance(held, list):
        if len(held) == 3 and held[:2] == [old.kind, old.key]:
            return [new.kind, new.key, held[2]]
        return [_said(one, old, new) for one in held]
    if isinstance(held, Mapping):
        return {key: _said(one, old, new) for key, one in held.items()}
    return held


__all__ = ["AGAIN", "BEHIND", "MERGED", "SAME", "merged", "rewritten"]
