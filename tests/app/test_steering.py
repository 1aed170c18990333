"""Words that set how the talk goes: what is silent, what is told, who is away, and a reply that is about an older list."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from bot.app.rounds import next_wake, run_rounds
from bot.messages import Incoming
from bot.store import outbox, people
from tests.app.bench import Bench, labels, seen


def _mornings(bench: Bench, until: str) -> list[tuple[str, str]]:
    zone = ZoneInfo(bench.settings.zone)
    end = datetime.fromisoformat(until).replace(tzinfo=zone).astimezone(UTC)
    told: list[tuple[str, str]] = []
    while (wake := next_wake(bench.database, bench.now)) is not None and wake <= end:
        bench.now = wake
        told += [(wake.astimezone(zone).strftime("%m-%d %H:%M"), text) for text in bench.rounds()]
    bench.now = end
    return told


def _remind(bench: Bench, text: str, due: str) -> None:
    bench.note({"type": "reminder", "text": text, "due": due}, decision="remind")


@pytest.fixture
def slugs(bench: Bench) -> Bench:
    """Slugs on bench 3 and bench 4, found on 15 April: common practice looks after 7 and 14 days."""
    bench.type("12 and 13 are lobivias")
    bench.type("moved 12 to bench 3")
    bench.type("moved 13 to bench 4")
    bench.note(seen("slug", labels("12")))
    bench.note(seen("slug", labels("13")))
    return bench


# --- muted places -----------------------------------------------------------------------------------------------------


def test_a_muted_place_is_left_out_of_the_morning_but_not_of_the_list(slugs: Bench) -> None:
    assert slugs.type("mute bench 3").text.startswith("Muted bench 3")
    ((_, morning),) = _mornings(slugs, "2026-04-22T12:00")
    assert "13" in morning
    assert "12" not in morning.replace("2026", "")
    assert "12" in slugs.type("whats due").text
    assert slugs.type("whats muted").text == "Muted: bench 3. “unmute bench 3” ends it."


@pytest.mark.parametrize("words", ["unmute", "unmute bench 3", "Unmute the bench 3.", "unmute everything"])
def test_a_place_that_is_unmuted_speaks_again(slugs: Bench, words: str) -> None:
    slugs.type("mute Bench 3")
    assert slugs.type(words).text == "No longer muted: bench 3."
    ((_, morning),) = _mornings(slugs, "2026-04-22T12:00")
    assert "2 today" in morning


def test_where_all_is_muted_the_morning_is_silent(slugs: Bench) -> None:
    slugs.type("mute bench 3")
    slugs.type("mute bench 4")
    assert _mornings(slugs, "2026-04-22T12:00") == []


def test_a_place_that_nobody_knows_is_not_muted(slugs: Bench) -> None:
    assert slugs.type("mute bench 9").text == "I know no place bench 9."
    assert slugs.type("unmute").text == "No place is muted."
    assert slugs.view_settings().extra == {}


# --- what is told without news ----------------------------------------------------------------------------------------


def test_a_morning_on_which_nothing_is_due_speaks_only_where_that_is_wanted(bench: Bench) -> None:
    bench.type("12 is a lobivia")
    assert _mornings(bench, "2026-04-17T12:00") == []
    assert "say so when nothing is due" in bench.type("tell me when nothing is due").text
    assert _mornings(bench, "2026-04-19T12:00") == [
        ("04-18 07:30", "Nothing is due today."),
        ("04-19 07:30", "Nothing is due today."),
    ]
    assert "silent" in bench.type("stay silent when nothing is due").text
    assert _mornings(bench, "2026-04-21T12:00") == []


def test_a_sign_of_life_comes_on_sundays_where_it_is_wanted(slugs: Bench) -> None:
    slugs.type("weekly sign of life")
    told = _mornings(slugs, "2026-04-26T12:00")
    assert told[0] == ("04-19 07:30", "Still here. Next is due Wed 22 Apr.")
    assert [moment for moment, _ in told] == ["04-19 07:30", "04-22 07:30", "04-26 07:30"]
    slugs.type("no weekly sign of life")
    assert "04-03" not in str(_mornings(slugs, "2026-05-03T12:00"))


# --- away -------------------------------------------------------------------------------------------------------------


def test_an_absence_holds_what_can_wait_and_gives_a_sheet_of_what_cannot(slugs: Bench) -> None:
    _remind(slugs, "sweep the floor", "2026-04-20")
    answer = slugs.type("away till 24 april").text
    assert answer.splitlines()[0] == "Away until Fri 24 Apr: what can wait is held. “back” ends it."
    assert "Mon 20 Apr: sweep the floor" in answer
    assert slugs.view_settings().extra["away"] == {"since": "2026-04-15", "back": "2026-04-24"}
    told = _mornings(slugs, "2026-04-23T12:00")
    assert ["sweep the floor" in text for moment, text in told if moment == "04-20 07:30"] == [True]
    last = _mornings(slugs, "2026-04-24T12:00")
    assert [moment for moment, _ in last] == ["04-24 07:30"]
    assert "slugs" in last[0][1]
    assert "away" not in slugs.view_settings().extra


def test_what_can_wait_comes_on_the_morning_of_the_return(bench: Bench) -> None:
    bench.type("watered bench 1")
    first = min(one.on for one in bench.dues if one.kind == "dry_look")
    assert first < datetime(2026, 4, 25, tzinfo=UTC).date()
    answer = bench.type("away till 25 april").text
    assert answer.splitlines()[1:] == ["Nothing that I know of needs a sitter."]
    ((moment, text),) = _mornings(bench, "2026-04-25T12:00")
    assert moment == "04-25 07:30"
    assert "drying-off check: bench 1" in text


@pytest.mark.parametrize("words", ["im back", "I'm back", "We are back home again.", "back"])
def test_an_absence_is_ended_in_words(bench: Bench, words: str) -> None:
    bench.type("watered bench 1")
    bench.type("away till 25 april")
    bench.at("2026-04-23T18:00")
    assert bench.type(words).text == "Welcome back. 1 thing waited: “whats due”."
    assert "away" not in bench.view_settings().extra
    assert bench.type(words).text == "I did not know that you were away."


@pytest.mark.parametrize("words", ["away till yesterday", "away until 1 april 2026"])
def test_an_absence_that_is_over_is_refused(bench: Bench, words: str) -> None:
    bench.type(words)
    assert "away" not in bench.view_settings().extra


# --- quiet hours and frost --------------------------------------------------------------------------------------------


def _helper(bench: Bench) -> Bench:
    """Let a helper write to the same collection from another chat."""
    with bench.database.write() as conn:
        people.join(conn, "terminal", "helper", "helper", bench.collection_id, "helper")
    return Bench(bench.database, bench.settings, address="helper", now=bench.now, planted=bench.planted)


@pytest.fixture
def tender(bench: Bench) -> Bench:
    """A plant in the open that no frost may meet."""
    bench.at("2026-11-10T10:00")
    bench.type("7 is a melocactus")
    bench.type("moved 7 outside")
    return bench


def test_a_frost_that_a_helper_forecasts_is_told_to_the_owner_at_once(tender: Bench) -> None:
    helper = _helper(tender)
    helper.at("2026-11-20T16:00").type("frost -4 tonight")
    tender.now = helper.now
    (told,) = tender.rounds()
    assert told.startswith("-4 °C forecast for tonight.")
    assert "7" in told
    assert tender.rounds() == []
    assert helper.messages("urgent") == []


def test_the_owner_who_wrote_the_forecast_has_the_answer_and_no_warning(tender: Bench) -> None:
    answer = tender.at("2026-11-20T16:00").type("frost -4 tonight").text
    assert "7" in answer
    assert tender.rounds() == []


def test_no_warning_in_the_quiet_hours(tender: Bench) -> None:
    assert "22:30" in tender.type("quiet hours 22:30 to 6:15").text
    helper = _helper(tender)
    helper.at("2026-11-20T22:40").type("frost -4 tonight")
    assert tender.at("2026-11-20T22:41").rounds() == []
    helper.at("2026-11-21T05:00").type("frost -6 tonight")
    assert tender.at("2026-11-21T06:14").rounds() == []
    assert [one.splitlines()[0] for one in tender.at("2026-11-21T06:15").rounds()] == ["-6 °C forecast for tonight."]


def test_quiet_hours_want_two_times(bench: Bench) -> None:
    assert "two times" in bench.type("quiet hours 25 to 7").text
    assert bench.view_settings().extra == {}


# --- timers and replies -----------------------------------------------------------------------------------------------


def test_after_a_wash_a_timer_is_offered_and_rings_on_its_minute(bench: Bench) -> None:
    bench.type("12 and 13 are lobivias")
    answer = bench.type("washed the roots of 12 and 13")
    timer = next(one for one in answer.buttons if one.label == "timer 15 min")
    bench.type(timer.words)
    wake = next_wake(bench.database, bench.now)
    assert wake == bench.now.replace(second=0) + timedelta(minutes=15)
    bench.now = wake - timedelta(seconds=1)
    assert bench.rounds() == []
    bench.now = wake
    assert [one.lower().startswith("take them out") for one in bench.rounds()] == [True]


def _replies(bench: Bench, text: str, to: str) -> str:
    """Send an answer to a sent message and return what came back."""
    bench.notes += 1
    key = f"{bench.address}:{bench.notes}"
    incoming = Incoming("terminal", bench.address, "terminal", key, text, bench.now, bench.address, key, reply_to=to)
    inbox_id = bench.intake.receive(incoming, bench.now)
    bench.intake.work(bench.now)
    return bench.replies()[f"reply:{inbox_id}"]


def _send_rest(bench: Bench) -> None:
    while True:
        with bench.database.write() as conn:
            rows = outbox.claim(conn, bench.now + timedelta(days=1), 1)
            for row in rows:
                outbox.mark_sent(conn, row.id, f"sent {row.id}", bench.now)
        if not rows:
            return


def _sent_key(bench: Bench, words: str) -> str:
    with bench.database.read() as conn:
        rows = [row for number in range(1, 200) if (row := outbox.by_id(conn, number)) and words in row.outgoing.text]
    return f"sent {rows[-1].id}"


@pytest.mark.parametrize(
    ("reply", "begins"),
    [
        ("done", "Done: sweep the floor"),
        ("later by a week", "Later: sweep the floor"),
        ("why", ""),
        ("drop", "Dropped: sweep the floor"),
    ],
)
def test_a_word_in_reply_to_a_reminder_is_about_that_one(bench: Bench, reply: str, begins: str) -> None:
    _remind(bench, "sweep the floor", "2026-04-17T09:00")
    _remind(bench, "order labels", "2026-04-17T10:00")
    for moment in ("2026-04-17T09:00", "2026-04-17T10:00"):
        bench.at(moment)
        run_rounds(bench.database, bench.now)
    _send_rest(bench)
    answer = _replies(bench, reply, _sent_key(bench, "weep the floor."))
    assert answer.startswith(begins)
    assert "labels" not in answer
    if reply == "done":
        assert "order labels" in bench.type("whats due").text


def test_done_alone_is_about_the_one_line_of_the_last_list(bench: Bench) -> None:
    _remind(bench, "sweep the floor", "2026-04-17T09:00")
    bench.at("2026-04-17T09:00").rounds()
    assert bench.type("done").text.startswith("Done: sweep the floor")
    assert bench.type("done").text == "1 is done already."


def test_done_alone_asks_which_of_several(slugs: Bench) -> None:
    slugs.at("2026-04-22T08:00").rounds()
    assert slugs.type("done").text == "Which number, 1 to 2?"


def test_done_without_any_list_says_so(bench: Bench) -> None:
    assert bench.type("done").text == "There is no list yet: “whats due” shows one."


def test_an_older_list_is_meant_by_who_answers_it(slugs: Bench) -> None:
    slugs.at("2026-04-22T08:00").rounds()
    _remind(slugs, "order labels", "2026-04-22T09:00")
    slugs.at("2026-04-22T09:00").rounds()
    _send_rest(slugs)
    answer = _replies(slugs, "done 2", _sent_key(slugs, "2 today"))
    assert answer.startswith("Done: look for slugs")
