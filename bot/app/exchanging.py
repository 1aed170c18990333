"""A collection out to a file and in again, without loss: `potside export`, `potside import`."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from bot.app import projecting
from bot.app.climates import setting_of
from bot.app.readings_import import collection_meant
from bot.care.fold_lots import ORIGIN
from bot.care.standing import Standing, Thing
from bot.sharing.darwin_core import Living, write
from bot.sharing.exchange import PHOTOS, TABLE, Archive, ExchangeProblem, Packing, as_lines, each, pieces_of
from bot.sharing.page import guarded
from bot.store import carelog, parcels, people
from bot.store.database import Connection, Database

HEAD = (
    "kind",
    "number",
    "name",
    "count",
    "status",
    "place",
    "lot",
    "pot_cm",
    "came_on",
    "came_from",
    "price",
    "currency",
    "parent",
    "pollen_parent",
    "accession",
    "field_number",
    "provenance",
    "label_text",
)
TERMINAL = ("terminal", "local")
AT_ONCE = 500
Tell = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Exchanged:
    """What went out or came in."""

    notes: int
    events: int
    photos: int
    plants: int


def export(database: Database, target: Path, photos: Path | None, collection: str, tell: Tell = lambda _: None) -> Exchanged:
    """Write a collection to a file that is not there yet; nothing that looks whole is left where it is broken off.

    Raises ExchangeProblem where the file exists, ReadingsProblem where nobody knows which collection is meant, OSError.
    """
    if target.exists():
        raise ExchangeProblem(f"{target} exists already. Give another name.")
    unfinished = target.with_name(f".{target.name}-unfinished")
    try:
        with database.read() as conn, unfinished.open("wb") as file:
            whose = collection_meant(people.all_collections(conn), collection)
            made = _write(conn, whose.id, Packing(file), photos, tell)
        unfinished.replace(target)
    finally:
        unfinished.unlink(missing_ok=True)
    return made


def darwin_core(database: Database, target: Path, collection: str, now: datetime) -> int:
    """Write the living plants as a Darwin Core archive to a file that is not there yet; return how many. Raises as `export`."""
    if target.exists():
        raise ExchangeProblem(f"{target} exists already. Give another name.")
    with database.read() as conn:
        whose = collection_meant(people.all_collections(conn), collection)
        head, standing = parcels.collection_row(conn, whose.id), projecting.load(conn, whose.id).standing
    plants = [_living(one) for one in sorted(standing.plants(), key=lambda one: (one.kind, one.key)) if one.alive and one.taxon]
    with target.open("xb") as file:
        return write(file, head["id"], str(head["settings"].get("name") or "Plants"), plants, now.date())


def _living(one: Thing) -> Living:
    return Living(
        f"{one.kind}:{one.key}",
        one.taxon,
        one.count,
        one.came_on or one.first_on,
        str(one.tally.get("field_number", "")),
        one.accession,
    )


def _write(conn: Connection, collection_id: int, packing: Packing, photos: Path | None, tell: Tell) -> Exchanged:
    counts: dict[str, int] = {}

    def add(name: str, rows: Iterable[parcels.Row]) -> None:
        counts[name] = 0
        tell(name)
        packing.add(f"{name}.jsonl", as_lines(_counted(rows, counts, name)))

    packing.add("collection.json", as_lines([parcels.collection_row(conn, collection_id)]))
    add("people", parcels.people_rows(conn, collection_id))
    add("notes", parcels.note_rows(conn, collection_id))
    add("events", parcels.event_rows(conn, collection_id))
    kept = [one for one in parcels.photo_rows(conn, collection_id) if photos is not None and (photos / one["file"]).is_file()]
    add("photos", kept)
    standing = projecting.load(conn, collection_id).standing
    packing.add(TABLE, [plants_table(standing).encode()])
    for one in kept:
        assert photos is not None
        packing.add(f"{PHOTOS}{one['file']}", pieces_of(photos / one["file"]), packed=False)
    packing.finish(rows=counts)
    return Exchanged(counts["notes"], counts["events"], counts["photos"], sum(1 for _ in standing.plants()))


def _counted(rows: Iterable[parcels.Row], counts: dict[str, int], name: str) -> Iterator[parcels.Row]:
    for row in rows:
        counts[name] += 1
        yield row


def plants_table(standing: Standing) -> str:
    """Return the plants as a table (RFC 4180), no cell of which a spreadsheet takes for a formula."""
    written = io.StringIO()
    table = csv.writer(written, lineterminator="\r\n")
    table.writerow(HEAD)
    for one in sorted(standing.things.values(), key=lambda one: (one.kind, one.key)):
        if one.kind in ("plant", "lot", "batch", "sowing", "taxon"):
            table.writerow([guarded(str(cell)) if cell is not None else "" for cell in _cells(one)])
    return written.getvalue()


def _cells(one: Thing) -> tuple[object, ...]:
    return (
        one.kind, one.key, one.taxon, one.count, one.status, one.place, one.lot, one.pot.get("cm"), one.came_on, one.came_from,
        one.price, one.currency, one.parent, one.pollen, one.accession,
        *(one.tally.get(name) for name in ORIGIN),
    )  # fmt: skip


def bring_in(
    database: Database, source: Path, photos: Path | None, now: datetime, *, dry_run: bool = False, tell: Tell = lambda _: None
) -> Exchanged:
    """Take a collection from a file: all of it, in one transaction, or nothing. Raises ExchangeProblem, OSError.

    It becomes a collection of its own beside those that are there; with `dry_run` everything is tried and nothing kept.
    """
    archive = Archive(source)
    try:
        with database.write() as conn:
            made = _take(conn, archive, now, tell)
            if dry_run:
                conn.rollback()
            elif photos is not None:
                _place_photos(archive, photos)
    finally:
        archive.close()
    return made


def _place_photos(archive: Archive, photos: Path) -> None:
    for name in archive.manifest["files"]:
        if name.startswith(PHOTOS):
            archive.unpack(name, photos)


def _take(conn: Connection, archive: Archive, now: datetime, tell: Tell) -> Exchanged:
    head = archive.one("collection.json")
    try:
        if parcels.is_here(conn, str(head["id"])):
            raise ExchangeProblem("This collection is here already. It is not taken twice.")
        people.CollectionSettings.from_json(head["settings"])
        collection_id = parcels.add_collection(conn, head)
        account = TERMINAL if len(people.all_collections(conn)) == 1 else None
        ids = parcels.add_people(conn, collection_id, archive.rows("people.jsonl"), account)
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        if isinstance(error, ExchangeProblem):
            raise
        raise ExchangeProblem("The collection's settings or people in the file cannot be used. Nothing was taken.") from None
    if not ids:
        raise ExchangeProblem("The collection in the file belongs to nobody. Nothing was taken.")
    chat_id = parcels.add_chat(conn, collection_id, str(head["id"]), ids)
    note_ids = _notes(conn, collection_id, chat_id, archive, ids)
    tell("notes")
    events = _events(conn, collection_id, archive, note_ids, ids)
    tell("events")
    names = {one.removeprefix(PHOTOS) for one in archive.manifest["files"] if one.startswith(PHOTOS)}

    def photo(row: parcels.Row) -> None:
        if row["file"] not in names:
            raise ExchangeProblem(f"The photo {str(row['file'])[:60]} is missing in the file. Nothing was taken.")
        parcels.add_photo(conn, collection_id, chat_id, row, note_ids, now)

    taken = each("photos.jsonl", archive.rows("photos.jsonl"), photo)
    standing = _folded(conn, collection_id, now)
    return Exchanged(len(note_ids), events, taken, sum(1 for _ in standing.plants()))


def _notes(conn: Connection, collection_id: int, chat_id: int, archive: Archive, ids: dict[str, int]) -> dict[int, int]:
    note_ids: dict[int, int] = {}

    def take(row: parcels.Row) -> None:
        note_ids[int(row["number"])] = parcels.add_note(conn, collection_id, chat_id, row, ids)

    each("notes.jsonl", archive.rows("notes.jsonl"), take)
    return note_ids


def _events(conn: Connection, collection_id: int, archive: Archive, note_ids: dict[int, int], ids: dict[str, int]) -> int:
    waiting = []

    def take(row: parcels.Row) -> None:
        waiting.append(parcels.event_of(row, note_ids, ids))
        if len(waiting) == AT_ONCE:
            carelog.append(conn, collection_id, waiting)
            waiting.clear()

    taken = each("events.jsonl", archive.rows("events.jsonl"), take)
    carelog.append(conn, collection_id, waiting)
    return taken


def _folded(conn: Connection, collection_id: int, now: datetime) -> Standing:
    """Fold the log that came in, so that what cannot be folded is found before it is kept."""
    settings = people.settings_of(conn, collection_id)
    try:
        held = projecting.load(conn, collection_id, writing=True)
        setting = setting_of(held.standing, settings, now.astimezone(ZoneInfo(settings.zone)).date())
        return projecting.save(conn, collection_id, held, held.standing, setting).standing
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise ExchangeProblem(f"The events in the file do not add up ({type(error).__name__}). Nothing was taken.") from None
