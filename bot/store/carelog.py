"""The care log, the one truth about the plants: appended to, read back, never changed."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date
from itertools import groupby
from typing import Any

import sqlalchemy as sa
from sqlalchemy import Connection

from bot.care.events import CORRECTIONS, CareEvent, Ref
from bot.store.tables import care_log, care_log_refs, collections


def append(conn: Connection, collection_id: int, events: Sequence[CareEvent]) -> list[CareEvent]:
    """Append events to the log of a collection and return them with their sequence, in the order given.

    `note` and `person` of an event are ids of the notes and people tables, 0 where there is none. Raises IntegrityError
    where an identity is in the log already or the note, person or collection does not exist.
    """
    if not events:
        return []
    lock(conn, collection_id)  # one writer at a time numbers a collection's events
    first = last_sequence(conn, collection_id) + 1
    numbered = [replace(event, sequence=number) for number, event in enumerate(events, first)]
    conn.execute(sa.insert(care_log), [_log_row(collection_id, event) for event in numbered])
    refs = [_ref_row(collection_id, event, position) for event in numbered for position in range(len(event.refs))]
    if refs:
        conn.execute(sa.insert(care_log_refs), refs)
    return numbered


def lock(conn: Connection, collection_id: int) -> None:
    """Hold a collection to the end of this transaction: what is read of it from here on is what others have committed.

    SQLite's write lock does it without being asked.
    """
    conn.execute(sa.select(collections.c.id).where(collections.c.id == collection_id).with_for_update())


def load(conn: Connection, collection_id: int, *, after: int = 0) -> list[CareEvent]:
    """Return the events of a collection with a sequence above `after`, in order of sequence."""
    return _events(conn, sa.and_(care_log.c.collection_id == collection_id, care_log.c.sequence > after))


def load_tail(conn: Connection, collection_id: int, after: int, since: date, besides: Iterable[str] = ()) -> list[CareEvent]:
    """Return, in order of sequence, the events above a sequence, those that happened after a day, and some by identity."""
    mine = care_log.c.collection_id == collection_id
    found = [
        *_events(conn, sa.and_(mine, care_log.c.sequence > after)),
        *_events(conn, sa.and_(mine, care_log.c.happened_on > since, care_log.c.sequence <= after)),
        *load_identities(conn, collection_id, besides),
    ]
    return sorted({one.sequence: one for one in found}.values(), key=lambda one: one.sequence)


def first_after(conn: Connection, collection_id: int, day: date, sequence: int) -> int:
    """Return the lowest sequence of the events that happened after a day or are above a sequence."""
    later = sa.and_(care_log.c.collection_id == collection_id, care_log.c.happened_on > day)
    found: int | None = conn.execute(sa.select(sa.func.min(care_log.c.sequence)).where(later)).scalar_one()
    return sequence + 1 if found is None else min(found, sequence + 1)


def any_before(conn: Connection, collection_id: int, day: date, after: int, below: int) -> bool:
    """Whether the log holds an event of a day or an earlier one between two sequences."""
    between = sa.and_(care_log.c.collection_id == collection_id, care_log.c.sequence > after, care_log.c.sequence < below)
    asked = sa.select(care_log.c.sequence).where(sa.and_(between, care_log.c.happened_on <= day)).limit(1)
    return conn.execute(asked).first() is not None


def load_speaking_of(conn: Connection, collection_id: int, kind: str, keys: Sequence[str]) -> list[CareEvent]:
    """Return, in order of sequence, the events that name one of these things or hold it in their facts, and what corrects any.

    In facts a thing stands as "kind:key", as a ref (`["kind","key",count]`), or by its key alone. More may come than is
    asked for. What names the first has all its refs, what names only another those of the things alone. To be taken
    through `effective`.
    """
    mine = care_log.c.collection_id == collection_id
    facts = sa.type_coerce(care_log.c.facts, sa.Text)
    ends = [json.dumps(key)[1:] for key in keys]  # as the facts are written: ASCII, what is not escaped
    said = sa.or_(*(facts.contains(one, autoescape=True) for end in ends for one in (f'"{end}', f"{kind}:{end[:-1]}")))
    speaking = _events(conn, sa.and_(mine, said))
    naming = load_naming(conn, collection_id, [(kind, key) for key in keys], 0)
    first = [one.identity for one in naming if any(ref.key == keys[0] for ref in one.refs)]
    amended = [one.facts["target"] for one in speaking if one.kind == "amended"]
    named = load_identities(conn, collection_id, [*first, *amended])
    return in_order([*naming, *speaking, *named, *corrections(conn, collection_id)])


def load_kinds(conn: Connection, collection_id: int, kinds: Iterable[str], first: int) -> list[CareEvent]:
    """Return, in order of sequence, the events of some kinds from a sequence on."""
    mine = sa.and_(care_log.c.collection_id == collection_id, care_log.c.sequence >= first)
    return _events(conn, sa.and_(mine, care_log.c.kind.in_(list(kinds))))


def load_identities(conn: Connection, collection_id: int, identities: Iterable[str]) -> list[CareEvent]:
    """Return, in order of sequence, the events of these identities that are there."""
    mine = care_log.c.collection_id == collection_id
    found = (_events(conn, sa.and_(mine, care_log.c.identity.in_(some))) for some in _chunks(sorted(set(identities))))
    return in_order(event for some in found for event in some)


def load_naming(conn: Connection, collection_id: int, things: Iterable[tuple[str, str]], first: int) -> list[CareEvent]:
    """Return, in order of sequence, the events from a sequence on that name one of these things, with no more than those refs.

    What a note on a bench says is read for the one plant that is asked about, not for all fifty.
    """
    mine = sa.and_(care_log_refs.c.collection_id == collection_id, care_log_refs.c.sequence >= first)
    columns = (care_log_refs.c[one] for one in ("sequence", "position", "kind", "key", "count"))
    query = sa.select(*columns).where(mine)
    refs: dict[int, list[tuple[int, Ref]]] = {}
    for kind, held in groupby(sorted(set(things)), key=lambda one: one[0]):
        for keys in _chunks([key for _, key in held]):
            found = conn.execute(query.where(care_log_refs.c.kind == kind, care_log_refs.c.key.in_(keys)))
            for sequence, position, _, key, count in found:
                refs.setdefault(sequence, []).append((position, Ref(kind, key, count)))
    return [
        _event_of(row, tuple(ref for _, ref in sorted(refs[row.sequence])))
        for sequences in _chunks(sorted(refs))
        for row in conn.execute(
            sa.select(care_log)
            .where(care_log.c.collection_id == collection_id, care_log.c.sequence.in_(sequences))
            .order_by(care_log.c.sequence)
        )
    ]


def _chunks(items: Sequence[Any]) -> Iterable[Sequence[Any]]:
    """Return items in pieces that one statement can hold."""
    return (items[start : start + _A_STATEMENT] for start in range(0, len(items), _A_STATEMENT))


def last_sequence(conn: Connection, collection_id: int) -> int:
    """Return the sequence of the newest event of a collection, 0 where its log is empty."""
    newest = sa.select(sa.func.max(care_log.c.sequence)).where(care_log.c.collection_id == collection_id)
    return conn.execute(newest).scalar_one() or 0


def by_note(conn: Connection, note_id: int) -> list[CareEvent]:
    """Return the events that one note wrote, in order of sequence."""
    return _events(conn, care_log.c.note_id == note_id)


def by_sequence(conn: Connection, collection_id: int, sequence: int) -> CareEvent | None:
    """Return the event of a collection with this number, or None."""
    found = _events(conn, sa.and_(care_log.c.collection_id == collection_id, care_log.c.sequence == sequence))
    return found[0] if found else None


def notes_that_wrote(conn: Connection, ids: Sequence[int]) -> set[int]:
    """Return which of some notes wrote an event."""
    wrote = sa.select(care_log.c.note_id).where(care_log.c.note_id.in_(ids)).distinct() if ids else None
    return set(conn.execute(wrote).scalars()) if wrote is not None else set()


def by_ref(conn: Connection, collection_id: int, kind: str, key: str, *, alone: bool = False) -> list[CareEvent]:
    """Return the events of a collection that name this thing, in order of sequence.

    `alone` leaves their other refs out: a note on a bench names fifty plants.
    """
    naming = sa.select(care_log_refs.c.sequence).where(
        care_log_refs.c.collection_id == collection_id, care_log_refs.c.kind == kind, care_log_refs.c.key == key
    )
    found = sa.and_(care_log.c.collection_id == collection_id, care_log.c.sequence.in_(naming))
    if not alone:
        return _events(conn, found)
    mine = sa.and_(care_log_refs.c.kind == kind, care_log_refs.c.key == key)
    return _events(conn, sa.and_(found, mine), of_event=tuple(care_log.c))


def load_of(conn: Connection, collection_id: int, kinds: Sequence[str], whats: Sequence[str], since: date) -> list[CareEvent]:
    """Return, in order of sequence, the events of some kinds and acts or signs since a day, and all that corrects any.

    To be taken through `effective`: some of what comes is taken back, or says something else by now.
    """
    wanted = sa.and_(
        care_log.c.collection_id == collection_id,
        care_log.c.happened_on >= since,
        care_log.c.kind.in_(kinds),
        care_log.c.what.in_(whats),
    )
    return in_order([*_events(conn, wanted), *corrections(conn, collection_id)])


def corrections(conn: Connection, collection_id: int, since: date = date.min) -> list[CareEvent]:
    """Return what takes back or amends, with the events that an amendment may turn into one of another kind, day or thing.

    `since` is the day from which on they were written.
    """
    mine = sa.and_(care_log.c.collection_id == collection_id, care_log.c.happened_on >= since)
    found = _events(conn, sa.and_(mine, care_log.c.kind.in_(CORRECTIONS)))
    amended = {one.facts["target"] for one in found if one.kind == "amended" and _SOUGHT_BY & one.facts["patch"].keys()}
    return [*found, *load_identities(conn, collection_id, amended)]


def in_order(events: Iterable[CareEvent]) -> list[CareEvent]:
    """Return events in order of sequence, each once."""
    return sorted({one.sequence: one for one in events}.values(), key=lambda one: one.sequence)


_A_STATEMENT = 400  # values in one statement, well below the least limit of a database
_SOUGHT_BY = frozenset({"kind", "what", "happened_on", "refs"})
_ONE_TO_ONE = ("identity", "happened_on", "happened_at", "recorded_at", "kind", "what", "facts", "sequence")


# The facts come with the first ref of an event alone: a bench of fifty plants is fifty rows, and to parse each is slow.
_FIRST = sa.func.coalesce(care_log_refs.c.position, 0) == 0
_OF_EVENT: list[sa.ColumnElement[Any]] = [
    sa.case((_FIRST, one)).label("facts") if one.name == "facts" else one for one in care_log.c
]


def _log_row(collection_id: int, event: CareEvent) -> dict[str, Any]:
    row = {name: getattr(event, name) for name in _ONE_TO_ONE}
    return row | {"collection_id": collection_id, "note_id": event.note or None, "person_id": event.person or None}


def _ref_row(collection_id: int, event: CareEvent, position: int) -> dict[str, Any]:
    ref = event.refs[position]
    place = {"collection_id": collection_id, "sequence": event.sequence, "position": position}
    return place | {"kind": ref.kind, "key": ref.key, "count": ref.count}


def _events(
    conn: Connection, which: sa.ColumnElement[bool], of_event: Sequence[sa.ColumnElement[Any]] = _OF_EVENT
) -> list[CareEvent]:
    # One row for each pair of event and ref: half the time of two queries, and one moment of the log on any database.
    joined = care_log.outerjoin(care_log_refs)
    refs = (
        care_log_refs.c.kind.label("ref_kind"),
        care_log_refs.c.key.label("ref_key"),
        care_log_refs.c.count.label("ref_count"),
    )
    query = sa.select(*of_event, *refs).select_from(joined).where(which)
    rows: Iterable[sa.Row[Any]] = conn.execute(
        query.order_by(care_log.c.collection_id, care_log.c.sequence, care_log_refs.c.position)
    )
    return [_event(list(group)) for _, group in groupby(rows, key=lambda row: row.identity)]


def _event(rows: Sequence[sa.Row[Any]]) -> CareEvent:
    return _event_of(rows[0], tuple(_refs(rows)))


def _event_of(row: sa.Row[Any], refs: tuple[Ref, ...]) -> CareEvent:
    return CareEvent(
        identity=row.identity,
        note=row.note_id or 0,
        happened_on=row.happened_on,
        recorded_at=row.recorded_at,
        kind=row.kind,
        what=row.what,
        refs=refs,
        facts=row.facts,
        happened_at=row.happened_at,
        person=row.person_id or 0,
        sequence=row.sequence,
    )


def _refs(rows: Iterable[sa.Row[Any]]) -> Iterable[Ref]:
    return (Ref(row.ref_kind, row.ref_key, row.ref_count) for row in rows if row.ref_kind is not None)
