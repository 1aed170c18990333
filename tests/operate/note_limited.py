"""Handles one note while files may not grow past a size, then without that limit: note_limited.py PATH MORE_BYTES.

Prints `full` or `written` for what happened under the limit.
"""

import resource
import sys
from datetime import UTC, datetime
from pathlib import Path

from bot.app.intake import Intake
from bot.messages import Incoming
from bot.store.database import DatabaseProblem, open_database
from bot.store.people import CollectionSettings

path, more_bytes = Path(sys.argv[1]), int(sys.argv[2])
moment = datetime(2026, 4, 15, 10, 0, tzinfo=UTC)
note = Incoming("terminal", "local", "test", "the one", "soaked four, mites found", moment)
database = open_database(path, create=False)


def intake() -> Intake:
    """A new one each time, which counts its events' identities from one, so that the logs of all runs can be compared."""
    return Intake(database, CollectionSettings(), iter([f"{number:016x}" for number in range(1, 99)]).__next__)


def handle() -> None:
    """Take the note in and work it off."""
    one = intake()
    one.receive(note, moment)
    one.work(moment)


resource.setrlimit(resource.RLIMIT_FSIZE, (more_bytes, resource.RLIM_INFINITY))
outcome = "written"
try:
    handle()
except DatabaseProblem as problem:
    outcome = problem.kind
resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
handle()  # the note comes again, as from a messenger that was not told that it arrived
print(outcome)
