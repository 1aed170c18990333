"""Rules that the grower sets in words: asked once whether for good, kept, listed, checked and taken back."""

from __future__ import annotations

import pytest

from bot.app.intake import rebuild
from tests.app.bench import Bench, act, labels, question

SKIP_FEED = "skip feed on anything repotted this yr"


def test_the_question_has_two_answers(bench: Bench) -> None:
    asked = bench.type(SKIP_FEED)
    assert "A rule for good, or just this once?" in asked.text
    assert [one.label for one in asked.buttons][:2] == ["for good", "just this once"]
    assert asked.written == []


def test_a_rule_for_good_is_kept_and_checked(bench: Bench) -> None:
    bench.note(act("repotted", labels("12"), when="2026-03-01"))
    bench.note(act("repotted", labels("14"), when="2025-06-01"))
    bench.type(SKIP_FEED)
    kept = bench.type("for good")
    assert kept.written == ["kept"]
    assert f"Kept as your rule: “{SKIP_FEED}”" in kept.text
    bench.later(days=40)
    assert "Mind your rule of Wed 15 Apr" in bench.note(act("fed", labels("12", "14"))).text
    assert "your rule" not in bench.note(act("fed", labels("14"))).text
    assert "your rule" not in bench.note(act("misted", labels("12"))).text
    bench.at("2027-04-15T10:00")
    assert "your rule" not in bench.note(act("fed", labels("12"))).text  # repotted last year by now


@pytest.mark.parametrize(
    ("rule", "broken", "kept"),
    [
        ("never feed the lithops", act("fed", labels("12")), act("fed", labels("14"))),
        ("no feed for anything in tray 3", act("fed", labels("14")), act("fed", labels("12"))),
        ("never repot 14", act("repotted", labels("14")), act("repotted", labels("12"))),
        ("from now on no feed for the lithops", act("fed", labels("12")), act("watered", labels("14"))),
        ("never spray the lithops", act("treated", labels("12"), how="spray"), act("treated", labels("14"), how="spray")),
    ],
)
def test_whom_a_rule_is_about(bench: Bench, rule: str, broken: dict[str, object], kept: dict[str, object]) -> None:
    bench.note(act("named", labels("12"), name="lithops"))
    bench.note(act("moved", labels("14"), to="tray 3"))
    assert "for good" in bench.type(rule).text
    bench.type("for good")
    assert f"“{rule}”" in bench.note(broken).text
    assert "your rule" not in bench.note(kept).text


def test_what_was_potted_bare_root_is_spared_too(bench: Bench) -> None:
    bench.note(act("unpotted", labels("12")))
    bench.later(days=3).note(act("potted", labels("12")))
    bench.type(SKIP_FEED)
    bench.type("for good")
    bench.later(days=50)
    assert "your rule" in bench.note(act("fed", labels("12"))).text


def test_in_the_last_six_weeks(bench: Bench) -> None:
    bench.note(act("repotted", labels("12")))
    bench.type("no feed for anything repotted in the last 6 weeks")
    bench.type("for good")
    bench.later(days=42)
    assert "your rule" in bench.note(act("fed", labels("12"))).text
    bench.later(days=1)
    assert "your rule" not in bench.note(act("fed", labels("12"))).text


def test_just_this_once_is_a_skip(bench: Bench) -> None:
    bench.note(act("repotted", labels("12"), when="2026-03-01"))
    bench.note(act("repotted", labels("14"), when="2025-06-01"))
    bench.type(SKIP_FEED)
    made = bench.type("just this once")
    (event,) = made.events
    assert (event.kind, event.what, [one.key for one in event.refs]) == ("skip", "fed", ["12"])
    assert bench.standing.rules == {}
    assert "for good" not in bench.type("watered 14").text  # the question is closed


def test_a_day_of_the_week_repeats(bench: Bench) -> None:
    bench.note(act("named", labels("12"), name="haworthia"))
    bench.type("always water the haws on sunday")
    made = bench.type("for good")
    assert made.written == ["watered"]
    assert "Sun 19 Apr" in made.text
    assert "Again every 7 days." in made.text
    bench.at("2026-04-19T10:00")
    bench.type("whats due")
    bench.type("done 1")
    assert bench.due("reminder").on.isoformat() == "2026-04-26"
    assert "Every 7 days: water 12 (Haworthia)" in bench.type("what rules have i set").text


def test_a_day_of_the_week_just_once(bench: Bench) -> None:
    bench.note(act("named", labels("12"), name="haworthia"))
    bench.type("always water the haws on sunday")
    bench.type("just this once")
    (reminder,) = bench.standing.reminders.values()
    assert (reminder.every_days, str(reminder.due)) == (None, "2026-04-19")


def test_what_cannot_be_checked_is_kept_and_says_so(bench: Bench) -> None:
    bench.type("always soak the seedlings from below")
    assert "checking it is beyond me" in bench.type("for good").text
    assert "“always soak the seedlings from below”, which I cannot check" in bench.type("what rules have i set").text


def test_rules_are_listed_and_dropped(bench: Bench) -> None:
    assert "no rules yet" in bench.type("what rules have i set").text
    bench.type("my lithops rest till may")
    bench.later(days=1).type("label says max 10 ml/l for the soap")
    bench.later(days=1).type(SKIP_FEED)
    bench.type("for good")
    listed = bench.type("what rules have i set").text
    assert "1. Lithops: rest in October to April (15 Apr)" in listed
    assert "2. Soap: at most 10 ml/l by its label (16 Apr)" in listed
    assert f"3. “{SKIP_FEED}” (17 Apr)" in listed
    assert "Rule dropped: Soap" in bench.type("drop rule 2").text
    assert "Soap" not in bench.type("my rules").text
    assert "Taken back: A rule dropped" in bench.type("undo").text
    assert "Soap" in bench.type("my rules").text


def test_a_rule_is_taken_back_by_undo(bench: Bench) -> None:
    bench.note(act("named", labels("12"), name="lithops"))
    bench.type("never feed the lithops")
    bench.type("for good")
    assert "Taken back: Your rule “never feed the lithops”" in bench.type("undo").text
    assert bench.standing.rules == {}
    bench.type("label says max 10 ml/l for the soap")
    assert "Taken back: Label of soap: at most 10 ml/l" in bench.type("undo").text
    assert "your rule" not in bench.note(act("fed", labels("12"))).text


def test_rules_are_the_same_rebuilt_from_the_log(bench: Bench) -> None:
    bench.type("label says max 10 ml/l for the soap")
    bench.type("never feed the lithops")
    bench.type("for good")
    before = bench.standing.rows()
    rebuild(bench.database, bench.now)
    assert bench.standing.rows() == before


@pytest.mark.parametrize(
    ("text", "product", "most"),
    [
        ("label says max 10 ml/l for the soap", "soap", 10.0),
        ("the soap label says 10ml/l", "soap", 10.0),
        ("the label for bug clear says at most 1 in 200", "bug clear", 5.0),
        ("max rate for neem oil is 2 ml/l", "neem oil", 2.0),
    ],
)
def test_a_label_in_words(bench: Bench, text: str, product: str, most: float) -> None:
    assert bench.type(text).written == ["label"]
    assert bench.standing.rules[f"label:{product}"]["per_litre"] == most


def test_no_dose_above_the_label(bench: Bench) -> None:
    assert "140 ml" in bench.type("how much soap for 7l at 20ml/l").text
    bench.type("label says max 10 ml/l for the soap")
    assert "Above the label's 10 ml/l: the label is the law." in bench.type("how much soap for 7l at 20ml/l").text
    assert "70 ml" in bench.type("how much soap for 7l at 10ml/l").text
    assert "140 ml" in bench.type("how much neem for 7l at 20ml/l").text  # another product
    done = bench.note(act("treated", labels("12"), how="spray", product="soap", dose="20 ml/l"))
    assert "above the label's 10 ml/l for soap" in done.text
    bench.type("label says max 25 ml/l for the soap")  # the latest word counts
    assert "140 ml" in bench.type("how much soap for 7l at 20ml/l").text


def test_the_answer_means_nothing_without_the_question(bench: Bench) -> None:
    assert "kept" not in bench.type("for good").written
    bench.note(act("watered", labels("12")))
    assert bench.note(question("due"), decision="answer").written == []


def test_a_repeating_reminder_is_dropped_like_a_rule(bench: Bench) -> None:
    bench.note(act("named", labels("12"), name="haworthia"))
    bench.type("always water the haws on sunday")
    bench.type("for good")
    assert "Rule dropped: Every 7 days: water 12" in bench.type("drop rule 1").text
    assert bench.standing.reminders == {}
    bench.type("undo")
    assert len(bench.standing.reminders) == 1


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("the neem is batch A4711, use by june 2027", "Neem: batch A4711, use by june 2027"),
        ("neem batch no 47-11", "Neem: batch 47-11"),
        ("batch 0815/B of the savona soap", "Savona soap: batch 0815/B"),
    ],
)
def test_the_batch_on_a_bottle_is_kept_listed_and_taken_back(bench: Bench, text: str, kept: str) -> None:
    said = bench.type(text)
    assert said.written == ["batch"]
    assert said.text.startswith(f"{kept}.")
    assert f"1. {kept} (15 Apr)" in bench.type("what rules have i set").text
    before = bench.standing.rows()
    rebuild(bench.database, bench.now)
    assert bench.standing.rows() == before
    assert f"Taken back: {kept}" in bench.type("undo").text
    assert bench.standing.rules == {}


def test_a_batch_of_plants_is_no_batch_of_a_product(bench: Bench) -> None:
    bench.type("batch 3 rooted")
    assert bench.standing.rules == {}


def test_a_treatment_tells_its_batch(bench: Bench) -> None:
    said = bench.type("sprayed 12 with neem 5ml/l, batch A4711")
    assert "neem, 5ml/l, batch A4711" in said.text


@pytest.mark.parametrize("rule", ["always water the lithops from below", "always bottom water the lithops"])
def test_a_way_of_watering_that_is_always_to_be_kept(bench: Bench, rule: str) -> None:
    bench.note(act("named", labels("12"), name="lithops"))
    bench.type(rule)
    assert "I tell you when a note goes against it" in bench.type("for good").text
    assert f"“{rule}”" in bench.note(act("watered", labels("12"))).text
    assert rule not in bench.note(act("watered", labels("12"), how="below")).text
    assert rule not in bench.note(act("watered", labels("14"))).text
    assert f"1. “{rule}” (15 Apr)" in bench.type("what rules have i set").text
