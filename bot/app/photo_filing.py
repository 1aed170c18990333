"""Which plants, note and event a photo belongs to, once the note that came with it is written."""

from __future__ import annotations

from collections.abc import Sequence

from bot.app.plan import Plan, View
from bot.care.events import CareEvent
from bot.store import photos
from bot.store.database import Connection
from bot.store.inbox import InboxRow


def file_photos(conn: Connection, row: InboxRow, view: View, made: Plan, note_id: int, written: Sequence[CareEvent]) -> None:
    """Say what the photos of a message show, and where words said it anew, what those spoken of show."""
    if made.refiled:
        photos.file(conn, [one.id for one in view.photos], made.refiled)
    shown = [one.id for one in photos.of_message(conn, row.id)]
    if not shown and any(one.what == "photographed" for one in written):
        shown = [one.id for one in view.photos if not one.refs and one.taken_on == view.today]
    if shown:
        refs = made.refs or tuple(dict.fromkeys(ref for one in written for ref in one.refs))
        photos.file(conn, shown, refs, note_id, written[0].identity if written else None)
