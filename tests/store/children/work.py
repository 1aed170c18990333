"""Handles messages and sends answers until told otherwise: work.py ADDRESS NAME SENT_FILE.

What the program does, without reading: a message becomes a note, an event and an answer in one transaction, taken up and sent
under leases so short that they also end under a worker that is merely slow.
"""

import os
import sys
from datetime import UTC, date, datetime
from pathlib import Path

from bot.care.events import CareEvent, Ref
from bot.messages import Outgoing
from bot.store import carelog, inbox, outbox
from bot.store.database import Connection, Database, open_database
from bot.store.inbox import InboxRow
from bot.store.notes import keep_note
from bot.store.people import CollectionSettings, chat_of

LEASE_S = 0.2


class TakenOver(Exception):
    """Another worker has finished this message in the meantime: take back what was written."""


def handle(conn: Connection, row: InboxRow, now: datetime) -> None:
    if not inbox.mark_done(conn, row.id, now):
        raise TakenOver
    came = row.incoming
    chat = chat_of(conn, came.transport, came.address, came.sender, CollectionSettings())
    note = keep_note(conn, row.id, chat.collection_id, chat.person_id, chat.id, came.text, came.sent_at, {}, "log")
    event = CareEvent(f"{came.address}:{came.text}", note, date(2026, 4, 15), now, "event", "watered", (Ref("plant", came.text),))
    carelog.append(conn, chat.collection_id, [event])
    outbox.put(conn, f"reply:{row.id}", chat.id, Outgoing(came.text), "reply", now, note_id=note)


def work(database: Database, name: str, sent: int) -> None:
    """Take up one message, and send what waits."""
    with database.write() as conn:
        row = inbox.claim(conn, datetime.now(UTC), LEASE_S, name)
    if row is not None:
        try:
            with database.write() as conn:
                handle(conn, row, datetime.now(UTC))
        except TakenOver:
            return
    with database.write() as conn:
        answers = outbox.claim(conn, datetime.now(UTC), LEASE_S)
    for answer in answers:
        os.write(sent, f"{answer.address} {answer.outgoing.text}\n".encode())  # one call, so that lines of two workers do not mix
        with database.write() as conn:
            outbox.mark_sent(conn, answer.id, "", datetime.now(UTC))


opened = open_database(sys.argv[1], create=False)
log = os.open(Path(sys.argv[3]), os.O_WRONLY | os.O_APPEND | os.O_CREAT)
while True:
    work(opened, sys.argv[2], log)
