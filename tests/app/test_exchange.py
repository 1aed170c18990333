"""A collection out to a file and in again: to the row, to the byte, and nothing of a file that is not sound."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import zipfile
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from bot.app import projecting
from bot.app.exchanging import bring_in, export
from bot.sharing.exchange import ExchangeProblem
from bot.store import carelog, people
from bot.store.database import Database, open_database
from tests.app.bench import Bench

DATA = Path(__file__).parent / "data"
Change = Callable[[dict[str, bytes], dict[str, Any]], object]
NOTES = (
    "12-20 are rebutia minuscula on bench 2", "30 is a copiapoa", "call 30 teacup", "bought 6 lobivias from pia for 12 pounds",
    "soaked bench 2", "mites on 12", "min 4 max 19", "set morning 07:15", "no that was 5 not 4", "sowed S1 mammillaria 50 seeds",
    "12 died", "=cmd was written on the label of 30", "remind me on friday to look at 14", "potted 14 into 7 cm", "undo",
    "14 is an offset of 13", "nobody knows what this says",
)  # fmt: skip


def filled(bench: Bench) -> Bench:
    for number, words in enumerate(NOTES):
        bench.later(hours=5 if number % 3 else 30).type(words)
    return bench


def whole(database: Database) -> tuple[object, ...]:
    """What a collection holds, without the ids of one installation."""
    with database.read() as conn:
        (one,) = people.all_collections(conn)
        log = [
            (e.sequence, e.identity, e.happened_on, e.happened_at, e.recorded_at, e.kind, e.what, e.refs, dict(e.facts))
            for e in carelog.load(conn, one.id)
        ]
        said = conn.exec_driver_sql("SELECT sent_at, text, decision, ask, question_state FROM notes ORDER BY id").all()
        return log, [tuple(row) for row in said], one.settings, projecting.load(conn, one.id).standing.rows()


def test_out_and_in_again_to_the_row_and_to_the_byte(any_bench: Bench, tmp_path: Path) -> None:
    filled(any_bench)
    first = export(any_bench.database, tmp_path / "one.zip", None, "")
    assert (first.notes, first.events) == (len(NOTES), 15)
    target = open_database(tmp_path / "other.db")
    made = bring_in(target, tmp_path / "one.zip", None, any_bench.now)
    assert made == first
    assert whole(target) == whole(any_bench.database)
    export(target, tmp_path / "two.zip", None, "")
    assert (tmp_path / "two.zip").read_bytes() == (tmp_path / "one.zip").read_bytes()
    target.close()


def test_mixes_and_what_is_on_the_way_go_along(any_bench: Bench, tmp_path: Path) -> None:
    for words in (
        "12 is a lobivia", "14 is a rebutia", "gritty mix is 1 loam 2 pumice", "potted 12 in gritty mix",
        "gritty mix is now 1 loam 3 pumice", "ordered 6 lobivia from Anna", "the parcel from Anna came, 5 of 6",
        "14 is in the post to Lea",
    ):  # fmt: skip
        any_bench.later(hours=5).type(words)
    export(any_bench.database, tmp_path / "one.zip", None, "")
    target = open_database(tmp_path / "other.db")
    bring_in(target, tmp_path / "one.zip", None, any_bench.now)
    assert whole(target) == whole(any_bench.database)
    other = replace(any_bench, database=target)
    for asked in ("what mix is 12 in", "my mixes", "what is on the way"):
        assert other.type(asked).text == any_bench.type(asked).text != ""
    target.close()


def test_two_records_made_one_go_along(any_bench: Bench, tmp_path: Path) -> None:
    for words in (
        "12 is a rebutia on bench 1",
        "47 is a rebutia",
        "watered 47",
        "mites on 47",
        "48 is an offset of 47",
        "47 is the same plant as 12",
    ):
        any_bench.later(hours=30).type(words)
    assert any_bench.standing.things[("plant", "48")].parent == "plant:12"
    export(any_bench.database, tmp_path / "one.zip", None, "")
    target = open_database(tmp_path / "other.db")
    bring_in(target, tmp_path / "one.zip", None, any_bench.now)
    assert whole(target) == whole(any_bench.database)
    export(target, tmp_path / "two.zip", None, "")
    assert (tmp_path / "two.zip").read_bytes() == (tmp_path / "one.zip").read_bytes()
    target.close()


def test_into_a_server_too(any_bench: Bench, tmp_path: Path) -> None:
    """From a SQLite file into whatever `any_bench` runs on: another SQLite file, and PostgreSQL."""
    here = open_database(tmp_path / "here.db")
    other = filled(Bench(here, any_bench.settings))
    export(here, tmp_path / "one.zip", None, "")
    bring_in(any_bench.database, tmp_path / "one.zip", None, other.now)
    assert whole(any_bench.database) == whole(here)
    here.close()


def test_what_came_in_goes_on(bench: Bench, tmp_path: Path) -> None:
    filled(bench)
    export(bench.database, tmp_path / "one.zip", None, "")
    target = open_database(tmp_path / "other.db")
    bring_in(target, tmp_path / "one.zip", None, bench.now)
    other = Bench(target, bench.settings, now=bench.now + timedelta(days=1))
    here = bench.later(days=1)
    for words in ("how many rebutias do i have", "whats due this week", "what is teacup", "where did 14 come from"):
        assert other.type(words).text == here.type(words).text, words
    assert other.type("watered teacup").written == ["watered"]
    other.at("2026-06-01T08:00").rounds()
    with target.read() as conn:
        assert (
            conn.exec_driver_sql(
                "SELECT count(*) FROM outbox JOIN chats ON chats.id = chat_id WHERE transport = 'parcel'"
            ).scalar()
            == 0
        )
    target.close()


def test_a_dry_run_keeps_nothing_and_a_second_time_is_refused(bench: Bench, tmp_path: Path) -> None:
    filled(bench)
    export(bench.database, tmp_path / "one.zip", None, "")
    target = open_database(tmp_path / "other.db")
    bring_in(target, tmp_path / "one.zip", None, bench.now, dry_run=True)
    with target.read() as conn:
        assert people.all_collections(conn) == []
    bring_in(target, tmp_path / "one.zip", None, bench.now)
    with pytest.raises(ExchangeProblem, match="is here already"):
        bring_in(target, tmp_path / "one.zip", None, bench.now)
    target.close()


def test_no_cell_is_a_formula(bench: Bench, tmp_path: Path) -> None:
    """CWE-1236: a cell that begins with = + - @ is taken for a formula; an apostrophe before it stops that (OWASP)."""
    filled(bench)
    bench.type("call 13 =1+1")
    export(bench.database, tmp_path / "one.zip", None, "")
    with zipfile.ZipFile(tmp_path / "one.zip") as archive:
        rows = list(csv.DictReader(io.StringIO(archive.read("plants.csv").decode())))
    assert {row["number"] for row in rows if row["kind"] == "plant"} >= {"12", "13", "30"}
    assert not [cell for row in rows for cell in row.values() if cell.startswith(("=", "+", "-", "@"))]


def test_a_file_that_is_there_is_not_overwritten(bench: Bench, tmp_path: Path) -> None:
    filled(bench)
    (tmp_path / "one.zip").write_bytes(b"mine")
    with pytest.raises(ExchangeProblem, match="exists already"):
        export(bench.database, tmp_path / "one.zip", None, "")
    assert (tmp_path / "one.zip").read_bytes() == b"mine"


def rewritten(source: Path, target: Path, change: Change, *, sums: bool = True) -> Path:
    """The archive with its files and manifest changed; with right sums, as somebody would who knows the format."""
    with zipfile.ZipFile(source) as archive:
        files = {name: archive.read(name) for name in archive.namelist()}
    manifest = json.loads(files.pop("manifest.json"))
    change(files, manifest)
    if sums:
        manifest["files"] = {name: hashlib.sha256(content).hexdigest() for name, content in files.items()}
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(name, content)
        archive.writestr("manifest.json", json.dumps(manifest))
    return target


def _line(name: str, number: int, text: bytes) -> Change:
    def change(files: dict[str, bytes], _: dict[str, Any]) -> None:
        lines = files[name].splitlines(keepends=True)
        files[name] = b"".join([*lines[: number - 1], text + b"\n", *lines[number:]])

    return change


def _event(**changed: object) -> Change:
    def change(files: dict[str, bytes], manifest: dict[str, Any]) -> None:
        row = json.loads(files["events.jsonl"].splitlines()[2]) | changed
        _line("events.jsonl", 3, json.dumps(row).encode())(files, manifest)

    return change


PHOTO = {"id": "a", "note": 0, "event": None, "taken_on": "2026-01-01", "refs": [], "album": "", "file": "a.jpg"}
BROKEN: dict[str, tuple[Change, str]] = {
    "later version": (lambda _, m: m.update(version=2), "Upgrade first"),
    "other format": (lambda _, m: m.update(format="plants"), "no collection of this program"),
    "a file is gone": (lambda f, _: f.pop("notes.jsonl"), "notes.jsonl is missing"),
    "leads elsewhere": (lambda f, _: f.update({"photos/../../x": b"x"}), "leads elsewhere"),
    "absolute": (lambda f, _: f.update({"/etc/x": b"x"}), "leads elsewhere"),
    "a stranger": (lambda f, _: f.update({"run.sh": b"x"}), "belongs to no collection"),
    "no JSON": (_line("events.jsonl", 3, b"{"), "events.jsonl, line 3"),
    "no object": (_line("notes.jsonl", 2, b"[]"), "notes.jsonl, line 2"),
    "no day": (_event(happened_on="2026-02-31"), "events.jsonl, line 3"),
    "no note": (_event(note=999), "events.jsonl, line 3"),
    "no facts": (_event(facts=[]), "events.jsonl, line 3"),
    "nested deep": (_line("events.jsonl", 3, b"[" * 100_000), "events.jsonl, line 3"),
    "nobody": (lambda f, _: f.update({"people.jsonl": b""}), "belongs to nobody"),
    "photo gone": (
        lambda f, _: f.update({"photos.jsonl": json.dumps(PHOTO).encode() + b"\n"}),
        "a.jpg is missing",
    ),
    "a bomb": (lambda f, _: f.update({"photos/b.jpg": bytes(80_000_000)}), "more than a collection can be"),
}  # fmt: skip


@pytest.mark.parametrize("name", BROKEN)
def test_of_a_file_that_is_not_sound_nothing_is_taken(bench: Bench, tmp_path: Path, name: str) -> None:
    change, said = BROKEN[name]
    filled(bench)
    export(bench.database, tmp_path / "one.zip", None, "")
    broken = rewritten(tmp_path / "one.zip", tmp_path / "broken.zip", change)
    target, photos = open_database(tmp_path / "other.db"), tmp_path / "pictures"
    with pytest.raises(ExchangeProblem, match=said):
        bring_in(target, broken, photos, bench.now)
    with target.read() as conn:
        assert people.all_collections(conn) == []
        for table in ("people", "notes", "care_log", "chats", "accounts"):
            assert conn.exec_driver_sql(f"SELECT count(*) FROM {table}").scalar() == 0, table
    assert not photos.exists()
    target.close()


@pytest.mark.parametrize("share", [0.0, 0.3, 0.7, 0.99])
def test_a_part_of_a_file_is_refused(bench: Bench, tmp_path: Path, share: float) -> None:
    filled(bench)
    export(bench.database, tmp_path / "one.zip", None, "")
    content = (tmp_path / "one.zip").read_bytes()
    (tmp_path / "part.zip").write_bytes(content[: int(len(content) * share)])
    target = open_database(tmp_path / "other.db")
    with pytest.raises(ExchangeProblem):
        bring_in(target, tmp_path / "part.zip", None, bench.now)
    target.close()


def test_a_changed_byte_is_found(bench: Bench, tmp_path: Path) -> None:
    filled(bench)
    export(bench.database, tmp_path / "one.zip", None, "")
    broken = rewritten(tmp_path / "one.zip", tmp_path / "b.zip", lambda f, _: f.update({"plants.csv": b"x"}), sums=False)
    target = open_database(tmp_path / "other.db")
    with pytest.raises(ExchangeProblem, match=r"plants\.csv in the file is not what was written there"):
        bring_in(target, broken, None, bench.now)
    target.close()


def test_photos_go_along(bench: Bench, tmp_path: Path) -> None:
    filled(bench)
    pictures = tmp_path / "pictures"
    (pictures / "2026").mkdir(parents=True)
    (pictures / "2026" / "a.jpg").write_bytes(b"\xff\xd8 a picture")
    with bench.database.write() as conn:
        conn.exec_driver_sql(
            "INSERT INTO photos (public_id, collection_id, chat_id, inbox_id, file_key, album, taken_on, refs, state, ready_at,"
            " attempts, name) SELECT 'p1', c.id, h.id, i.id, 'k', '', '2026-04-15', '[]', 'kept', 0, 0, '2026/a.jpg'"
            " FROM collections c, chats h, inbox i ORDER BY i.id LIMIT 1"
        )
    assert export(bench.database, tmp_path / "one.zip", pictures, "").photos == 1
    target = open_database(tmp_path / "other.db")
    bring_in(target, tmp_path / "one.zip", tmp_path / "there", bench.now)
    assert (tmp_path / "there" / "2026" / "a.jpg").read_bytes() == b"\xff\xd8 a picture"
    export(target, tmp_path / "two.zip", tmp_path / "there", "")
    assert (tmp_path / "two.zip").read_bytes() == (tmp_path / "one.zip").read_bytes()
    target.close()


def test_a_file_of_the_first_version_is_still_read(bench: Bench, tmp_path: Path) -> None:
    target = open_database(tmp_path / "other.db")
    made = bring_in(target, DATA / "exchange_1.zip", None, bench.now)
    assert (made.notes, made.plants) == (17, 11)
    target.close()
