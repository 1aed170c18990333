"""The commands that need no database, as processes of their own."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from bot import __version__
from tests.cli.process import ROOT, environment, run

NOTE = {"id": "n1", "text": "watered bench 2", "now": "2026-04-15T10:40", "tz": "Europe/London"}
HEAVY = ("sqlalchemy", "alembic", "apscheduler", "telegram", "pydantic_settings", "rich", "matplotlib")


def test_version() -> None:
    done = run("--version")
    assert (done.code, done.out) == (0, f"potside {__version__}\n")


@pytest.mark.parametrize("command", [["--version"], ["read", "watered bench 2"]])
def test_light_commands_load_nothing_heavy(command: list[str]) -> None:
    script = (
        "import sys\nfrom bot.cli import app\n"
        f"try: app({command!r})\nexcept SystemExit as end: code = end.code\n"
        f"print([name for name in {HEAVY!r} if name in sys.modules], file=sys.stderr); sys.exit(code)"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, env=environment(), cwd=ROOT, check=True)
    assert done.stderr.strip() == "[]"


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["nonsense"],
        ["read"],
        ["read", "a", "--jsonl"],
        ["read", "a", "--now", "yesterday-ish"],
        ["read", "a", "--tz", "Nowhere"],
        ["read", "a", "--names", "/nonexistent/names.json"],
        ["read", "a", "--names", "pyproject.toml"],
        ["reread"],
        ["reread", "--since", "march"],
        ["reread", "--since", "2026-03-01", "--accept", "one"],
        ["chat", "--latitude", "north"],
        ["chat", "--latitude", "95"],
        ["chat", "--zone", "Nowhere"],
        ["chat", "--at", "31 feb"],
        ["chat", "--unknown"],
        ["reckon"],
        ["reckon", "nonsense"],
        ["reckon", "nonsense", "--list"],
        ["reckon", "daylength"],
        ["reckon", "daylength", "latitude"],
        ["reckon", "daylength", "latitude=52", "latitude=53", "day=2026-04-05"],
        ["reckon", "daylength", "latitude=200", "day=2026-04-05"],
        ["picture"],
        ["picture", "drying"],
    ],
)
def test_wrong_arguments(arguments: list[str], tmp_path: Path) -> None:
    more = ["--db", str(tmp_path / "x.db")] if arguments[:1] == ["chat"] else []
    done = run(*arguments, *more)
    assert done.code == 2, done
    assert "Traceback" not in done.err
    assert (done.err or done.out).strip()
    assert not list(tmp_path.iterdir())


def test_wrong_settings_are_told_line_by_line(tmp_path: Path) -> None:
    env = environment(POTSIDE_ZONE="Nowhere", POTSIDE_LATITUDE="x")
    done = run("chat", "--db", str(tmp_path / "x.db"), env=env)
    assert done.code == 2
    assert [line.split(":")[1].strip() for line in done.err.splitlines()] == ["POTSIDE_ZONE", "POTSIDE_LATITUDE"]
    assert not list(tmp_path.iterdir())


def test_read_one_note() -> None:
    done = run("read", "watered bench 2", "--now", "2026-04-15T10:40")
    assert done.code == 0
    assert json.loads(done.out)["entries"][0]["act"] == "watered"


def test_read_json_lines(tmp_path: Path) -> None:
    names = tmp_path / "names.json"
    names.write_text(json.dumps({"places": ["bench 2"], "labels": [1, 9]}), encoding="utf-8")
    lines = [json.dumps(NOTE), "not json", json.dumps(NOTE | {"id": "n2"})]
    done = run("read", "--jsonl", "--names", str(names), given="\n".join(lines) + "\n")
    assert done.code == 0
    first, second, third = map(json.loads, done.out.splitlines())
    assert (first["id"], first["decision"], third["id"]) == ("n1", "log", "n2")
    assert "error" in second


@pytest.mark.parametrize("locale", ["C", "POSIX", "C.UTF-8"])
def test_utf8_whatever_the_locale(locale: str) -> None:
    env = environment(LC_ALL=locale, PYTHONCOERCECLOCALE="0", PYTHONUTF8="0")
    text = "späte Blüte ☼ 🌵"
    done = run("read", text, env=env)
    assert done.code == 0, done
    assert text in done.out
    line = json.dumps(NOTE | {"text": text}, ensure_ascii=False)
    assert text in run("read", "--jsonl", given=line, env=env).out


def test_bytes_that_are_no_text() -> None:
    done = run("read", b"watered \xff\xfe bench")
    assert done.code == 0
    assert "\N{REPLACEMENT CHARACTER}" in done.out
    assert run("read", "--jsonl", given=b'{"id": 1, "text": "\xff", "now": "2026-04-15T10:40"}\n').code == 0


def test_a_reader_that_goes_away_is_no_failure(tmp_path: Path) -> None:
    notes = tmp_path / "notes.jsonl"
    notes.write_text((json.dumps(NOTE) + "\n") * 2000, encoding="utf-8")
    command = [sys.executable, "-m", "bot", "read", "--jsonl"]
    with (
        notes.open("rb") as given,
        subprocess.Popen(
            command, stdin=given, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=environment(), cwd=ROOT
        ) as process,
    ):
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        assert process.stderr.read() == b""
        assert process.wait(60) == 0


def test_reckon_says_what_came_out_and_where_it_comes_from() -> None:
    done = run("reckon", "degree-days", "min=9", "max=13", "base=-2", "--json")
    assert (done.code, done.err) == (0, "")
    said = json.loads(done.out)
    assert said["name"] == "degree-days"
    assert said["result"]["value"] == pytest.approx(13)  # the base lies below the whole day: the mean less the base
    assert said["sources"]
    shown = run("reckon", "degree-days", "min=9", "max=13", "base=-2").out
    assert "value: 13" in shown
    assert "Source: " in shown


def test_reckon_lists_its_computations_and_their_inputs() -> None:
    everything = run("reckon", "--list").out
    names = [line.split(":")[0] for line in everything.splitlines() if not line.startswith(" ")]
    listed = json.loads(run("reckon", "--list", "--json").out)
    assert [one["name"] for one in listed] == names
    assert all(f"  {wanted['usage']}\n" in everything for one in listed for wanted in one["inputs"])
    assert all(f"  Source: {source}\n" in everything for one in listed for source in one["sources"])
    shown = run("reckon", names[0], "--list").out
    assert everything.startswith(shown)


def test_explain_shows_the_words() -> None:
    done = run("read", "watered bench 2", "--explain", "--now", "2026-04-15T10:40")
    assert done.code == 0
    assert "'watered'" in done.out
    assert "decision: log" in done.out


def test_a_picture_is_written_to_a_folder(tmp_path: Path) -> None:
    database, folder = str(tmp_path / "x.db"), tmp_path / "drawn"
    run("chat", "--db", database, given="12-14 are lobivias on bench 2\nwatered 12\nmites on 12\n")
    drawn = run("picture", "drying", "12", "--to", str(folder), "--db", database)
    assert (drawn.code, drawn.err) == (0, "")
    line, file = drawn.out.splitlines()
    assert line.startswith("12 (Lobivia): about 100 % of its water left 0 days after the soak")
    assert file == str(folder / "drying-curve.png")
    assert Path(file).read_bytes().startswith(b"\x89PNG")
    run("picture", "degree-days", "bench 2", "--to", str(folder), "--as", "pdf", "--db", database)
    assert (folder / "degree-days.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["drying"], "Drying of which pot?"),
        (["drying", "99"], "I don't know 99."),
        (["germination"], "Nothing is sown yet."),
        (["portrait"], "I draw no “portrait”. One of: degree-days, drying"),
        (["due-load", "--as", "gif"], "I make no “gif”. One of: png, pdf, svg."),
        (["watering", "--to", "/proc/nowhere"], "/proc/nowhere cannot be written"),
        (["watering", "--collection", "nobody"], "nobody"),
    ],
)
def test_a_picture_that_cannot_be_drawn(tmp_path: Path, arguments: list[str], said: str) -> None:
    database = str(tmp_path / "x.db")
    run("chat", "--db", database, given="12-14 are lobivias on bench 2\nwatered 12\n")
    folder = [] if "--to" in arguments else ["--to", str(tmp_path / "drawn")]
    done = run("picture", *arguments, *folder, "--db", database)
    assert done.code == 2
    assert said in done.err
    assert done.err.count("\n") == 1
    assert not (tmp_path / "drawn").exists()
