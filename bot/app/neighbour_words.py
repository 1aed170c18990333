"""The look at those that stood beside a plant that died: offered once the cause is told or left open, and asked for in words."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import timedelta

from bot.app.english import record
from bot.app.nearest import near
from bot.app.plan import Draft
from bot.app.ruling import named
from bot.care.events import CareEvent, Ref
from bot.care.reach import PEST_SIGNS
from bot.care.standing import Standing, Thing
from bot.messages import Button

OF_LATE = timedelta(days=14)  # project default: so long "the others" are those beside what died last
_THEM = r"(?:(?:at|over) )?(?:all )?(?:the |its |their )?(?:neighbou?rs|others|other (?:ones|plants|pots))"
_OF = r"(?: (?:of|beside|next to) (?:the |no\.? ?|#)?(?P<what>[\w.' -]+?))?"
_ASKED = re.compile(
    rf"(?:yes,? |ok,? |please )*(?:remind me to |i(?:'ll| will) )?(?:look|check|inspect) {_THEM}"
    rf"(?: too| as well| on [\w ]+?)?{_OF}[.! ]*",
    re.IGNORECASE,
)
_LOOKED = re.compile(
    rf"(?:have |i )?(?:looked|checked|inspected) {_THEM}{_OF}[,:;]? ?"
    r"(?:they |they're |all |were |are |look |looks )*"
    r"(?:(?P<fine>fine|ok|okay|good|healthy|sound|well)|(?P<clean>clean|clear|nothing(?: found)?))?[.! ]*",
    re.IGNORECASE,
)


def neighbour_command(text: str, draft: Draft) -> bool:
    """Carry out a look at the neighbours of what died; False where the words are about something else."""
    said = " ".join(text.split())
    for pattern, rule in ((_ASKED, _ask), (_LOOKED, _look)):
        match = pattern.fullmatch(said)
        if match is None:
            continue
        dead = _dead(match["what"], draft)
        if dead is None:
            return False
        beside = neighbours(draft.view.standing, dead)
        if beside:
            rule(match, beside, draft)
        elif dead:
            draft.tell(record.nobody_beside(dead, draft.view.standing))
        return True
    return False


def _dead(what: str | None, draft: Draft) -> list[Thing] | None:
    """Return what died of late, or is named; None where nothing of the kind is spoken of, empty where it is not there."""
    standing = draft.view.standing
    if what:
        refs = named(what, draft)
        if not refs:
            draft.tell(record.no_parent(what, near(what, standing)))
            return []
    else:
        losses = [one for one in draft.view.recent if one.kind == "event" and one.what == "died"]
        if not losses or draft.view.today - losses[-1].happened_on > OF_LATE:
            return None
        refs = losses[-1].refs
    return [thing for one in refs if (thing := standing.things.get((one.kind, one.key))) is not None]


def neighbours(standing: Standing, dead: Iterable[Thing]) -> tuple[Ref, ...]:
    """Return the living plants that share place or lot with some that died."""
    gone = list(dead)
    places, lots = {one.place for one in gone if one.place}, {one.lot for one in gone if one.lot}
    mine = {(one.kind, one.key) for one in gone}
    return tuple(
        one.ref for one in standing.plants() if (one.kind, one.key) not in mine and (one.place in places or one.lot in lots)
    )


def _ask(_: re.Match[str], beside: tuple[Ref, ...], draft: Draft) -> None:
    today = draft.view.today
    facts = {"act": "inspected", "due": today.isoformat()}
    draft.event("reminder", "inspected", beside, today, facts)
    draft.tell(record.look_beside(beside, draft.view.standing))
    draft.current = beside


def _look(match: re.Match[str], beside: tuple[Ref, ...], draft: Draft) -> None:
    draft.say("event", draft.event("event", "inspected", beside, draft.view.today))
    for group, sign, status in (("fine", "healthy", "present"), ("clean", "pest", "absent")):
        if match[group]:
            draft.say("finding", draft.event("finding", sign, beside, draft.view.today, {"status": status}))
    draft.current = beside


def offer_neighbours(draft: Draft, event: CareEvent) -> None:
    """Offer the look at those beside what died, where no pest did it: then the look is due by itself."""
    standing = draft.view.standing
    if event.what != "died" or str(event.facts.get("cause", "")) in PEST_SIGNS | {"damping_off"}:
        return
    dead = [thing for one in event.refs if (thing := standing.things.get((one.kind, one.key))) is not None]
    beside = neighbours(standing, [one for one in dead if one.kind == "plant"])
    if beside:
        draft.tell(record.offer_beside(beside, standing), buttons=((Button(record.LOOK_BESIDE, record.LOOK_BESIDE),),))


__all__ = ["neighbour_command", "neighbours", "offer_neighbours"]
