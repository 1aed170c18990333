"""Lists shared with others: made, found by the secret of their link, narrowed, extended, taken back; and when each was opened."""

from __future__ import annotations

import hashlib
import hmac
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

import sqlalchemy as sa
from sqlalchemy import Connection

from bot.store.tables import share_opens, shares

SECRET_BYTES = 24  # 192 bits, 32 signs: a deep link of the messenger takes 64
MOST_OPENS_KEPT = 200


@dataclass(frozen=True, slots=True)
class Share:
    """One list that somebody may see; `number` is the owner's, `opened` how often and `last_opened` when it was opened."""

    id: int
    collection_id: int
    number: int
    partner: str
    shown: Mapping[str, Any]
    until: date | None
    made_at: datetime
    ended_at: datetime | None
    opened: int = 0
    last_opened: datetime | None = None

    def open_on(self, day: date) -> bool:
        """Whether it may still be seen on a day of the owner's."""
        return self.ended_at is None and (self.until is None or day <= self.until)


def make(
    conn: Connection, collection_id: int, partner: str, shown: Mapping[str, Any], until: date | None, now: datetime
) -> tuple[Share, str]:
    """Add a share; return it with its secret, which is told once and kept nowhere."""
    secret = secrets.token_urlsafe(SECRET_BYTES)
    last = conn.execute(sa.select(sa.func.max(shares.c.number)).where(shares.c.collection_id == collection_id)).scalar()
    row: dict[str, Any] = {
        "collection_id": collection_id,
        "number": (last or 0) + 1,
        "digest": _digest(secret),
        "partner": partner,
        "shown": dict(shown),
        "until": until,
        "made_at": now,
    }
    made = conn.execute(sa.insert(shares).values(row).returning(*shares.c)).one()
    return _share(made), secret


def by_secret(conn: Connection, secret: str) -> Share | None:
    """Return the share of a link's secret, open or not; None for a secret that never was."""
    digest = _digest(secret)
    row = conn.execute(sa.select(shares).where(shares.c.digest == digest)).first()
    return _share(row) if row is not None and hmac.compare_digest(row.digest, digest) else None


def of_collection(conn: Connection, collection_id: int) -> list[Share]:
    """Return the shares of a collection that were not taken back, with how often each was opened, the oldest first."""
    counted = (
        sa.select(share_opens.c.share_id, sa.func.count().label("times"), sa.func.max(share_opens.c.opened_at).label("last"))
        .group_by(share_opens.c.share_id)
        .subquery()
    )
    query = (
        sa.select(shares, counted.c.times, counted.c.last)
        .outerjoin(counted, counted.c.share_id == shares.c.id)
        .where(shares.c.collection_id == collection_id, shares.c.ended_at.is_(None))
        .order_by(shares.c.number)
    )
    return [_share(row, row.times or 0, row.last) for row in conn.execute(query)]


def opens_of(conn: Connection, share_id: int, most: int = 5) -> list[datetime]:
    """Return the newest moments at which a share was opened."""
    query = sa.select(share_opens.c.opened_at).where(share_opens.c.share_id == share_id)
    return list(conn.execute(query.order_by(share_opens.c.opened_at.desc()).limit(most)).scalars())


def opened_since(conn: Connection, share_id: int, since: datetime) -> int:
    """Return how often a share was opened since a moment."""
    mine = sa.and_(share_opens.c.share_id == share_id, share_opens.c.opened_at > since)
    return int(conn.execute(sa.select(sa.func.count()).where(mine)).scalar_one())


def opened(conn: Connection, share: Share, way: str, now: datetime) -> None:
    """Note that a share was opened; of very many only the first are kept."""
    count = conn.execute(sa.select(sa.func.count()).where(share_opens.c.share_id == share.id)).scalar_one()
    if count < MOST_OPENS_KEPT:
        conn.execute(sa.insert(share_opens).values(collection_id=share.collection_id, share_id=share.id, opened_at=now, way=way))


def end(conn: Connection, share_id: int, now: datetime) -> None:
    """Take a share back."""
    conn.execute(sa.update(shares).where(shares.c.id == share_id, shares.c.ended_at.is_(None)).values(ended_at=now))


def change(conn: Connection, share_id: int, *, until: date | None = None, shown: Mapping[str, Any] | None = None) -> None:
    """Give a share another last day, or other things to show."""
    values: dict[str, Any] = ({"until": until} if until else {}) | ({"shown": dict(shown)} if shown is not None else {})
    if values:
        conn.execute(sa.update(shares).where(shares.c.id == share_id).values(values))


def _digest(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()


def _share(row: Any, opened_times: int = 0, last: datetime | None = None) -> Share:
    return Share(
        row.id, row.collection_id, row.number, row.partner, row.shown, row.until, row.made_at, row.ended_at, opened_times, last
    )
