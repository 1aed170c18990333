"""Notes as JSON lines in, readings as JSON lines out."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from bot.care.known_names import Names
from bot.notes.reader import read
from bot.notes.reading import Question


def names_from_json(given: Mapping[str, Any]) -> Names:
    """Return the names of a collection from the mapping of a names file."""
    labels = given.get("labels")
    return Names(
        places=tuple(given.get("places", ())),
        nicknames={str(name): str(label) for name, label in given.get("nicknames", {}).items()},
        lots={str(key): tuple(others) for key, others in given.get("lots", {}).items()},
        people=tuple(given.get("people", ())),
        sowings=tuple(given.get("sowings", ())),
        labels=(int(labels[0]), int(labels[1])) if labels else None,
        genera=tuple(given.get("genera", ())),
        mixes={str(said): str(key) for said, key in given.get("mixes", {}).items()},
    )


def read_jsonl(lines: Iterable[str], names: Names) -> Iterator[str]:
    """Yield one JSON line for each line given: the reading under the same id, or an `error` string for that line."""
    for line in lines:
        if line.strip():
            yield json.dumps(_one(line, names), ensure_ascii=False)


def _one(line: str, names: Names) -> dict[str, Any]:
    ident: Any = None
    try:
        given = json.loads(line)
        if not isinstance(given, dict):
            return {"id": None, "error": "not an object"}
        ident = given.get("id")
        text, now = given["text"], datetime.fromisoformat(given["now"])
        if not isinstance(text, str):
            return {"id": ident, "error": "text is not a string"}
        zone = given.get("tz")
        if zone is not None:
            now = now.astimezone(ZoneInfo(zone)) if now.tzinfo else now.replace(tzinfo=ZoneInfo(zone))
        settings = {key: str(given[key]) for key in ("date_order", "units", "hemisphere", "language") if given.get(key)}
        asked = given.get("answer_to")
        question = Question(str(asked["text"]), str(asked["ask"])) if asked else None
    except KeyError as missing:
        return {"id": ident, "error": f"{missing.args[0]} is missing"}
    except (ZoneInfoNotFoundError, ValueError, TypeError, OSError) as problem:
        return {"id": ident, "error": str(problem)}
    reading = read(text, now, names, answer_to=question, **settings)
    return {"id": ident, **reading.to_json()}
