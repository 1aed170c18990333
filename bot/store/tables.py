"""The tables, as SQLAlchemy Core, and the column types that keep values exact on SQLite and PostgreSQL alike.

Truth: inbox, notes, care_log with care_log_refs, people, accounts, chats, collections, members, outbox,
photos, sheets, marks.
Projections, rebuilt from the care log: standing, due, projection, checkpoint.
The partial indexes stand in `bot.store.indexes`.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from typing import Any

import sqlalchemy as sa

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_UNSTORABLE = re.compile("[\\\\\x00\ud800-\udfff]")
_ESCAPED = re.compile(r"\\(\\|u[0-9a-f]{4})")


class Moment(sa.types.TypeDecorator[datetime]):
    """An aware moment, stored as whole microseconds since 1970-01-01 UTC: compares and sorts as an integer everywhere."""

    impl = sa.BigInteger
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: sa.Dialect) -> int | None:  # noqa: ARG002
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError(f"a moment needs a time zone: {value!r}")
        return (value - _EPOCH) // timedelta(microseconds=1)

    def process_result_value(self, value: int | None, dialect: sa.Dialect) -> datetime | None:  # noqa: ARG002
        return None if value is None else _EPOCH + timedelta(microseconds=value)


class Json(sa.types.TypeDecorator[Any]):
    """A JSON value, stored as compact ASCII text with sorted keys: the same value is always the same text.

    Text rather than a JSON column, since PostgreSQL refuses an escaped NUL in some of those and rewrites numbers in others.
    """

    impl = sa.Text
    cache_ok = True

    def process_bind_param(self, value: Any, dialect: sa.Dialect) -> str:  # noqa: ARG002
        return json.dumps(value, separators=(",", ":"), sort_keys=True, allow_nan=False, default=_as_dict)

    def process_result_value(self, value: str | None, dialect: sa.Dialect) -> Any:  # noqa: ARG002
        return None if value is None else json.loads(value)


class Typed(sa.types.TypeDecorator[str]):
    r"""Text as somebody typed it, whatever it holds.

    What a database cannot hold as text (NUL, a lone surrogate) is written as a backslash and four hexadecimal digits, a
    backslash as two; all else stands as it is.
    """

    impl = sa.Text
    cache_ok = True

    def process_bind_param(self, value: str | None, dialect: sa.Dialect) -> str | None:  # noqa: ARG002
        return None if value is None else _UNSTORABLE.sub(_escape, value)

    def process_result_value(self, value: str | None, dialect: sa.Dialect) -> str | None:  # noqa: ARG002
        return value if value is None or "\\" not in value else _ESCAPED.sub(_unescape, value)


def _as_dict(value: object) -> dict[Any, Any]:
    if isinstance(value, Mapping):
        return dict(value)
    raise TypeError(f"not a JSON value: {value!r}")


def _escape(match: re.Match[str]) -> str:
    return "\\\\" if match[0] == "\\" else f"\\u{ord(match[0]):04x}"


def _unescape(match: re.Match[str]) -> str:
    return "\\" if match[1] == "\\" else chr(int(match[1][1:], 16))


# SQLite numbers only a column declared INTEGER by itself; it holds 64 bits there as BIGINT does elsewhere.
Key = sa.BigInteger().with_variant(sa.Integer(), "sqlite")

# Words that partial indexes and checks name. They are written into the SQL as literals, since SQLite takes a partial
# index only where the query's text, not a bound value, shows that it applies.
OPEN = sa.literal_column("'open'", sa.Text)
WAITING = sa.literal_column("'waiting'", sa.Text)


metadata = sa.MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)

collections = sa.Table(
    "collections",
    metadata,
    sa.Column("id", Key, primary_key=True),
    sa.Column("public_id", sa.Text, nullable=False, unique=True),
    sa.Column("settings", Json, nullable=False),
)

people = sa.Table(
    "people",
    metadata,
    sa.Column("id", Key, primary_key=True),
    sa.Column("public_id", sa.Text, nullable=False, unique=True),
)

# Under which name a transport knows a person. Apart from people, so that a person can have several and replace a lost one.
accounts = sa.Table(
    "accounts",
    metadata,
    sa.Column("transport", sa.Text, primary_key=True),
    sa.Column("sender", Typed, primary_key=True),
    sa.Column("person_id", sa.ForeignKey("people.id"), nullable=False, index=True),
)

members = sa.Table(
    "members",
    metadata,
    sa.Column("collection_id", sa.ForeignKey("collections.id"), primary_key=True),
    sa.Column("person_id", sa.ForeignKey("people.id"), primary_key=True, index=True),
    sa.Column("role", sa.Text, nullable=False),
    sa.CheckConstraint("role IN ('owner', 'helper', 'guest')", name="role"),
)

# `person_id` is who opened the chat; `collection_id` the collection that is being spoken of in it.
chats = sa.Table(
    "chats",
    metadata,
    sa.Column("id", Key, primary_key=True),
    sa.Column("transport", sa.Text, nullable=False),
    sa.Column("address", Typed, nullable=False),
    sa.Column("person_id", sa.ForeignKey("people.id"), nullable=False, index=True),
    sa.Column("collection_id", sa.ForeignKey("collections.id"), nullable=False, index=True),
    sa.Column("talk", Json, nullable=False),
    sa.UniqueConstraint("transport", "address"),
)

# `state` is open, done or poison; a leased row is open with `leased_until` in the future.
inbox = sa.Table(
    "inbox",
    metadata,
    sa.Column("id", Key, primary_key=True),
    sa.Column("source", sa.Text, nullable=False),
    sa.Column("update_key", sa.Text, nullable=False),
    sa.Column("transport", sa.Text, nullable=False),
    sa.Column("address", Typed, nullable=False),
    sa.Column("sender", Typed, nullable=False),
    sa.Column("text", Typed, nullable=False),
    sa.Column("sent_at", Moment, nullable=False),
    sa.Column("message_key", sa.Text, nullable=False),
    sa.Column("reply_to", sa.Text, nullable=False),
    sa.Column("raw", Typed, nullable=False),
    sa.Column("got_at", Moment, nullable=False),
    sa.Column("state", sa.Text, nullable=False),
    sa.CheckConstraint("state IN ('open', 'done', 'poison')", name="state"),
    sa.Column("done_at", Moment),
    sa.Column("attempts", sa.Integer, nullable=False),
    sa.Column("leased_by", sa.Text),
    sa.Column("leased_until", Moment),
    sa.Column("error", Typed),
    sa.UniqueConstraint("source", "update_key"),
    sa.Index("ix_inbox_message", "transport", "address", "message_key"),
)

# The journal. `question_state` is empty where nothing was asked, else open, answered, or whatever the asker calls its end.
notes = sa.Table(
    "notes",
    metadata,
    sa.Column("id", Key, primary_key=True),
    sa.Column("inbox_id", sa.ForeignKey("inbox.id"), unique=True),
    sa.Column("collection_id", sa.ForeignKey("collections.id"), nullable=False),
    sa.Column("person_id", sa.ForeignKey("people.id"), nullable=False),
    sa.Column("chat_id", sa.ForeignKey("chats.id"), nullable=False),
    sa.Column("text", Typed, nullable=False),
    sa.Column("sent_at", Moment, nullable=False),
    sa.Column("reading", Json, nullable=False),
    sa.Column("decision", sa.Text, nullable=False),
    sa.Column("ask", sa.Text),
    sa.Column("choices", Json, nullable=False),
    sa.Column("question_state", sa.Text, nullable=False),
    sa.Index("ix_notes_journal", "collection_id", "sent_at"),
    sa.Index("ix_notes_chat", "chat_id", "id"),
)

# `sequence` numbers the events of one collection without gaps, so that "all after 812" never misses one that another
# writer commits late. The table is append-only: triggers refuse UPDATE and DELETE.
care_log = sa.Table(
    "care_log",
    metadata,
    sa.Column("collection_id", sa.ForeignKey("collections.id"), primary_key=True),
    sa.Column("sequence", sa.BigInteger, primary_key=True, autoincrement=False),
    sa.Column("identity", sa.Text, nullable=False, unique=True),
    sa.Column("note_id", sa.ForeignKey("notes.id"), index=True),
    sa.Column("person_id", sa.ForeignKey("people.id")),
    sa.Column("happened_on", sa.Date, nullable=False),
    sa.Column("happened_at", sa.Time),
    sa.Column("recorded_at", Moment, nullable=False),
    sa.Column("kind", sa.Text, nullable=False),
    sa.Column("what", sa.Text, nullable=False),
    sa.Column("facts", Json, nullable=False),
    sa.Index("ix_care_log_day", "collection_id", "happened_on"),
    sqlite_with_rowid=False,
)

# What each event is about, in the order said; append-only like the log that it is a part of.
care_log_refs = sa.Table(
    "care_log_refs",
    metadata,
    sa.Column("collection_id", sa.BigInteger, primary_key=True),
    sa.Column("sequence", sa.BigInteger, primary_key=True, autoincrement=False),
    sa.Column("position", sa.Integer, primary_key=True, autoincrement=False),
    sa.Column("kind", sa.Text, nullable=False),
    sa.Column("key", Typed, nullable=False),
    sa.Column("count", sa.BigInteger),
    sa.ForeignKeyConstraint(["collection_id", "sequence"], ["care_log.collection_id", "care_log.sequence"]),
    sa.Index("ix_care_log_refs_thing", "collection_id", "kind", "key", "sequence"),
    sqlite_with_rowid=False,
)

standing = sa.Table(
    "standing",
    metadata,
    sa.Column("collection_id", sa.ForeignKey("collections.id"), primary_key=True),
    sa.Column("kind", sa.Text, primary_key=True),
    sa.Column("key", Typed, primary_key=True),
    sa.Column("body", Json, nullable=False),
    sqlite_with_rowid=False,
)

due = sa.Table(
    "due",
    metadata,
    sa.Column("collection_id", sa.ForeignKey("collections.id"), primary_key=True),
    sa.Column("key", Typed, primary_key=True),
    sa.Column("kind", sa.Text, nullable=False),
    sa.Column("on", sa.Date, nullable=False),
    sa.Column("until", sa.Date),
    sa.Column("place", Typed, nullable=False),
    sa.Column("body", Json, nullable=False),
    sa.Column("version", sa.Integer, nullable=False),
    sa.Column("made_on", sa.Date, nullable=False),
    sa.Index("ix_due_on", "collection_id", "on", "key"),
    sqlite_with_rowid=False,
)

# How far the projections of a collection have come: the last event folded, and the version of the fold that did it.
projection = sa.Table(
    "projection",
    metadata,
    sa.Column("collection_id", sa.ForeignKey("collections.id"), primary_key=True),
    sa.Column("sequence", sa.BigInteger, nullable=False),
    sa.Column("version", sa.Integer, nullable=False),
)

# How a collection stood on a day some weeks or a year ago (`reach`), as far as the log told of it by `sequence`; `extras` are
# identities of events.
checkpoint = sa.Table(
    "checkpoint",
    metadata,
    sa.Column("collection_id", sa.ForeignKey("collections.id"), primary_key=True),
    sa.Column("reach", sa.Text, primary_key=True),
    sa.Column("day", sa.Date, nullable=False),
    sa.Column("sequence", sa.BigInteger, nullable=False),
    sa.Column("version", sa.Integer, nullable=False),
    sa.Column("extras", Json, nullable=False),
    sa.Column("rows", Json, nullable=False),
)

# `state` is waiting, sent or failed. `send_after` gives the order within a chat and never changes; `ready_at` is when the row
# may next be claimed: at first `send_after`, then the end of a lease or the moment of the next try.
outbox = sa.Table(
    "outbox",
    metadata,
    sa.Column("id", Key, primary_key=True),
    sa.Column("dedup_key", Typed, nullable=False, unique=True),
    sa.Column("chat_id", sa.ForeignKey("chats.id"), nullable=False),
    sa.Column("note_id", sa.ForeignKey("notes.id"), index=True),
    sa.Column("kind", sa.Text, nullable=False),
    sa.Column("text", Typed, nullable=False),
    sa.Column("buttons", Json, nullable=False),
    sa.Column("created_at", Moment, nullable=False),
    sa.Column("send_after", Moment, nullable=False),
    sa.Column("ready_at", Moment, nullable=False),
    sa.Column("state", sa.Text, nullable=False),
    sa.CheckConstraint("state IN ('waiting', 'sent', 'failed')", name="state"),
    sa.Column("attempts", sa.Integer, nullable=False),
    sa.Column("sent_key", sa.Text),
    sa.Column("sent_at", Moment),
    sa.Column("error", Typed),
    sa.Column("listed", Json),
    sa.Column("files", Json),  # name, media type and recipe of each; emptied once they are sent
    sa.Index("ix_outbox_sent_key", "chat_id", "sent_key"),
)

# Pictures that came with messages. `file_key` is the messenger's name of the file, `name` the path within the folder of photos,
# empty until the file is kept; `state` is waiting, kept or refused; `refs` are the plants shown, `event` an identity in the log.
photos = sa.Table(
    "photos",
    metadata,
    sa.Column("id", Key, primary_key=True),
    sa.Column("public_id", sa.Text, nullable=False, unique=True),
    sa.Column("collection_id", sa.ForeignKey("collections.id"), nullable=False),
    sa.Column("chat_id", sa.ForeignKey("chats.id"), nullable=False),
    sa.Column("inbox_id", sa.ForeignKey("inbox.id"), nullable=False, unique=True),
    sa.Column("note_id", sa.ForeignKey("notes.id"), index=True),
    sa.Column("event", sa.Text),
    sa.Column("file_key", sa.Text, nullable=False),
    sa.Column("album", sa.Text, nullable=False),
    sa.Column("taken_on", sa.Date, nullable=False),
    sa.Column("refs", Json, nullable=False),
    sa.Column("state", sa.Text, nullable=False),
    sa.CheckConstraint("state IN ('waiting', 'kept', 'refused')", name="state"),
    sa.Column("ready_at", Moment, nullable=False),
    sa.Column("attempts", sa.Integer, nullable=False),
    sa.Column("name", sa.Text, nullable=False),
    sa.Column("error", Typed),
    sa.Index("ix_photos_chat", "chat_id", "id"),
    sa.Index("ix_photos_collection", "collection_id", "taken_on"),
    sa.Index("ix_photos_state", "state", "ready_at"),
)

# Spreadsheets of plants that were sent: `content` (Base64) is empty until fetched, and again once `state` is done.
sheets = sa.Table(
    "sheets",
    metadata,
    sa.Column("id", Key, primary_key=True),
    sa.Column("collection_id", sa.ForeignKey("collections.id"), nullable=False),
    sa.Column("chat_id", sa.ForeignKey("chats.id"), nullable=False),
    sa.Column("inbox_id", sa.ForeignKey("inbox.id"), nullable=False, unique=True),
    sa.Column("file_key", sa.Text, nullable=False),
    sa.Column("name", Typed, nullable=False),
    sa.Column("told", Json, nullable=False),
    sa.Column("content", sa.Text, nullable=False),
    sa.Column("state", sa.Text, nullable=False),
    sa.CheckConstraint("state IN ('waiting', 'open', 'done')", name="state"),
    sa.Column("ready_at", Moment, nullable=False),
    sa.Column("attempts", sa.Integer, nullable=False),
    sa.Index("ix_sheets_state", "state", "ready_at"),
    sa.Index("ix_sheets_chat", "chat_id", "state"),
)

# Lists that others may see. `digest` is that of the link's secret, which is kept nowhere; `number` is what the owner calls it by,
# `shown` what it is of, `until` the last day, `ended_at` when it was taken back.
shares = sa.Table(
    "shares",
    metadata,
    sa.Column("id", Key, primary_key=True),
    sa.Column("collection_id", sa.ForeignKey("collections.id"), nullable=False),
    sa.Column("number", sa.Integer, nullable=False),
    sa.Column("digest", sa.Text, nullable=False, unique=True),
    sa.Column("partner", Typed, nullable=False),
    sa.Column("shown", Json, nullable=False),
    sa.Column("until", sa.Date),
    sa.Column("made_at", Moment, nullable=False),
    sa.Column("ended_at", Moment),
    sa.UniqueConstraint("collection_id", "number", name="uq_shares_number"),
)

share_opens = sa.Table(
    "share_opens",
    metadata,
    sa.Column("id", Key, primary_key=True),
    sa.Column("collection_id", sa.ForeignKey("collections.id"), nullable=False),
    sa.Column("share_id", sa.ForeignKey("shares.id"), nullable=False),
    sa.Column("opened_at", Moment, nullable=False),
    sa.Column("way", sa.Text, nullable=False),
    sa.Index("ix_share_opens_share_id", "share_id", "opened_at"),
)

# Moments remembered by name: when a messenger was last reached, since when a chat is quiet.
marks = sa.Table(
    "marks",
    metadata,
    sa.Column("name", sa.Text, primary_key=True),
    sa.Column("moment", Moment, nullable=False),
)
