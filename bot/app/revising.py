"""Messages about earlier ones: an edited message is written anew, an answer to a message fixes what that one wrote."""

from __future__ import annotations

from dataclasses import replace

from bot.app.accessioning import numbers_of
from bot.app.corrections import WRITES
from bot.app.plan import Plan, Said, View
from bot.care.events import CareEvent
from bot.notes.reading import Reading


def in_place_of(earlier_note: int, made: Plan, view: View) -> Plan:
    """The plan of an edited message, with what its earlier wording wrote withdrawn before, and said so.

    `earlier_note` is the note that the earlier wording was. A question that was open about it is closed.
    """
    old = [one for one in view.recent if one.note == earlier_note and one.kind in WRITES]
    asked = view.open_note is not None and view.open_note.note == earlier_note
    if not old:
        return replace(made, closes_question=made.closes_question or asked)
    withdrawn = CareEvent(
        identity=view.new_identity(),
        note=0,
        happened_on=view.today,
        recorded_at=view.now,
        kind="withdrawn",
        what="",
        facts={"targets": [one.identity for one in old]},
        person=view.person,
    )
    said = (Said("undone", None, {"events": tuple(old)}), *made.said)
    return replace(made, events=(withdrawn, *made.events), said=said, closes_question=made.closes_question or asked)


def numbers_of_note(note: int, view: View) -> tuple[str, ...]:
    """Return the accession numbers that a note gave: an edited message brings in the same plants, under the same numbers."""
    return numbers_of(one for one in view.recent if one.note == note)


def about_note(reading: Reading, note: int, view: View) -> View:
    """The view of a fix that answers an earlier message: only what that note wrote can be meant. Other readings see all."""
    if not any(one.type == "fix" for one in reading.entries):
        return view
    asked = view.open_note if view.open_note is not None and view.open_note.note == note else None
    return replace(view, recent=tuple(one for one in view.recent if one.note == note), open_note=asked)
