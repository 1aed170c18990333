"""A slip that goes with a parcel: what is in it, as one word that the partner's own bot reads out of a message; and its receipt.

It holds what a partner may see and nothing else: names by the codes, counts, pot sizes, rooted or not, from and for whom. It is
packed and carries a sum, so that a slip which was cut or typed wrongly is noticed. It is no proof of anything: whoever gets one
sees what is in it before it is written.
"""

from __future__ import annotations

import base64
import hashlib
import json
import re
import zlib
from dataclasses import dataclass
from datetime import date
from typing import Any

from bot.care.names import parse

VERSION = 1
MOST_ROWS, MOST_COUNT, MOST_NAME = 40, 999, 90
_MOST_PACKED, _MOST_OPENED = 3_000, 20_000  # letters of the word; bytes that it may unfold to
_SUM_BYTES = 6
# Line breaks and spaces that a mail put into it do no harm.
FOUND = re.compile(
    r"\b(?P<kind>SLIP|GOT)(?P<version>\d{1,3})\.(?P<packed>[A-Za-z0-9_\-\s]{8,3000}?)\.(?P<sum>[A-Za-z0-9_-]{8})(?![\w-])"
)
_CUT = re.compile(r"\b(?:SLIP|GOT)\d{1,3}\.[A-Za-z0-9_-]{6}")
_PERSON = re.compile(r"[^\W\d_][\w' -]{0,29}")
_IDENTITY = re.compile(r"[0-9a-f]{16}")
STATES = ("", "rooted", "unrooted")


class SlipProblem(ValueError):
    """A slip that cannot be taken: `kind` is damaged or newer."""

    def __init__(self, kind: str) -> None:
        """`kind` says what is the matter."""
        super().__init__(kind)
        self.kind = kind


@dataclass(frozen=True, slots=True)
class Parcel:
    """One line of a slip: a name, how many, the pot in cm, whether rooted."""

    name: str
    count: int
    pot_cm: float | None = None
    rooted: str = ""


@dataclass(frozen=True, slots=True)
class Slip:
    """What went to somebody: its own identity, the day it was sent, from whom and for whom as far as they are named."""

    identity: str
    sent_on: date
    sender: str
    partner: str
    rows: tuple[Parcel, ...]


@dataclass(frozen=True, slots=True)
class Receipt:
    """What came of a slip: its identity, the day, and how many of each of its lines."""

    identity: str
    got_on: date
    counts: tuple[int, ...]


def slip_word(slip: Slip) -> str:
    """Return a slip as one word."""
    rows = [[one.name, one.count, one.pot_cm, one.rooted] for one in slip.rows]
    return _packed("SLIP", [slip.identity, slip.sent_on.isoformat(), slip.sender, slip.partner, rows])


def receipt_word(receipt: Receipt) -> str:
    """Return a receipt as one word."""
    return _packed("GOT", [receipt.identity, receipt.got_on.isoformat(), list(receipt.counts)])


def found_in(text: str) -> Slip | Receipt | None:
    """Return the slip or receipt in a message; None where it holds none. Raises SlipProblem for a damaged or newer one."""
    found = FOUND.search(text)
    if found is None and _CUT.search(text):
        raise SlipProblem("damaged")
    if found is None:
        return None
    if int(found["version"]) > VERSION:
        raise SlipProblem("newer")
    values = _opened(found["kind"], "".join(found["packed"].split()), found["sum"])
    try:
        return _slip(values) if found["kind"] == "SLIP" else _receipt(values)
    except (TypeError, ValueError, IndexError, KeyError):
        raise SlipProblem("damaged") from None


def _packed(kind: str, values: list[Any]) -> str:
    raw = json.dumps(values, ensure_ascii=False, separators=(",", ":")).encode()
    packed = base64.urlsafe_b64encode(zlib.compress(raw, 9)).decode().rstrip("=")
    return f"{kind}{VERSION}.{packed}.{_sum(kind, packed)}"


def _sum(kind: str, packed: str) -> str:
    made = hashlib.sha256(f"{kind}{VERSION}.{packed}".encode()).digest()[:_SUM_BYTES]
    return base64.urlsafe_b64encode(made).decode()


def _opened(kind: str, packed: str, given_sum: str) -> list[Any]:
    if len(packed) > _MOST_PACKED or _sum(kind, packed) != given_sum:
        raise SlipProblem("damaged")
    try:
        unfolding = zlib.decompressobj()
        raw = unfolding.decompress(base64.urlsafe_b64decode(packed + "=" * (-len(packed) % 4)), _MOST_OPENED)
        values = json.loads(raw) if unfolding.eof else None
    except (ValueError, zlib.error):
        raise SlipProblem("damaged") from None
    if not isinstance(values, list):
        raise SlipProblem("damaged")
    return values


def _slip(values: list[Any]) -> Slip:
    identity, sent_on, sender, partner, rows = values
    if not isinstance(rows, list) or not 1 <= len(rows) <= MOST_ROWS:
        raise ValueError("rows")
    return Slip(
        _identity(identity), date.fromisoformat(sent_on), _person(sender), _person(partner), tuple(_row(*one) for one in rows)
    )


def _row(name: str, count: int, pot_cm: float | None, rooted: str) -> Parcel:
    taxon = parse(str(name))
    if pot_cm is not None and not 1 <= float(pot_cm) <= 100:
        raise ValueError("pot")
    if rooted not in STATES:
        raise ValueError("rooted")
    public = taxon.printed if taxon.known and len(taxon.printed) <= MOST_NAME else ""
    return Parcel(public, _count(count, 1), None if pot_cm is None else float(pot_cm), rooted)


def _receipt(values: list[Any]) -> Receipt:
    identity, got_on, counts = values
    if not isinstance(counts, list) or not 1 <= len(counts) <= MOST_ROWS:
        raise ValueError("counts")
    return Receipt(_identity(identity), date.fromisoformat(got_on), tuple(_count(one, 0) for one in counts))


def _count(given: Any, least: int) -> int:
    if not isinstance(given, int) or isinstance(given, bool) or not least <= given <= MOST_COUNT:
        raise ValueError("count")
    return given


def _identity(given: Any) -> str:
    if not isinstance(given, str) or not _IDENTITY.fullmatch(given):
        raise ValueError("identity")
    return given


def _person(given: Any) -> str:
    if not isinstance(given, str) or (given and not _PERSON.fullmatch(given)):
        raise ValueError("person")
    return given
