"""Backs up again and again into a folder until killed: back_up_often.py ADDRESS FOLDER. Prints a line before each."""

import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

from bot.store.backup import back_up
from bot.store.database import open_database

moment = datetime(2026, 4, 15, 9, 40, tzinfo=UTC)
database = open_database(sys.argv[1], create=False)
for number in range(100_000):
    print(number, flush=True)
    back_up(database, Path(sys.argv[2]) / f"{number:06d}.zip", moment + timedelta(seconds=number), "test")
