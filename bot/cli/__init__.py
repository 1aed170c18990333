"""The command line: arguments in, exit code out. `python -m bot` is the same as `potside`.

Exit codes: 0 done; 1 something in the input could not be used; 2 wrong arguments or settings; 65 to 78 a database that
cannot be used (see `bot.store.problems`); 130 interrupted while something was being written.
"""

from bot.cli import running  # isort: skip  the order of the commands in --help
from bot.cli import keeping, exchanging, records, reading, reckoning  # isort: skip
from bot.cli.root import INTERRUPTED, app, main, told

__all__ = ["INTERRUPTED", "app", "exchanging", "keeping", "main", "reading", "reckoning", "records", "running", "told"]
