"""What goes out by itself: once, at its local time, whatever clocks, calendars and stops of the machine do."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest

from bot.app.rounds import moment_of, next_wake, run_rounds
from bot.store import outbox
from tests.app.bench import Bench, acquired, act, asked, day, fixed, labels, seen

ZONES = ("Europe/Berlin", "America/Los_Angeles", "Australia/Sydney")


def _remind(bench: Bench, text: str, due: str, **more: int) -> None:
    bench.note({"type": "reminder", "text": text, "due": due} | more, decision="remind")


def _mornings(bench: Bench, until: str) -> list[tuple[str, str]]:
    """Go on from wake to wake until a local time; return what went out, each with its local moment."""
    zone = ZoneInfo(bench.settings.zone)
    end = datetime.fromisoformat(until).replace(tzinfo=zone).astimezone(UTC)
    told: list[tuple[str, str]] = []
    while (wake := next_wake(bench.database, bench.now)) is not None and wake <= end:
        assert wake > bench.now
        bench.now = wake
        told += [(wake.astimezone(zone).strftime("%Y-%m-%d %H:%M"), text) for text in bench.rounds()]
    bench.now = end
    return told


@pytest.fixture
def zoned(bench: Bench) -> Callable[[str], Bench]:
    def placed(zone: str) -> Bench:
        bench.type(f"set zone {zone}")
        bench.settings = bench.view_settings()
        return bench

    return placed


# --- the morning message ----------------------------------------------------------------------------------------------


def test_a_morning_with_news_brings_one_message_at_its_local_time(bench: Bench) -> None:
    bench.note(seen("slug", labels("12")))  # common practice: looks after 7 and 14 days
    told = _mornings(bench, "2026-04-22T23:00")
    assert [moment for moment, _ in told] == ["2026-04-22 07:30"]
    assert told[0][1].startswith("Wednesday 22 April: 1 today.")
    assert "look for slugs: 12" in told[0][1]


def test_the_rounds_run_again_add_nothing(any_bench: Bench) -> None:
    any_bench.note(seen("slug", labels("12")))
    any_bench.at("2026-04-22T07:30")
    assert run_rounds(any_bench.database, any_bench.now) == 1
    for minutes in (0, 1, 30, 600):
        assert run_rounds(any_bench.database, any_bench.now + timedelta(minutes=minutes)) == 0


def test_a_minute_too_early_nothing_goes_out(bench: Bench) -> None:
    bench.note(seen("slug", labels("12")))
    assert bench.at("2026-04-22T07:29").rounds() == []
    assert len(bench.at("2026-04-22T07:30").rounds()) == 1


def test_a_day_on_which_nothing_is_new_stays_silent(bench: Bench) -> None:
    bench.note(seen("slug", labels("12")))
    assert bench.at("2026-04-21T12:00").rounds() == []
    assert len(bench.at("2026-04-22T12:00").rounds()) == 1
    told = _mornings(bench, "2026-04-26T12:00")
    assert told == [], "overdue since the 22nd, and told"


def test_on_mondays_what_is_overdue_is_told_again(bench: Bench) -> None:
    bench.note(seen("slug", labels("12")))
    told = _mornings(bench, "2026-04-28T12:00")
    assert [moment for moment, _ in told] == ["2026-04-22 07:30", "2026-04-27 07:30"]
    assert "1 overdue" in told[1][1]


def test_an_empty_collection_and_one_without_anything_due_are_silent(bench: Bench) -> None:
    assert run_rounds(bench.database, bench.now) == 0
    assert next_wake(bench.database, bench.now) is None
    bench.note({"type": "remark", "text": "hello"})
    assert _mornings(bench, "2026-06-01T12:00") == []


def test_the_first_day_brings_no_morning_message_after_the_fact(bench: Bench) -> None:
    bench.note(acquired({"count": 6, "taxa": ["rebutia"]}, "irma"))
    assert "intake_look" in bench.kinds()
    assert bench.rounds() == []


def test_what_a_note_brings_for_today_was_told_in_its_answer(bench: Bench) -> None:
    """A morning without news has passed; what the bench brings later that day is no second morning."""
    bench.note({"type": "remark", "text": "hello"})
    assert bench.at("2026-04-16T07:30").rounds() == []
    bench.at("2026-04-16T10:00").note(acquired({"count": 6, "taxa": ["rebutia"]}, "irma"))
    assert bench.later(minutes=1).rounds() == []


def test_twenty_days_off_are_gathered_in_one_message(bench: Bench) -> None:
    """The machine was off from the 15th; it comes back on a Thursday, on which nothing new falls due."""
    bench.note(seen("slug", labels("12")))
    bench.note(seen("scorch", labels("13")), act("washed", labels("14")))
    _remind(bench, "order grit", "2026-04-20")
    told = bench.at("2026-05-07T11:00").rounds()
    assert len(told) == 1
    for words in ("slugs: 12", "ready to pot?: 14", "order grit"):
        assert words in told[0]
    assert bench.rounds() == []
    assert bench.at("2026-05-08T07:30").rounds() == []


@pytest.mark.parametrize("weeks", [1, 6])
def test_what_the_grower_asked_for_is_told_however_late(bench: Bench, weeks: int) -> None:
    _remind(bench, "order grit", "2026-04-16")
    bench.note({"type": "hold", "which": labels("12"), "until": "2026-04-16"})
    told = "\n".join(bench.later(weeks=weeks).rounds())
    assert "order grit" in told
    assert "hold is over: 12" in told


def test_numbers_in_the_morning_message_are_those_that_done_means(bench: Bench) -> None:
    bench.note(seen("slug", labels("12")), act("washed", labels("14")))
    told = bench.at("2026-04-22T08:00").rounds()[0]
    number = next(line.split(".")[0] for line in told.splitlines() if "slugs" in line)
    answer = bench.note(asked("done", int(number)), decision="do")
    assert answer.text.startswith("Done: look for slugs, 12")


def test_a_question_left_open_is_asked_once_more_the_next_morning(bench: Bench) -> None:
    bench.note(act("died"), decision="ask", ask="which", text="one of them died")
    told = _mornings(bench, "2026-05-15T12:00")
    assert [moment for moment, _ in told] == ["2026-04-16 07:30"]
    assert "Still open: “one of them died”" in told[0][1]


def test_what_was_undone_is_not_told(bench: Bench) -> None:
    bench.note(seen("slug", labels("12")))
    bench.note(fixed("undo"), decision="fix")
    assert _mornings(bench, "2026-05-15T12:00") == []


def test_the_time_of_the_morning_is_the_growers(bench: Bench) -> None:
    bench.type("set morning 06:15")
    bench.note(seen("slug", labels("12")))
    assert [moment for moment, _ in _mornings(bench, "2026-04-22T12:00")] == ["2026-04-22 06:15"]


# --- clocks -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("zone", ZONES)
def test_a_year_has_one_wake_a_day_at_the_same_local_time(zoned: Callable[[str], Bench], zone: str) -> None:
    bench = zoned(zone)
    bench.at("2026-01-01T08:00").note({"type": "remark", "text": "hello"})
    wakes = []
    moment: datetime | None = bench.now
    for _ in range(366):
        assert moment is not None
        moment = next_wake(bench.database, moment)
        assert moment is not None
        wakes.append(moment.astimezone(ZoneInfo(zone)))
    assert [one.date() for one in wakes] == [date(2026, 1, 2) + timedelta(days=n) for n in range(366)]
    assert {one.time() for one in wakes} == {time(7, 30)}
    steps = {(later - earlier) / timedelta(hours=1) for earlier, later in pairwise(wakes)}
    assert steps == {24.0}, "by the wall clock; in between two clock changes lie"
    hours = sorted({(b.astimezone(UTC) - a.astimezone(UTC)) / timedelta(hours=1) for a, b in pairwise(wakes)})
    assert hours == [23.0, 24.0, 25.0]


# Each zone's clock changes of 2026 (IANA time zone database): the hour that is left out, and the hour that comes twice.
GAPS = {
    "Europe/Berlin": ("2026-03-29", "02:30", "2026-03-29T01:00"),
    "America/Los_Angeles": ("2026-03-08", "02:30", "2026-03-08T10:00"),
    "Australia/Sydney": ("2026-10-04", "02:30", "2026-10-03T16:00"),
}
REPEATS = {
    "Europe/Berlin": ("2026-10-25", "02:30", "2026-10-25T00:30"),
    "America/Los_Angeles": ("2026-11-01", "01:30", "2026-11-01T08:30"),
    "Australia/Sydney": ("2026-04-05", "02:30", "2026-04-04T15:30"),
}


@pytest.mark.parametrize(("zone", "told"), GAPS.items())
def test_in_the_hour_that_is_left_out_the_first_minute_after_it_counts(zone: str, told: tuple[str, str, str]) -> None:
    on, at, utc = told
    assert moment_of(day(on), time.fromisoformat(at), ZoneInfo(zone)) == datetime.fromisoformat(utc).replace(tzinfo=UTC)


@pytest.mark.parametrize(("zone", "told"), REPEATS.items())
def test_in_the_hour_that_comes_twice_the_first_counts(zone: str, told: tuple[str, str, str]) -> None:
    on, at, utc = told
    assert moment_of(day(on), time.fromisoformat(at), ZoneInfo(zone)) == datetime.fromisoformat(utc).replace(tzinfo=UTC)


@pytest.mark.parametrize("zone", ZONES)
@pytest.mark.parametrize("changes", [GAPS, REPEATS], ids=["left out", "twice"])
def test_a_reminder_in_such_an_hour_goes_out_once(
    zoned: Callable[[str], Bench], zone: str, changes: dict[str, tuple[str, str, str]]
) -> None:
    bench = zoned(zone)
    on, at, utc = changes[zone]
    start = day(on) - timedelta(days=2)
    bench.at(f"{start}T12:00")
    _remind(bench, "vents", f"{on}T{at}")
    bench.now = datetime.fromisoformat(utc).replace(tzinfo=UTC) - timedelta(minutes=1)
    assert bench.rounds() == []
    told: list[str] = []
    for _ in range(150):  # each minute of the next two and a half hours
        bench.later(minutes=1)
        told += bench.rounds()
    assert told == ["Vents."]


@pytest.mark.parametrize("zone", ZONES)
@pytest.mark.parametrize("changes", [GAPS, REPEATS], ids=["left out", "twice"])
def test_a_morning_in_such_an_hour_goes_out_once(
    zoned: Callable[[str], Bench], zone: str, changes: dict[str, tuple[str, str, str]]
) -> None:
    bench = zoned(zone)
    on, at, _ = changes[zone]
    bench.type(f"set morning {at}")
    bench.at(f"{day(on) - timedelta(days=7)}T12:00").note(seen("slug", labels("12")))
    told = _mornings(bench, f"{on}T23:00")
    assert len(told) == 1
    assert told[0][0].startswith(on)


def test_after_a_move_to_another_zone_a_day_has_one_morning(zoned: Callable[[str], Bench]) -> None:
    bench = zoned("Australia/Sydney")
    bench.at("2026-04-15T09:00").note(seen("slug", labels("12")))
    assert len(bench.at("2026-04-22T07:30").rounds()) == 1
    bench.type("set zone America/Los_Angeles")
    assert bench.rounds() == [], "there it is still the 21st, in the afternoon"
    bench.settings = bench.view_settings()
    assert bench.at("2026-04-22T07:30").rounds() == [], "the 22nd has had its morning"


def test_after_a_move_the_morning_comes_at_the_new_local_time(zoned: Callable[[str], Bench]) -> None:
    bench = zoned("Europe/Berlin")
    bench.at("2026-04-15T09:00").note(seen("slug", labels("12")))
    bench.at("2026-04-20T09:00").type("set zone America/Los_Angeles")
    bench.settings = bench.view_settings()
    assert [moment for moment, _ in _mornings(bench, "2026-04-22T23:00")] == ["2026-04-22 07:30"]


def test_the_leap_day_has_its_morning(bench: Bench) -> None:
    bench.at("2028-02-22T09:00").note(seen("slug", labels("12")))
    told = _mornings(bench, "2028-03-01T12:00")
    assert told[0][0] == "2028-02-29 07:30"
    assert told[0][1].startswith("Tuesday 29 February")


def test_the_years_end_is_a_day_like_another(bench: Bench) -> None:
    bench.at("2026-12-25T09:00").note(seen("slug", labels("12")))
    told = _mornings(bench, "2027-01-02T12:00")
    assert told[0][0] == "2027-01-01 07:30"
    assert told[0][1].startswith("Friday 1 January")


# --- reminders that have their minute ---------------------------------------------------------------------------------


def test_a_reminder_goes_out_on_its_minute_once(any_bench: Bench) -> None:
    _remind(any_bench, "take them out", "2026-04-15T10:55")
    assert next_wake(any_bench.database, any_bench.now) == moment_of(day("2026-04-15"), time(10, 55), ZoneInfo("Europe/London"))
    assert any_bench.at("2026-04-15T10:54").rounds() == []
    assert any_bench.at("2026-04-15T10:55").rounds() == ["Take them out."]
    assert any_bench.later(minutes=1).rounds() == []
    assert any_bench.at("2026-04-15T23:00").rounds() == []


def test_two_reminders_of_one_minute_go_out_once_each(bench: Bench) -> None:
    _remind(bench, "take them out", "2026-04-15T10:55")
    _remind(bench, "vents", "2026-04-15T10:55")
    bench.at("2026-04-15T10:55")
    assert sorted(bench.rounds()) == ["Take them out.", "Vents."]
    assert bench.rounds() == []


def test_done_after_such_a_reminder_means_it(bench: Bench) -> None:
    _remind(bench, "take them out", "2026-04-15T10:55")
    bench.at("2026-04-15T10:56").rounds()
    answer = bench.note(asked("done", 1), decision="do")
    assert answer.text == "Done: take them out."
    assert bench.dues == ()


def test_a_reminder_whose_minute_was_missed_goes_out_when_the_machine_is_back(bench: Bench) -> None:
    _remind(bench, "take them out", "2026-04-15T10:55")
    told = bench.at("2026-04-15T13:00").rounds()
    assert told == ["Take them out."]


def test_a_cancelled_or_finished_reminder_does_not_go_out(bench: Bench) -> None:
    _remind(bench, "take them out", "2026-04-15T10:55")
    bench.note(fixed("undo"), decision="fix")
    assert bench.at("2026-04-15T11:00").rounds() == []


def test_a_reminder_for_a_day_comes_with_the_morning(bench: Bench) -> None:
    _remind(bench, "order grit", "2026-04-18")
    told = _mornings(bench, "2026-04-18T12:00")
    assert [moment for moment, _ in told] == ["2026-04-18 07:30"]
    assert "order grit" in told[0][1]


def test_a_reminder_that_repeats_goes_out_each_time(bench: Bench) -> None:
    _remind(bench, "empty the traps", "2026-04-16T08:00", every_days=7)
    for on in ("2026-04-16", "2026-04-23", "2026-04-30"):
        assert "Empty the traps." in bench.at(f"{on}T08:00").rounds()
        bench.note(asked("done", 1), decision="do")


# --- the season -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("zone", "latitude", "first", "last"),
    [("Europe/Berlin", "52.5", (2, 1), (5, 15)), ("Australia/Sydney", "-33.9", (8, 1), (11, 15))],
    ids=["north", "south"],
)
def test_the_end_of_rest_is_asked_about_in_the_spring_of_the_place(
    zoned: Callable[[str], Bench], zone: str, latitude: str, first: tuple[int, int], last: tuple[int, int]
) -> None:
    bench = zoned(zone)
    bench.type(f"set latitude {latitude}")
    rest = "2026-01-10T10:00" if float(latitude) > 0 else "2026-05-20T10:00"
    bench.at(rest).note(act("named", labels("12"), name="lobivia"), act("rest_started", labels("12")))
    told = _mornings(bench, "2026-12-31T12:00")
    days = [day(moment[:10]) for moment, text in told if "end of rest" in text]
    assert days, "it was asked about"
    assert date(2026, *first) <= days[0] <= date(2026, *last)


def test_every_message_of_a_year_has_a_key_of_its_own(bench: Bench) -> None:
    bench.note(act("named", labels("12"), name="lobivia"), act("watered", labels("12"), how="soak"))
    bench.note(seen("spider_mite", labels("12")), acquired({"count": 6, "taxa": ["rebutia"]}, "irma", state="bare_root"))
    told = _mornings(bench, "2027-04-15T12:00")
    moments = [moment for moment, _ in told]
    assert len(moments) == len(set(moments)) >= 10
    assert all(len(text.splitlines()) <= 10 for _, text in told)
    with bench.database.read() as conn:
        assert outbox.counts(conn)["failed"] == 0
