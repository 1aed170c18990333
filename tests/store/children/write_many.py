"""Writes people one by one, each in a transaction of its own: write_many.py ADDRESS NAME COUNT."""

import sys

import sqlalchemy as sa

from bot.store.database import open_database
from bot.store.tables import people

address, name, count = sys.argv[1], sys.argv[2], int(sys.argv[3])
database = open_database(address, create=False)
for number in range(count):
    with database.write() as conn:
        conn.execute(sa.insert(people).values(public_id=f"{name}{number}"))
database.close()
print(f"{count} written")
