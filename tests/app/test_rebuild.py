"""The projections are made anew from the log to the very same rows, after a whole season of notes."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa

from bot.app.intake import rebuild
from bot.care.fold import fold_all
from bot.store import people, projections
from bot.store.tables import due, projection, standing
from tests.app.bench import Bench, acquired, act, asked, fixed, labels, question, seen

SEASON = Path(__file__).parents[2] / "demo" / "season.txt"


def _rows(bench: Bench) -> dict[str, list[tuple[Any, ...]]]:
    """Return every column of every row of the projections."""
    with bench.database.read() as conn:
        tables = (standing, due, projection)
        return {one.name: sorted((tuple(row) for row in conn.execute(sa.select(one))), key=repr) for one in tables}


def _play_a_mixed_season(bench: Bench) -> None:
    """Notes of each kind, some of them out of order, corrected, taken back and brought back."""
    bench.at("2026-03-01T10:00")
    bench.note(act("named", labels("12", "13", "14"), name="lobivia"), act("moved", labels("12", "13", "14"), to="bench 2"))
    bench.note(acquired({"count": 6, "taxa": ["gymnocalycium"]}, "irma", state="bare_root", price=24))
    bench.note(act("sown", {"sowings": ["S1"]}, sown=50, name="lithops", to="the propagator"))
    bench.at("2026-03-08T17:00").note({"type": "climate", "min_c": 6, "max_c": 19})
    bench.note(act("set_to_dry", {"lots": ["irma"]}), act("washed", {"lots": ["irma"]}, when="2026-03-05"))
    bench.at("2026-03-12T08:00").note(act("potted", {"lots": ["irma"], "count": 4}, pot_cm=7, mix="pumice"))
    bench.note(act("germinated", {"sowings": ["S1"], "count": 11}, total=True))
    bench.at("2026-04-02T18:00").note(act("watered", {"places": ["bench 2"]}, how="soak"))
    bench.note(seen("spider_mite", labels("13")))
    bench.note(fixed("which", labels("14")), decision="fix")
    bench.at("2026-04-03T09:00").note(act("treated", labels("14"), how="spray", product="soap"))
    bench.note(fixed("undo"), decision="fix")
    bench.note(act("treated", labels("14"), when="2026-04-02", how="spray", product="oil"))
    bench.at("2026-04-20T09:00").note({"type": "climate", "min_c": 9, "max_c": 27, "when": "2026-04-18"})
    bench.note(act("offsets_taken", {"labels": ["12"], "kind": "offsets", "count": 3}))
    bench.note(act("rooted", {"kind": "offsets", "count": 2, "of": 3}, total=True))
    bench.note({"type": "hold", "which": labels("13"), "until": "2026-05-15"})
    bench.note({"type": "reminder", "text": "order grit", "due": "2026-05-02"}, decision="remind")
    bench.note(question("due"), decision="answer")
    bench.note(asked("done", 1), decision="do")
    bench.at("2026-05-14T09:00").note(seen("pest", labels("12", "13", "14"), status="absent"))
    bench.at("2026-06-10T09:00").note(seen("pest", labels("12", "13", "14"), status="absent"))
    bench.note(act("died", labels("13"), cause="rot"))
    bench.note(act("given", {"lots": ["irma"], "count": 2}, to="nika"))
    bench.at("2026-10-02T09:00").note(act("watered", labels("12")), act("rest_started", labels("12")))
    bench.note({"type": "climate", "min_c": -2, "place": "the frame"})


def test_a_mixed_season_rebuilds_to_the_same_rows(any_bench: Bench) -> None:
    _play_a_mixed_season(any_bench)
    before = _rows(any_bench)
    assert len(before["standing"]) >= 15
    assert len(before["due"]) > 5
    assert rebuild(any_bench.database, any_bench.now) == {any_bench.collection_id: len(before["standing"])}
    assert _rows(any_bench) == before


def test_what_is_held_live_is_the_fold_of_the_log(bench: Bench) -> None:
    _play_a_mixed_season(bench)
    assert "closed" in {one.kind for one in bench.log}, "the season brings a case to its end"
    assert {"withdrawn", "amended"} <= {one.kind for one in bench.log}
    with bench.database.read() as conn:
        held = projections.load_standing(conn, bench.collection_id)
    assert held == fold_all(bench.log).rows()


def test_each_note_of_the_season_leaves_the_fold_of_the_log(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    checked = []
    plain = bench.type

    def typed(text: str) -> Any:
        answer = plain(text)
        with bench.database.read() as conn:
            assert projections.load_standing(conn, bench.collection_id) == fold_all(bench.log).rows()
        checked.append(text)
        return answer

    monkeypatch.setattr(bench, "type", typed)
    _play_a_mixed_season(bench)
    assert len(checked) > 25


def test_rebuilding_twice_changes_nothing(bench: Bench) -> None:
    _play_a_mixed_season(bench)
    rebuild(bench.database, bench.now)
    once = _rows(bench)
    rebuild(bench.database, bench.now)
    assert _rows(bench) == once


def test_rows_that_were_lost_or_spoilt_come_back(bench: Bench) -> None:
    _play_a_mixed_season(bench)
    before = _rows(bench)
    with bench.database.write() as conn:
        conn.execute(sa.delete(standing).where(standing.c.kind == "plant"))
        conn.execute(sa.update(due).values(place="nowhere"))
    assert _rows(bench) != before
    rebuild(bench.database, bench.now)
    assert _rows(bench) == before


def test_an_empty_collection_rebuilds_to_nothing(bench: Bench) -> None:
    bench.note({"type": "remark", "text": "hello"})
    assert rebuild(bench.database, bench.now) == {bench.collection_id: 0}


def test_the_season_of_the_demo_rebuilds_to_the_same_rows(bench: Bench) -> None:
    notes = 0
    for line in SEASON.read_text(encoding="utf-8").splitlines():
        if line.startswith("@"):
            bench.at(line[1:].strip())
        elif line.strip() and not line.startswith("#"):
            bench.type(line)
            notes += 1
    assert notes >= 120
    assert set(bench.inbox_states()) == {"done"}
    before = _rows(bench)
    assert len(before["standing"]) > 60
    with bench.database.read() as conn:
        assert projections.load_standing(conn, bench.collection_id) == fold_all(bench.log).rows()
    rebuild(bench.database, bench.now)
    assert _rows(bench) == before


def test_a_note_that_goes_back_a_day_within_itself_rebuilds_to_the_same_rows(bench: Bench) -> None:
    bench.note(
        act("acquired", {"places": ["bench 2"]}, cause="rot"),
        seen("algae", status="absent", when="2026-04-14"),
        act("watered", labels("7")),
        act("potted", labels("7"), when="2026-04-13"),
    )
    before = bench.standing.rows()
    rebuild(bench.database, bench.now)
    assert bench.standing.rows() == before


def test_a_question_writes_no_projection_but_follows_settings_that_another_hand_has_changed(bench: Bench) -> None:
    _play_a_mixed_season(bench)
    bench.note(act("watered", labels("12")))
    before = _rows(bench)
    written: list[str] = []
    with bench.database.read() as conn:
        sa.event.listen(conn.engine, "before_cursor_execute", lambda *told: written.append(told[2]))
    bench.note(question("due"), decision="answer")
    projected = ("INSERT INTO standing", "INSERT INTO due", "DELETE FROM standing", "DELETE FROM due")
    assert any(one.startswith("INSERT INTO outbox") for one in written)
    assert not [one for one in written if one.startswith(projected)]
    with bench.database.write() as conn:
        people.save_settings(conn, bench.collection_id, replace(bench.view_settings(), latitude=-44.0))
    bench.note(question("due"), decision="answer")
    after = _rows(bench)
    assert after["due"] != before["due"]
    rebuild(bench.database, bench.now)
    assert _rows(bench) == after
