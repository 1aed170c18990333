"""What is known about whoever asks, and how that is forgotten: after a week in which it can be taken back, a copy first."""

from __future__ import annotations

import json
import os
import re
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from bot.messages import Incoming, Outgoing
from bot.store import carelog, marks, people
from bot.store.archive import remove_photo
from bot.store.database import Connection, Database
from bot.store.people import Chat
from bot.store.purging import Held, forget_person, held_about

GRACE = timedelta(days=7)
FORGET = "forget:"

KNOWN = (
    "I know your number at {transports}, your {notes}{since}, and that you are {roles}.{own}\n"
    "Words are kept until you say “forget me”. Whoever runs this bot can read them on the machine."
)
OWN = " The collection is yours alone: {events} in its log."
GOING = (
    "On {day} I forget you: your number, the words of your {notes}{own}.\n"
    "Until then “keep me” stops it. Before that a copy of all of it is put beside the backups on the machine."
)
OWN_GOES = " and the whole collection with its {events}"
GOING_ALREADY = "That is set for {day}. “keep me” stops it."
STAYING = "I keep everything as it is."
NOT_GOING = "Nothing was going to be forgotten."
_ASK = re.compile(r"/?what do you (know|have|keep|store) (about|on) me\W*|/?my data\W*|/privacy\W*", re.IGNORECASE)
_FORGET = re.compile(r"/?forget me( please)?\W*|/?delete (all )?my data\W*", re.IGNORECASE)
_KEEP = re.compile(r"/?(keep me|don'?t forget me|do not forget me)( please)?\W*", re.IGNORECASE)


def answer(conn: Connection, chat: Chat, incoming: Incoming, now: datetime) -> Outgoing | None:
    """Return the answer to somebody who asks what is known, to be forgotten, or to be kept; None for any other message."""
    text = incoming.text.strip()
    zone = ZoneInfo(people.settings_of(conn, chat.collection_id).zone)
    if _ASK.fullmatch(text):
        return Outgoing(_known(conn, held_about(conn, chat.person_id), zone))
    if _FORGET.fullmatch(text):
        return Outgoing(_going(conn, chat.person_id, zone, now))
    if _KEEP.fullmatch(text):
        return Outgoing(_staying(conn, chat.person_id))
    return None


def forget_those_due(database: Database, now: datetime, folder: Path, photos: Path | None) -> int:
    """Forget whoever's week is over, a copy first into `folder`; return how many that were. Raises OSError, DatabaseProblem."""
    with database.read() as conn:
        names = [one for one in marks.names_marked(conn, FORGET) if _due(conn, one, now)]
    for name in names:
        with database.write() as conn:
            person_id = int(name.removeprefix(FORGET))
            _write(folder / f"person-{person_id}-{now:%Y%m%dT%H%M%S}.json", exported(conn, person_id))
            held = forget_person(conn, person_id)
            marks.unmark(conn, name)
        if photos is not None:
            for one in held.photos:
                remove_photo(photos, one)
    return len(names)


def exported(conn: Connection, person_id: int) -> dict[str, Any]:
    """Return all that is held about a person as JSON values: names, roles, notes, and the log of collections owned alone."""
    held = held_about(conn, person_id)
    logs = {one: carelog.load(conn, one) for one in held.own}
    return {
        "accounts": [{"messenger": transport, "number": sender} for transport, sender in held.accounts],
        "roles": [{"collection": collection, "role": role} for collection, role in held.roles],
        "notes": [{"sent_at": sent_at.isoformat(), "text": text} for sent_at, text in held.notes],
        "photos": list(held.photos),
        "events": [
            {
                "collection": collection,
                "sequence": one.sequence,
                "happened_on": one.happened_on.isoformat(),
                "kind": one.kind,
                "what": one.what,
                "about": [[ref.kind, ref.key, ref.count] for ref in one.refs],
                "facts": dict(one.facts),
            }
            for collection, log in logs.items()
            for one in log
        ],
    }


def _due(conn: Connection, name: str, now: datetime) -> bool:
    moment = marks.marked(conn, name)
    return moment is not None and moment <= now


def _known(conn: Connection, held: Held, zone: ZoneInfo) -> str:
    events = sum(carelog.last_sequence(conn, one) for one in held.own)
    first = next((moment for moment, _ in held.notes), None)
    return KNOWN.format(
        transports=" and ".join(sorted({transport for transport, _ in held.accounts})) or "no messenger",
        notes=_counted(len(held.notes), "note"),
        since=f" since {_day(first, zone)}" if first else "",
        roles=" and ".join(sorted({role for _, role in held.roles})) or "nobody here",
        own=OWN.format(events=_counted(events, "event")) if held.own else "",
    )


def _going(conn: Connection, person_id: int, zone: ZoneInfo, now: datetime) -> str:
    before = marks.marked(conn, f"{FORGET}{person_id}")
    if before is not None:
        return GOING_ALREADY.format(day=_day(before, zone))
    marks.mark(conn, f"{FORGET}{person_id}", now + GRACE)
    held = held_about(conn, person_id)
    events = sum(carelog.last_sequence(conn, one) for one in held.own)
    own = OWN_GOES.format(events=_counted(events, "event")) if held.own else ""
    return GOING.format(day=_day(now + GRACE, zone), notes=_counted(len(held.notes), "note"), own=own)


def _staying(conn: Connection, person_id: int) -> str:
    name = f"{FORGET}{person_id}"
    if marks.marked(conn, name) is None:
        return NOT_GOING
    marks.unmark(conn, name)
    return STAYING


def _write(file: Path, exported_value: dict[str, Any]) -> None:
    """Write a copy that only its owner can read, on the disk before anything is deleted."""
    file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    with os.fdopen(os.open(file, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "w", encoding="utf-8") as out:
        json.dump(exported_value, out, ensure_ascii=True, indent=1)
        out.flush()
        os.fsync(out.fileno())


def _counted(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}"


def _day(moment: datetime, zone: ZoneInfo) -> str:
    local = moment.astimezone(zone)
    return f"{local:%a} {local.day} {local:%b %Y}"
