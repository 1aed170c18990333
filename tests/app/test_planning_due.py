"""The list of what is due, and what is said of it: done, later, drop, why, more; reminders of the grower's own, and holds."""

from __future__ import annotations

from typing import Any

import pytest

from tests.app.bench import Answer, Bench, act, asked, day, labels, question, seen


def _list(bench: Bench, **said: Any) -> Answer:
    return bench.note(question("due", **said), decision="answer")


def _do(bench: Bench, what: str, *numbers: int, **said: Any) -> Answer:
    return bench.note(asked(what, *numbers, **said), decision="do")


def _with_two_looks(bench: Bench) -> None:
    """A find of 1 April and a suspicion of the 13th: on the 15th the first look is overdue and the second is due."""
    bench.at("2026-04-01T09:00").note(seen("slug", labels("12")))
    bench.at("2026-04-13T09:00").note(seen("aphid", labels("20"), status="suspected"))
    bench.at("2026-04-15T09:00")


def test_the_list_is_numbered_overdue_first(bench: Bench) -> None:
    _with_two_looks(bench)
    lines = _list(bench).text.splitlines()
    assert lines[0].startswith("1. look for slugs: 12")
    assert "since" in lines[0]
    assert lines[1].startswith("2. lens over the suspected aphids: 20")


def test_nothing_due_names_what_comes_next(bench: Bench) -> None:
    assert _list(bench).text == "Nothing due today."
    bench.note(seen("slug", labels("12")))
    text = _list(bench).text
    assert text.startswith("Nothing due today. Next: look for slugs: 12")
    assert "22 Apr" in text


def test_due_until_a_day_holds_what_comes_until_then(bench: Bench) -> None:
    bench.note(seen("slug", labels("12")))  # common practice: looks after 7 and 14 days
    assert "Nothing due" in _list(bench, until="2026-04-21").text
    assert _list(bench, until="2026-04-22").text.startswith("1. look for slugs: 12")


def test_due_on_one_bench_only(bench: Bench) -> None:
    bench.note(act("moved", labels("12"), to="bench 2"), seen("slug", labels("12")))
    bench.note(act("moved", labels("20"), to="tray 3"), seen("slug", labels("20")))
    bench.later(days=9)
    text = _list(bench, which={"places": ["bench 2"]}).text
    assert "12" in text
    assert "20" not in text


def test_done_writes_the_look_and_the_line_is_gone(bench: Bench) -> None:
    _with_two_looks(bench)
    _list(bench)
    answer = _do(bench, "done", 1)
    assert answer.written == ["done", "inspected"]
    assert answer.text.startswith("Done: look for slugs, 12")
    assert "12" not in _list(bench).text.split("Next")[0]
    assert bench.thing("plant", "12").last["inspected"] == "2026-04-15"


def test_done_means_the_numbers_of_the_list_that_was_shown(bench: Bench) -> None:
    _with_two_looks(bench)
    _list(bench)
    bench.later(minutes=5).note(act("watered", labels("55"), how="soak"))
    assert _do(bench, "done", 2).text.startswith("Done: lens over the suspected aphids, 20")
    assert _do(bench, "done", 2).text == "2 is done already."


def test_done_of_several_at_once(bench: Bench) -> None:
    _with_two_looks(bench)
    _list(bench)
    assert _do(bench, "done", 1, 2).written == ["done", "inspected", "done", "inspected"]
    assert "Nothing due today" in _list(bench).text


def test_numbers_that_the_list_has_not(bench: Bench) -> None:
    assert _do(bench, "done", 1).text == "There is no list yet: “whats due” shows one."
    _with_two_looks(bench)
    _list(bench)
    assert _do(bench, "done", 7).text == "The list has 2: there is no 7."
    assert _do(bench, "done", 0).text == "The list has 2: there is no 0."
    assert _do(bench, "done").text == "Which number, 1 to 2?"


def test_later_by_a_week_and_until_a_day(bench: Bench) -> None:
    _with_two_looks(bench)
    _list(bench)
    assert _do(bench, "later", 1).written == ["later"]
    assert bench.due("suspicion_look").on == day("2026-04-15")
    assert _do(bench, "later", 2, until="2026-04-18").written == ["later"]
    assert {one.kind: one.on for one in bench.dues} == {
        "pest_look": day("2026-04-22"),
        "suspicion_look": day("2026-04-18"),
    }


def test_later_until_a_day_gone_by_is_refused(bench: Bench) -> None:
    _with_two_looks(bench)
    _list(bench)
    answer = _do(bench, "later", 1, until="2026-04-14")
    assert answer.events == ()
    assert "past" in answer.text


def test_drop_takes_a_line_off_and_writes_no_look(bench: Bench) -> None:
    _with_two_looks(bench)
    _list(bench)
    assert _do(bench, "drop", 1).written == ["dropped"]
    assert "inspected" not in bench.thing("plant", "12").last
    assert "slugs" not in _list(bench).text


def test_undo_of_done_brings_the_line_back(bench: Bench) -> None:
    _with_two_looks(bench)
    text = _list(bench).text
    _do(bench, "done", 1)
    bench.note({"type": "fix", "what": "undo"}, decision="fix")
    assert _list(bench).text == text


def test_why_explains_in_full_and_writes_nothing(warm_bench: Bench) -> None:
    warm_bench.note(seen("mealybug", labels("12")))
    warm_bench.later(days=14)
    _list(warm_bench, until="2026-06-30")
    answer = _do(warm_bench, "why", 1)
    assert answer.events == ()
    assert "degree-days above" in answer.text
    assert "since 15 Apr" in answer.text
    assert "your monthly normals" in answer.text
    assert "Source: " in answer.text
    assert len(answer.text.splitlines()) <= 5


@pytest.mark.parametrize("what", ["watered", "washed", "potted", "sown", "isolated", "rested"])
def test_why_of_any_line_is_told(warm_bench: Bench, what: str) -> None:
    notes: dict[str, list[dict[str, Any]]] = {
        "watered": [act("watered", labels("12"), how="soak")],
        "washed": [act("washed", labels("12"))],
        "potted": [act("washed", labels("12")), act("potted", labels("12"))],
        "sown": [act("sown", {"sowings": ["S1"]}, sown=40)],
        "isolated": [act("isolated", labels("12"))],
        "rested": [act("named", labels("12"), name="lobivia"), act("rest_started", labels("12"))],
    }
    warm_bench.note(*notes[what])
    _list(warm_bench, until="2027-12-31")
    answer = _do(warm_bench, "why", 1)
    assert answer.text.splitlines()[0].endswith(".")
    assert {"watered": "FAO-56", "isolated": "project default"}.get(what, "ommon practice") in answer.text


def test_a_long_list_is_cut_and_goes_on(bench: Bench) -> None:
    bench.at("2026-04-01T09:00")
    for number in range(12, 24):
        bench.note(seen("slug", labels(str(number))), seen("aphid", labels(str(number)), status="suspected"))
    bench.at("2026-04-15T09:00")
    for number in range(12, 24):
        bench.note(act("moved", labels(str(number)), to=f"bench {number}"))
    lines = _list(bench).text.splitlines()
    assert lines[-1].endswith("more: say “more”")
    more = bench.type("more").text.splitlines()
    assert more[0].startswith(f"{len(lines)}. ")
    assert _do(bench, "done", len(lines)).written[0] == "done"


# --- reminders --------------------------------------------------------------------------------------------------------


def _remind(bench: Bench, **said: Any) -> Answer:
    return bench.note({"type": "reminder"} | said, decision="remind")


def test_a_reminder_on_a_day(bench: Bench) -> None:
    answer = _remind(bench, text="order grit", due="2026-04-20")
    assert answer.written == ["reminder"]
    assert "Mon 20 Apr" in answer.text
    assert "order grit" in answer.text
    due = bench.due("reminder")
    assert (due.on, due.why["text"], due.refs) == (day("2026-04-20"), "order grit", ())


def test_a_reminder_to_do_something_with_plants_writes_no_care(bench: Bench) -> None:
    _remind(bench, act="repotted", which=labels("12"), due="2026-04-20")
    assert {one.kind for one in bench.log} == {"reminder"}
    bench.at("2026-04-20T09:00")
    assert "repot 12" in _list(bench).text
    answer = _do(bench, "done", 1)
    assert answer.written == ["done", "repotted"]
    assert bench.standing.reminders == {}


def test_a_reminder_without_a_day_is_kept_and_asked_for_one(bench: Bench) -> None:
    answer = _remind(bench, text="look for seed")
    assert answer.written == ["reminder"]
    assert "Give me a day" in answer.text
    assert bench.dues == ()


def test_cancel(bench: Bench) -> None:
    _remind(bench, act="repotted", which=labels("12"), due="2026-04-20")
    _remind(bench, act="fed", which=labels("12"), due="2026-04-22")
    answer = _remind(bench, act="repotted", which=labels("12"), cancel=True)
    assert "won't remind" in answer.text
    assert [one.about for one in bench.dues if one.kind == "reminder"] == ["fed"]


def test_snooze(bench: Bench) -> None:
    _remind(bench, act="repotted", which=labels("12"), due="2026-04-20")
    _remind(bench, act="repotted", which=labels("12"), snooze=True, due="2026-04-27")
    assert bench.due("reminder").on == day("2026-04-27")


def test_a_reminder_that_repeats_comes_back_when_it_is_done(bench: Bench) -> None:
    _remind(bench, text="empty the traps", due="2026-04-20", every_days=14)
    bench.at("2026-04-20T09:00")
    _list(bench)
    _do(bench, "done", 1)
    assert bench.due("reminder").on == day("2026-05-04")


def test_dropping_a_reminder_ends_it(bench: Bench) -> None:
    _remind(bench, text="order grit", due="2026-04-20", every_days=7)
    bench.at("2026-04-20T09:00")
    _list(bench)
    _do(bench, "drop", 1)
    assert bench.dues == ()


def test_later_moves_a_reminder_and_done_still_ends_it(bench: Bench) -> None:
    _remind(bench, text="order grit", due="2026-04-20")
    bench.at("2026-04-20T09:00")
    _list(bench)
    _do(bench, "later", 1, until="2026-04-25")
    assert bench.due("reminder").on == day("2026-04-25")
    bench.at("2026-04-25T09:00")
    _list(bench)
    _do(bench, "done", 1)
    assert bench.dues == ()


def test_why_of_a_reminder_says_who_asked(bench: Bench) -> None:
    _remind(bench, text="order grit", due="2026-04-15")
    _list(bench)
    assert "You asked for it" in _do(bench, "why", 1).text


# --- holds ------------------------------------------------------------------------------------------------------------


def test_a_hold_until_a_day_is_told_on_that_day(bench: Bench) -> None:
    answer = bench.note({"type": "hold", "which": labels("12"), "until": "2026-05-15"})
    assert answer.written == ["hold"]
    assert "No water for 12 until Fri 15 May" in answer.text
    assert (bench.due("hold_ends").on, bench.due("hold_ends").refs[0].key) == (day("2026-05-15"), "12")


def test_a_hold_without_an_end_is_asked_about_after_thirty_days(bench: Bench) -> None:
    """Common practice: an open hold is asked about after 30 days."""
    bench.note({"type": "hold", "which": labels("12"), "cond": "papery"})
    assert bench.due("hold_open").on == day("2026-05-15")


def test_a_watering_on_or_after_its_day_ends_a_hold(bench: Bench) -> None:
    bench.note({"type": "hold", "which": labels("12"), "until": "2026-05-15"})
    bench.at("2026-05-15T09:00").note(act("watered", labels("12")))
    assert bench.thing("plant", "12").hold == {}
    assert "hold_ends" not in bench.kinds()


def test_a_hold_moves_the_first_water(warm_bench: Bench) -> None:
    warm_bench.note(act("washed", labels("12")), act("potted", labels("12")))
    assert warm_bench.due("first_water").on == day("2026-04-22")
    warm_bench.note({"type": "hold", "which": labels("12"), "until": "2026-05-15"})
    assert warm_bench.due("first_water").on == day("2026-05-15")


def test_may_i_water_what_is_held(bench: Bench) -> None:
    bench.note({"type": "hold", "which": labels("12"), "until": "2026-05-15"})
    text = bench.note(question("may_water", which=labels("12")), decision="answer").text
    assert text.startswith("Not 12: held until Fri 15 May")
