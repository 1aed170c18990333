"""The calendar beside the lists: its link is no list, and two collections share no event."""

from __future__ import annotations

from pathlib import Path

import pytest
import vobject

from bot.app.calendar_talk import calendar_now, is_calendar
from bot.app.opened_lists import opened_list
from bot.app.sharing_talk import Links, reachable
from bot.store import shares
from bot.store.people import CollectionSettings
from tests.app.bench import Bench
from tests.cli.process import run


def linked(bench: Bench) -> str:
    """A collection with something due and a link to its calendar; the secret."""
    with bench.database.write() as conn:
        reachable(conn, Links(page="https://plants.example/list/"), bench.now)
    bench.type("12-14 are rebutias on bench 2")
    bench.type("soaked 12-14")
    return bench.type("calendar link").text.rpartition("/")[2].removesuffix(".ics").split("\n")[0]


@pytest.mark.parametrize(
    "words", ["narrow my list to bench 2", "add photos to my list", "extend list 1 till 1 june", "no photos on list 1"]
)
def test_words_about_lists_leave_the_calendar_link_what_it_is(bench: Bench, words: str) -> None:
    secret = linked(bench)
    bench.type(words)
    with bench.database.write() as conn:
        share = shares.by_secret(conn, secret)
        assert share is not None
        assert is_calendar(share)
        assert share.until is None
        assert opened_list(conn, secret, "page", bench.now) is None


def test_the_list_as_a_file_is_of_everything_where_only_a_calendar_is_open(bench: Bench) -> None:
    linked(bench)
    assert bench.type("send my list as csv").text.startswith("Everything that may be shown: 1 line.")


def test_two_collections_have_no_event_in_common(bench: Bench) -> None:
    other = Bench(bench.database, CollectionSettings(zone="Europe/London", latitude=51.0), address="elsewhere")
    uids = []
    for one in (bench, other):
        linked(one)
        with one.database.read() as conn:
            made = vobject.readOne(calendar_now(conn, one.collection_id, one.now).decode())
        uids.append({event.uid.value for event in made.vevent_list})
    assert uids[0]
    assert uids[1]
    assert uids[0].isdisjoint(uids[1])


def test_on_the_command_line(tmp_path: Path) -> None:
    database, file = str(tmp_path / "plants.db"), tmp_path / "due.ics"
    assert run("chat", "--db", database, given="12-14 are rebutias on bench 2\nsoaked 12-14\n").code == 0
    done = run("calendar", "--to", str(file), "--db", database)
    assert (done.code, done.err) == (0, "")
    assert done.out.startswith(str(file))
    assert any("Drying-off" in one.summary.value for one in vobject.readOne(file.read_text()).vevent_list)
    for arguments, said in (
        (("--to", str(tmp_path / "none" / "due.ics"), "--db", database), "cannot be written"),
        (("--to", str(file), "--db", database, "--collection", "loft"), "no collection is called"),
    ):
        wrong = run("calendar", *arguments)
        assert wrong.code == 2
        assert said in wrong.err
    assert run("calendar", "--to", str(file), "--db", str(tmp_path / "none.db")).code == 66
