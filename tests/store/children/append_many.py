"""Appends care events, two in each transaction: append_many.py ADDRESS COLLECTION NAME TRANSACTIONS."""

import sys
from datetime import UTC, date, datetime

from bot.care.events import CareEvent, Ref
from bot.store import carelog
from bot.store.database import open_database

address, collection_id, name, count = sys.argv[1], int(sys.argv[2]), sys.argv[3], int(sys.argv[4])
moment = datetime(2026, 4, 15, 9, 40, tzinfo=UTC)
database = open_database(address, create=False)
for number in range(count):
    pair = [
        CareEvent(f"{name}{2 * number + half}", 0, date(2026, 4, 15), moment, "event", "watered", (Ref("plant", str(number)),))
        for half in (0, 1)
    ]
    with database.write() as conn:
        carelog.append(conn, collection_id, pair)
database.close()
