"""Pictures asked for in words: which is meant, of what, and the file that goes with the answer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from bot.app.english import phrases, pictured
from bot.app.english.pictured import Picture
from bot.app.picture_facts import counted_dues, warmth
from bot.app.picture_words import Asked, Of, abouts, asked_picture
from bot.app.plan import Draft, Plan, View
from bot.app.ruling import named
from bot.care.events import Ref
from bot.notes.reading import Reading
from bot.sharing.files import attached
from bot.store.database import Connection

ROLES = ("owner", "helper")


@dataclass(frozen=True, slots=True)
class Wanted:
    """One picture as asked for, and what it may be made from."""

    conn: Connection
    collection_id: int
    draft: Draft
    asked: Asked
    refs: tuple[Ref, ...]  # none where nothing was named
    words: str

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
    wanted = _wanted(conn, collection_id, draft, asked)
    made = wanted if isinstance(wanted, str) else _MAKERS[asked.of](wanted)
    if isinstance(made, str):
        draft.tell(made)
    else:
        attach(draft, made, asked.form)
        draft.current = wanted.refs if isinstance(wanted, Wanted) else ()
    return draft.done()


def _begins_with_a_place(view: View) -> bool:
    """Whether a place is called "plot 3" or "chart shelf": a note about it is none about a picture."""
    text = view.text.lower().split()
    return any(text[: len(words)] == words for one in view.standing.names().places if (words := one.lower().split()))


def attach(draft: Draft, made: Picture, form: str) -> None:
    """Let a picture go with the answer."""
    recipe = {key: value for key, value in made.recipe.items() if key != "kind"} | {"form": form}
    draft.files.append(attached(f"{made.name}.{form}", str(made.recipe["kind"]), **recipe))
    draft.tell(made.line)


def _which(reading: Reading, view: View) -> Plan | None:
    """Ask of what a picture is to be; None where the words may well mean the photos of a plant."""
    drawn = any(one.type == "request" and one.do == "picture" for one in reading.entries)
    if not drawn or "picture" in view.text.lower() or "pic" in view.text.lower():
        return None
    draft = Draft(view, "do", None)
    draft.tell(pictured.WHICH)
    return draft.done()


def _wanted(conn: Connection, collection_id: int, draft: Draft, asked: Asked) -> Wanted | str:
    """Return what is wanted, with what it is about looked up; a sentence where nobody knows that."""
    assert asked.of is not None
    tried = abouts(asked.about, asked.of)
    for one in tried:
        refs = _refs(one, draft)
        if refs:
            return Wanted(conn, collection_id, draft, asked, refs, one)
    if tried:
        return pictured.UNKNOWN.format(what=min(tried, key=len)[:60])
    return Wanted(conn, collection_id, draft, asked, (), "")


def _refs(words: str, draft: Draft) -> tuple[Ref, ...]:
    """Return the things that words name, as far as they are on record."""
    standing = draft.view.standing
    lot = standing.lot_of(words.removeprefix("the ")) or standing.lot_of(f"{words.removeprefix('the ')} lot")
    if lot is not None:
        return (lot.ref,)
    found = named(words, draft)
    genera = standing.by_genus()
    known = tuple(one for one in found if (one.kind, one.key) in standing.things or (one.kind == "taxon" and one.key in genera))
    return known if len(known) == len(found) else ()


def _degree_days(wanted: Wanted) -> Picture | str:
    found = counted_dues(wanted.view, wanted.refs or None)
    if not found:
        return pictured.NOTHING_COUNTED.format(what=pictured.about(wanted.what))
    counted = [one for one in (warmth(wanted.view, due) for due in found[:3]) if one is not None]
    if not counted:
        return pictured.DAYS_ONLY.format(what=phrases.cap(phrases.things(found[0].refs, wanted.view.standing)))
    return pictured.degree_days(counted[0], wanted.view.standing, len(found) - 1)


_MAKERS: dict[Of, Callable[[Wanted], Picture | str]] = {
    "degree_days": _degree_days,
}
