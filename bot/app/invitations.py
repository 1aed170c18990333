"""Codes that let a person into a collection: each works once, until it expires, and is kept only as a digest."""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import dataclass
from datetime import datetime

from bot.store import marks
from bot.store.database import Connection

CODE_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789"  # without 0, O, 1 and I, which are mistaken for one another
CODE_LENGTH = 10


@dataclass(frozen=True, slots=True)
class Invitation:
    """What a code is good for: a role in a collection."""

    role: str
    collection_id: int


def new_code() -> str:
    """A code that nobody guesses: ten letters and digits, fifty bits."""
    return "".join(secrets.choice(CODE_LETTERS) for _ in range(CODE_LENGTH))


def invite(conn: Connection, transport: str, invitation: Invitation, until: datetime) -> str:
    """Return a new code for this invitation, good once and until that moment."""
    code = new_code()
    name = f"{_beginning(transport)}{_digest(code)}:{invitation.role}:{invitation.collection_id}"
    marks.mark(conn, name, until)
    return code


def redeem(conn: Connection, transport: str, code: str, now: datetime) -> Invitation | None:
    """Return what a code is good for, and end it; None for a code that is unknown, used or expired."""
    beginning = f"{_beginning(transport)}{_digest(code)}:"
    for name in marks.names_marked(conn, beginning):
        until = marks.marked(conn, name)
        marks.unmark(conn, name)
        if until is not None and now < until:
            role, _, collection_id = name.removeprefix(beginning).partition(":")
            return Invitation(role, int(collection_id))
    return None


def _beginning(transport: str) -> str:
    return f"invitation:{transport}:"


def _digest(code: str) -> str:
    return hashlib.sha256(code.strip().upper().encode()).hexdigest()
