"""A logger's file: columns told or guessed, units, zones, bad lines, and the same file twice."""

from __future__ import annotations

from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from bot.app.readings_file import ReadingsProblem, columns_of, read_readings
from bot.app.readings_import import import_readings
from bot.store import people
from tests.app.bench import Bench, act, labels
from tests.cli.process import run

UTC, PRAGUE = ZoneInfo("UTC"), ZoneInfo("Europe/Prague")
LOGGER = """Timestamp,Temperature_C,Relative_Humidity
2026-04-10 02:00,3.5,80
2026-04-10 14:00,18.2,50
2026-04-11 02:00,4.1,82
2026-04-11 15:00,21.0,44
2026-04-11 16:00,none,44
not a date,12,50
"""


def test_days_of_a_logger() -> None:
    made = read_readings(LOGGER, UTC, UTC)
    assert [(one.day.isoformat(), one.min_c, one.max_c, one.rh) for one in made.days] == [
        ("2026-04-10", 3.5, 18.2, 65.0),
        ("2026-04-11", 4.1, 21.0, 63.0),
    ]
    assert [one.line for one in made.bad] == [6, 7]
    assert made.columns == {"time": "Timestamp", "temperature": "Temperature_C", "humidity": "Relative_Humidity"}


def test_fahrenheit_by_the_head_semicolons_and_decimal_commas() -> None:
    made = read_readings("some logger v2\nDate;Time;Temp (°F)\n10/04/2026;02:00;41,0\n10/04/2026;14:00;68,0\n", UTC, UTC)
    (day,) = made.days
    assert (day.day.isoformat(), day.min_c, day.max_c) == ("2026-04-10", 5.0, 20.0)  # 41 F is 5 C, 68 F is 20 C
    assert made.fahrenheit


def test_the_day_is_the_growers_own() -> None:
    text = "time,temp\n2026-04-10T23:30,5\n2026-04-10T12:00,15\n"
    made = read_readings(text, UTC, PRAGUE)  # half past one on the 11th in Prague
    assert [one.day.isoformat() for one in made.days] == ["2026-04-10", "2026-04-11"]
    assert [one.day.isoformat() for one in read_readings(text, PRAGUE, PRAGUE).days] == ["2026-04-10"]
    offset = read_readings("time,temp\n2026-04-10T23:30Z,5\n", PRAGUE, PRAGUE)
    assert offset.days[0].day.isoformat() == "2026-04-11"


def test_daily_minimum_and_maximum_and_named_columns() -> None:
    (day,) = read_readings("day,low,high\n2026-04-10,2,19\n", UTC, UTC).days
    assert (day.min_c, day.max_c) == (2.0, 19.0)
    named = columns_of("time=When, temperature=T2")
    (day,) = read_readings("When,T1,T2\n2026-04-10 10:00,1,7\n", UTC, UTC, named).days
    assert day.min_c == 7.0
    with pytest.raises(ReadingsProblem, match="roles"):
        columns_of("colour=blue")
    with pytest.raises(ReadingsProblem, match="no column"):
        read_readings("a,b\n1,2\n", UTC, UTC)


def test_american_dates_only_where_they_are_the_growers() -> None:
    text = "time,temp\n04/05/2026 10:00,9\n"
    assert read_readings(text, UTC, UTC).days[0].day.isoformat() == "2026-05-04"
    assert read_readings(text, UTC, UTC, date_order="mdy").days[0].day.isoformat() == "2026-04-05"


def test_impossible_values_are_listed() -> None:
    made = read_readings("time,min,max\n2026-04-10 10:00,9,4\n2026-04-10 11:00,300,400\n", UTC, UTC)
    assert made.days == ()
    assert len(made.bad) == 2


def test_the_same_file_twice_adds_nothing(bench: Bench) -> None:
    bench.note(act("watered", labels("12")))
    before = bench.last_sequence()
    first = import_readings(bench.database, LOGGER, "bench 1", bench.now)
    assert (first.added, first.changed, first.same) == (2, 0, 0)
    after = bench.last_sequence()
    assert after == before + 2
    again = import_readings(bench.database, LOGGER, "bench 1", bench.now)
    assert (again.added, again.changed, again.same) == (0, 0, 2)
    assert bench.last_sequence() == after
    fuller = LOGGER.replace("2026-04-11 15:00,21.0", "2026-04-11 15:00,24.0")
    more = import_readings(bench.database, fuller, "bench 1", bench.now)
    assert (more.added, more.changed, more.same) == (0, 1, 1)
    (held,) = [one for key, one in bench.standing.readings.items() if key.startswith("bench 1|")]
    assert [(one["on"], one["max_c"]) for one in held] == [("2026-04-10", 18.2), ("2026-04-11", 24.0)]
    assert import_readings(bench.database, fuller, "bench 1", bench.now).changed == 0


def test_dates_follow_the_logger_and_undo_leaves_it_alone(bench: Bench) -> None:
    bench.note(act("watered", labels("12"), when="2026-04-09"))
    cool = bench.due("dry_look").on
    hot = "day,min,max\n" + "".join(f"2026-04-{day:02},25,40\n" for day in range(10, 16))
    import_readings(bench.database, hot, "house", bench.now)
    assert bench.due("dry_look").on < cool
    bench.intake = type(bench.intake)(bench.database, bench.settings)
    assert "12" in bench.note({"type": "fix", "what": "undo"}, decision="fix").text
    assert sum(len(one) for one in bench.standing.readings.values()) == 6


def test_the_command(tmp_path: Path) -> None:
    file, db = tmp_path / "logger.csv", str(tmp_path / "plants.db")
    file.write_text(LOGGER, encoding="utf-8")
    assert run("readings", "import", str(file), "--place", "house", "--db", db).code != 0  # no database yet
    assert run("chat", "--db", db, given="watered 12\n").code == 0
    done = run("readings", "import", str(file), "--place", "house", "--db", db, "--tz", "Europe/Prague")
    assert done.code == 1, done  # two lines could not be used
    assert "2 days added" in done.out
    assert [line.split(":")[0] for line in done.err.splitlines()] == ["line 6", "line 7"]
    again = run("readings", "import", str(file), "--place", "house", "--db", db, "--tz", "Europe/Prague")
    assert "0 days added, 0 changed, 2 there already" in again.out
    wrong = run("readings", "import", str(file), "--place", "house", "--db", db, "--columns", "temperature=Nope")
    assert wrong.code == 2
    assert "there are: Timestamp" in wrong.err
    assert run("readings", "import", str(tmp_path / "none.csv"), "--place", "house", "--db", db).code == 2
    unknown = run("readings", "import", str(file), "--place", "house", "--db", db, "--collection", "loft")
    assert (unknown.code, "no collection is called “loft”" in unknown.err) == (2, True)


def test_several_collections_in_one_database(bench: Bench) -> None:
    bench.note(act("watered", labels("12")))
    other = Bench(bench.database, address="second").at("2026-04-15T10:00")
    other.note(act("watered", labels("3")))
    other.type("call this collection loft")
    assert other.view_settings().name == "loft"
    with pytest.raises(ReadingsProblem, match=r"several collections: say which.*loft"):
        import_readings(bench.database, LOGGER, "house", bench.now)
    with pytest.raises(ReadingsProblem, match="no collection is called “cellar”"):
        import_readings(bench.database, LOGGER, "house", bench.now, collection="cellar")
    assert import_readings(bench.database, LOGGER, "house", bench.now, collection="Loft").added == 2
    assert (len(other.standing.readings), len(bench.standing.readings)) == (1, 0)
    with bench.database.read() as conn:
        first = people.all_collections(conn)[0].public_id
    assert import_readings(bench.database, LOGGER, "house", bench.now, collection=first).added == 2  # the same day, another house
    assert import_readings(bench.database, LOGGER, "house", bench.now, collection=first).same == 2
    assert len(bench.standing.readings) == 1
