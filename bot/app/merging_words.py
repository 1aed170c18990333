"""Two records of one plant in words: "47 is the same plant as 12", "merge 47 into 12", "47 and 12 are not the same"."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date

from bot.app.english import merged as words
from bot.app.english import record
from bot.app.lineage_words import descends
from bot.app.nearest import near
from bot.app.older import BEGINNING, events_of
from bot.app.plan import Draft, Plan, View
from bot.app.ruling import named
from bot.care.events import CareEvent, Ref, effective
from bot.care.merging import MERGED, SAME, rewritten
from bot.care.standing import Thing
from bot.messages import Button
from bot.store import carelog
from bot.store.database import Connection

_PLANT = r"(?:(?:the|my|plant|number|no\.?|#) ?)*{}"
_ONE, _OTHER = _PLANT.format(r"(?P<one>[\w.' -]{1,40}?)"), _PLANT.format(r"(?P<other>[\w.' -]{1,40}?)")
_REALLY = r"(?: really| actually| in fact| just)?"
_SAME = tuple(
    re.compile(pattern, re.IGNORECASE)
    for pattern in (
        rf"{_ONE} is{_REALLY} the same (?:plant|one|thing|as|plant as|one as|thing as) ?{_OTHER}[.! ]*",
        rf"{_ONE} (?:and|&) {_OTHER} are{_REALLY} (?:the )?(?:same|one)(?: and the same)?(?: plant| one| thing)?[.! ]*",
        rf"(?:merge|join|combine) {_ONE} (?:into|with|and|to) {_OTHER}(?P<anyway> anyway)?[.! ]*",
        rf"{_ONE} is (?:really|actually|in fact) {_OTHER}[.! ]*",
        rf"{_OTHER} (?:has|had) two (?:labels|numbers)[,;:]? (?:and )?{_ONE} is the other(?: one| label| number)?[.! ]*",
    )
)
_APART = tuple(
    re.compile(pattern, re.IGNORECASE)
    for pattern in (
        rf"{_ONE} (?:and|&) {_OTHER} are(?: not|n'?t) (?:the )?(?:same|one)(?: plant| one| thing)?(?: after all)?[.! ]*",
        rf"{_ONE} is(?: not|n'?t) the same(?: plant| one| thing)?(?: as)? {_OTHER}(?: after all)?[.! ]*",
        rf"(?:split|part|separate|unmerge) {_ONE} (?:from|and) {_OTHER}(?: again)?[.! ]*",
    )
)


def merging_asked(conn: Connection, view: View, collection_id: int, role: str | None) -> Plan | None:
    """Return the plan of words that make one plant of two records, or two again; None where they are about something else."""
    if role not in ("owner", "helper"):
        return None
    text = " ".join(view.text.split())
    desk = _Desk(conn, collection_id, Draft(view, "do", None))
    for patterns, rule in ((_APART, desk.apart), (_SAME, desk.same)):
        match = next((found for one in patterns if (found := one.fullmatch(text)) is not None), None)
        if match is not None and rule(match):
            return desk.draft.done()
    return None


class _Desk:
    """One message about two records, and the plan in the making."""

    def __init__(self, conn: Connection, collection_id: int, draft: Draft) -> None:
        self.conn, self.collection, self.draft, self.view = conn, collection_id, draft, draft.view

    def same(self, match: re.Match[str]) -> bool:
        """Make one plant of two records, or say what speaks against it; False where the words name no two plants."""
        pair = self._pair(match)
        if not pair or self._refused(*pair):
            return pair is not None
        old, new = pair
        differing = list(_differences(old, new))
        if differing and not (match.groupdict().get("anyway") or ""):
            answer = words.anyway(old, new)
            self.draft.tell(*words.asked(old, new, differing), buttons=((Button(words.YES, answer),),))
            return True
        self._merge(old, new)
        return True

    def _merge(self, old: Thing, new: Thing) -> None:
        log = carelog.load_speaking_of(self.conn, self.collection, "plant", (old.key, new.key))
        changes = rewritten(effective(log), old.ref, new.ref, _vaguer(old, new))
        for event, patch in changes:
            self.draft.event("amended", "", (), self.view.today, {"target": event.identity, "patch": patch})
        labels = [old.key, *([old.nickname] if old.nickname and new.nickname else [])]
        made = self.draft.event("known", MERGED, (new.ref,), self.view.today, {SAME: labels})
        self.draft.say("known", made)
        self.draft.tell(words.brought(old, new, len(changes)))
        self.draft.current = (new.ref,)

    def apart(self, match: re.Match[str]) -> bool:
        """Make two plants again of what was made one."""
        merged = self.view.standing.merged
        label = next((one for one in (match["one"], match["other"]) if one in merged), None)
        if label is None:
            pair = self._pair(match)
            if pair:
                self.draft.tell(words.two_already(*pair))
            return pair is not None
        return self.take_back(label)

    def take_back(self, label: str) -> bool:
        """Withdraw all that one merge wrote."""
        about = events_of(
            self.conn, self.collection, (Ref("plant", self.view.standing.merged[label]),), BEGINNING, self.view.today
        )
        merges = [one for one in about if one.what == MERGED]
        event = next(one for one in merges if label in one.facts[SAME])
        later = next((one for one in merges if one.sequence > event.sequence and _overlays(one, event)), None)
        if later is not None:
            self.draft.tell(words.later_first(later))
            return True
        self.draft.event("withdrawn", "", (), self.view.today, {"targets": all_of(self.conn, event)})
        self.draft.undone = True
        self.draft.tell(words.two_again(label, event.refs[0].key))
        return True

    def _pair(self, match: re.Match[str]) -> tuple[Thing, ...] | None:
        """Return the record that ends and the one that stays; none where one is not there, which is said.

        None where the words are about something else than two plants.
        """
        said = (match["one"], match["other"])
        found = [self._plant(one) for one in said]
        unknown = [one for one, thing in zip(said, found, strict=True) if thing is None]
        if not all(_like_a_label(one) for one in unknown):
            return None
        if unknown:
            self.draft.tell(record.no_parent(unknown[0], near(unknown[0], self.view.standing)))
            return ()
        one, other = (thing for thing in found if thing is not None)
        if re.search(r" (?:and|&) .* are\b", match[0]) and (one.first_on or date.max) < (other.first_on or date.max):
            return other, one  # "47 and 12 are the same": the older record stays
        return one, other

    def _plant(self, said: str) -> Thing | None:
        standing = self.view.standing
        thing = standing.plant(said)
        if thing is not None:
            return thing
        refs = named(said, self.draft)
        return standing.things.get((refs[0].kind, refs[0].key)) if len(refs) == 1 and refs[0].kind == "plant" else None

    def _refused(self, old: Thing, new: Thing) -> bool:
        """Say what speaks against it; whether anything does."""
        standing = self.view.standing
        if old is new:
            self.draft.tell(words.itself(old))
        elif descends(standing, old.ref, new.ref) or descends(standing, new.ref, old.ref):
            self.draft.tell(words.kin(old, new))
        elif old.alive != new.alive or (not old.alive and old.status != new.status):
            self.draft.tell(words.gone(*((old, new) if not old.alive else (new, old))))
        else:
            return False
        return True


def all_of(conn: Connection, event: CareEvent) -> list[str]:
    """Return the identities of all that the note of a merge wrote: one part alone would leave half of it."""
    written = carelog.by_note(conn, event.note) if event.note else [event]
    return [one.identity for one in written]


def _overlays(later: CareEvent, event: CareEvent) -> bool:
    """Return whether a later merge has changed entries that an earlier one changed."""
    return bool({one.key for one in event.refs} & {one.key for one in later.refs})


def _like_a_label(said: str) -> bool:
    return any(one.isdigit() for one in said) and " " not in said


def _vaguer(old: Thing, new: Thing) -> Ref | None:
    """Return the record whose name is no more than the genus of the other's."""
    if not old.genus or old.genus != new.genus:
        return None
    bare = [one for one in (old, new) if one.taxon.lower() == one.genus]
    return bare[0].ref if len(bare) == 1 else None


def _differences(old: Thing, new: Thing) -> Iterator[tuple[str, str, str]]:
    """Yield what two records say differently that one plant cannot be: its genus, its lot."""
    for what, one, other in (("genus", old.genus, new.genus), ("lot", old.lot, new.lot)):
        if one and other and one != other:
            yield what, old.taxon if what == "genus" else one, new.taxon if what == "genus" else other


__all__ = ["all_of", "merging_asked"]
