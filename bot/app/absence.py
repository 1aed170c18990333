"""After a long stop: what the messenger did not keep for us is lost, and each chat is told so once."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from bot.app.english.notices import LOST
from bot.messages import Outgoing
from bot.store import marks, outbox, people
from bot.store.database import Connection


def in_touch(conn: Connection, transport: str, now: datetime, keeps: timedelta) -> bool:
    """Note that the messenger is reached at `now`; return whether messages may have been lost since it was reached last.

    `keeps` is how long the messenger keeps a message for us. Needs a writing connection; the chats' messages wait in the
    outbox afterwards, one a chat.
    """
    name = f"reached:{transport}"
    last = marks.marked(conn, name)
    marks.mark(conn, name, now)
    if last is None or now - last <= keeps:
        return False
    for chat in people.chats_on(conn, transport):
        zone = ZoneInfo(people.settings_of(conn, chat.collection_id).zone)
        text = LOST.format(since=_shown(last, zone), until=_shown(now - keeps, zone))
        outbox.put(conn, f"absence:{chat.id}:{last.isoformat()}", chat.id, Outgoing(text), "notice", now)
    return True


def _shown(moment: datetime, zone: ZoneInfo) -> str:
    local = moment.astimezone(zone)
    return f"{local:%a} {local.day} {local:%b %H:%M}"
