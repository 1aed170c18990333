"""Log lines, as text or as JSON: where an error happened and of what kind, never what somebody wrote.

The message of an exception may quote a note, so a traceback is cut down to its places and the exception's type.
"""

from __future__ import annotations

import json
import logging
import traceback
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType

from bot.chat import telegram_log

Excepted = tuple[type[BaseException], BaseException, TracebackType | None] | tuple[None, None, None]


class Lines(logging.Formatter):
    """Formats a record as one line: `LEVEL logger: message`, or an object with time, level, logger, message and at."""

    def __init__(self, *, as_json: bool) -> None:
        """Choose the form."""
        super().__init__()
        self._as_json = as_json

    def format(self, record: logging.LogRecord) -> str:
        """The line."""
        places = places_of(record.exc_info) if record.exc_info else ""
        if not self._as_json:
            shown = f"{record.levelname} {record.name}: {record.getMessage()}"
            return f"{shown} [{places}]".replace("\n", " ") if places else shown.replace("\n", " ")
        line = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "message": record.getMessage(),
        }
        return json.dumps(line | ({"at": places} if places else {}), ensure_ascii=False)


def places_of(excepted: Excepted | bool) -> str:
    """Return an exception's type and where it passed, innermost first, without its message or any value."""
    if isinstance(excepted, bool) or excepted[0] is None:
        return ""
    frames = reversed(traceback.extract_tb(excepted[2]))
    return " < ".join([excepted[0].__name__, *(f"{Path(one.filename).name}:{one.lineno} {one.name}" for one in frames)])


def begin(token: str, *, as_json: bool) -> None:
    """Send log lines to standard error in the chosen form, with the token kept out of all of them."""
    handler = logging.StreamHandler()
    handler.setFormatter(Lines(as_json=as_json))
    logging.basicConfig(handlers=[handler])
    logging.getLogger("bot").setLevel(logging.INFO)
    telegram_log.guard(token)
