"""Pictures asked for in words: which is meant, of what, and the file that goes with the answer."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from bot.app import picture_counts as counts
from bot.app.english import phrases, pictured
from bot.app.english import pictured_counts as words
from bot.app.english.pictured import Picture
from bot.app.picture_drying import drying
from bot.app.picture_facts import counted_dues, warmth
from bot.app.picture_words import Asked, Of, abouts, as_picture, asked_picture, signs_named, weeks_named
from bot.app.plan import Draft, Plan, View
from bot.app.ruling import named
from bot.care.events import Ref
from bot.care.standing import Standing, Thing
from bot.messages import Attached
from bot.notes.reading import Reading
from bot.sharing.files import attached
from bot.sharing.picture_parts import FORMS
from bot.store.database import Connection

_PHOTO = re.compile(r"\b(?:picture|pic)s?\b", re.IGNORECASE)
_POINTING = frozenset("it this that them these those one they".split())
ROLES = ("owner", "helper")


@dataclass(frozen=True, slots=True)
class Wanted:
    """One picture as asked for, and what it may be made from."""

    conn: Connection
    collection_id: int
    draft: Draft
    asked: Asked
    refs: tuple[Ref, ...]  # none where nothing was named
    named: str

    @property
    def kind_words(self) -> str:
        """The words without those that name what it is about: a bench may be called after a pest."""
        return self.asked.about.replace(self.named, " ") if self.named else self.asked.about

    @property
    def view(self) -> View:
        """What planning may look at."""
        return self.draft.view

    @property
    def what(self) -> str:
        """What was named, as it is called; empty where nothing was."""
        return phrases.things(self.refs, self.view.standing) if self.refs else ""


def picture_asked(conn: Connection, reading: Reading, view: View, collection_id: int, role: str | None) -> Plan | None:
    """Return the plan of words that ask for a picture; None where they ask for something else, or may not ask."""
    asked = None if _begins_with_a_place(view) else asked_picture(view.text)
    if role not in ROLES or asked is None:
        return None
    if asked.of is None:
        return _which(reading, view)
    draft = Draft(view, "do", None)
    if asked.form not in FORMS:
        draft.tell(pictured.NO_SUCH_FORM.format(form=asked.form, forms=", ".join(FORMS)))
        return draft.done()
    made, draft.current = picture_of(conn, collection_id, draft, asked, abouts(asked.about, asked.of))
    if isinstance(made, str):
        draft.tell(made)
    else:
        attach(draft, made, asked.form)
    return draft.done()


def picture_of(
    conn: Connection, collection_id: int, draft: Draft, asked: Asked, tried: Sequence[str]
) -> tuple[Picture | str, tuple[Ref, ...]]:
    """Return a picture and what it is about, or a sentence that says what is missing; `tried` may say what it is about."""
    assert asked.of is not None
    wanted = _wanted(conn, collection_id, draft, asked, tried)
    return (wanted, ()) if isinstance(wanted, str) else (_MAKERS[asked.of](wanted), wanted.refs)


def _begins_with_a_place(view: View) -> bool:
    """Whether a place is called "plot 3" or "chart shelf": a note about it is none about a picture."""
    text = view.text.lower().split()
    places = (key for kind, key in view.standing.things if kind == "place")
    return any(text[: len(words)] == words for one in places if (words := one.lower().split()))


def attach(draft: Draft, made: Picture, form: str) -> None:
    """Let a picture go with the answer."""
    draft.files.append(file_of(made, form))
    draft.tell(made.line)


def file_of(made: Picture, form: str) -> Attached:
    """Return a picture as a file of a kind."""
    recipe = {key: value for key, value in made.recipe.items() if key != "kind"} | {"form": form}
    return attached(f"{made.name}.{form}", str(made.recipe["kind"]), **recipe)


def _which(reading: Reading, view: View) -> Plan | None:
    """Ask of what a picture is to be; None where the words may well mean the photos of a plant."""
    drawn = as_picture(view.text) or any(one.type == "request" and one.do == "picture" for one in reading.entries)
    if not drawn or _PHOTO.search(view.text):
        return None
    draft = Draft(view, "do", None)
    draft.tell(pictured.WHICH)
    return draft.done()


def _wanted(conn: Connection, collection_id: int, draft: Draft, asked: Asked, tried: Sequence[str]) -> Wanted | str:
    """Return what is wanted, with what it is about looked up; a sentence where nobody knows that."""
    for one in tried:
        refs = _refs(one, draft)
        unknown = [ref for ref in refs if not _on_record(ref, draft)]
        if unknown and len(unknown) < len(refs):
            return pictured.UNKNOWN.format(what=phrases.joined([ref.key for ref in unknown[:4]]))
        if refs and not unknown:
            return Wanted(conn, collection_id, draft, asked, refs, one)
    if any(one.lower() in _POINTING for one in tried):
        return pictured.WHICH_ONE
    if tried:
        return pictured.UNKNOWN.format(what=min(tried, key=len)[:60])
    return Wanted(conn, collection_id, draft, asked, (), "")


def _refs(words: str, draft: Draft) -> tuple[Ref, ...]:
    """Return the things that words name, on record or not."""
    standing = draft.view.standing
    lot = standing.lot_of(words.removeprefix("the ")) or standing.lot_of(f"{words.removeprefix('the ')} lot")
    if lot is not None:
        return (lot.ref,)
    return named(words, draft)


def _on_record(ref: Ref, draft: Draft) -> bool:
    standing = draft.view.standing
    return (ref.kind, ref.key) in standing.things or (ref.kind == "taxon" and ref.key in standing.by_genus())


def _degree_days(wanted: Wanted) -> Picture | str:
    found = counted_dues(wanted.view, wanted.refs or None, signs_named(wanted.kind_words))
    if not found:
        return pictured.NOTHING_COUNTED.format(what=pictured.about(wanted.what))
    counted = [one for one in (warmth(wanted.view, due) for due in found[:3]) if one is not None]
    if not counted:
        return pictured.DAYS_ONLY.format(what=phrases.cap(phrases.things(found[0].refs, wanted.view.standing)))
    return pictured.degree_days(counted[0], wanted.view.standing, len(found) - 1)


def _drying(wanted: Wanted) -> Picture | str:
    if not wanted.refs:
        return pictured.WHICH_POT
    found = drying(wanted.view, wanted.refs)
    if found is None:
        return pictured.NEVER_SOAKED.format(what=phrases.cap(wanted.what), key=wanted.refs[0].key)
    return pictured.drying(found, wanted.view.standing, wanted.view.today)


def _due_load(wanted: Wanted) -> Picture | str:
    found = counts.load_ahead(wanted.view)
    return words.due_load(found, wanted.view.today) if found.total else words.NOTHING_DUE


def _flowering(wanted: Wanted) -> Picture | str:
    found = counts.flowering(wanted.conn, wanted.collection_id, wanted.view, wanted.refs)
    if found is None:
        return words.NO_FLOWERS.format(what=pictured.about(wanted.what))
    return words.flowering(found, wanted.what, wanted.view.today)


def _germination(wanted: Wanted) -> Picture | str:
    found, waiting = counts.germinations(wanted.view.standing, wanted.refs)
    if found:
        return words.germinations(found, waiting, wanted.view.today)
    if waiting:
        code = waiting[-1].key
        return words.NOT_COUNTED.format(what=phrases.cap(phrases.label(waiting[-1], code)), code=code)
    return words.NOT_A_SOWING.format(what=phrases.cap(wanted.what)) if wanted.refs else words.NOTHING_SOWN


def _survival(wanted: Wanted) -> Picture | str:
    standing = wanted.view.standing
    named = [one for ref in wanted.refs if (one := _lot_of(ref, standing)) is not None]
    every = [one for (kind, _), one in standing.things.items() if kind == "lot"]
    lots = named or (every if not wanted.refs else [])
    if len({one.key for one in lots}) != 1:
        return words.which_lot(standing)
    found = counts.surviving(wanted.view, lots[0])
    if found is None:
        return words.LOT_UNKNOWN.format(what=phrases.cap(phrases.lot(lots[0].key)))
    return words.survival(found, wanted.view.today)


def _lot_of(ref: Ref, standing: Standing) -> Thing | None:
    thing = standing.things.get((ref.kind, ref.key))
    return thing if ref.kind == "lot" or thing is None else standing.things.get(("lot", thing.lot))


def _watering(wanted: Wanted) -> Picture | str:
    weeks = weeks_named(wanted.kind_words) or counts.WEEKS_BACK
    since, found = counts.waterings(wanted.conn, wanted.collection_id, wanted.view, wanted.refs, weeks)
    if not found:
        since_words = phrases.short_day(since, wanted.view.today)
        return words.NO_WATERINGS.format(what=pictured.about(wanted.what), since=since_words)
    return words.waterings(since, found, wanted.what, wanted.view.today)


_MAKERS: dict[Of, Callable[[Wanted], Picture | str]] = {
    "degree_days": _degree_days,
    "drying": _drying,
    "due_load": _due_load,
    "flowering": _flowering,
    "germination": _germination,
    "survival": _survival,
    "watering": _watering,
}
