"""Writes notes until the file may not grow any more: fill_limited.py PATH BYTES. Prints how many were kept, and the problem."""

import resource
import sys
from datetime import UTC, datetime

from bot.messages import Incoming
from bot.store import inbox
from bot.store.database import DatabaseProblem, open_database

path, limit = sys.argv[1], int(sys.argv[2])
moment = datetime(2026, 4, 15, 9, 40, tzinfo=UTC)
database = open_database(path)
resource.setrlimit(resource.RLIMIT_FSIZE, (limit, resource.RLIM_INFINITY))
kept = 0
try:
    for number in range(100_000):
        with database.write() as conn:
            inbox.take(conn, Incoming("terminal", "local", "test", str(number), "a note " * 100, moment), moment)
        kept += 1
except DatabaseProblem as problem:
    print(kept, problem.kind, problem.code, problem, sep="|")
resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
with database.write() as conn:  # there is room again: the same connection goes on
    inbox.take(conn, Incoming("terminal", "local", "test", "after", "a note", moment), moment)
database.close()
