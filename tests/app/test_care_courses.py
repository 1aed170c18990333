"""Courses of treatment, whether they work, the way out of quarantine, and how fast the grower's own pots dry."""

from __future__ import annotations

import pytest

from bot.app.pest_counts import pest_count
from tests.app.bench import Bench, act, asked, labels, question, seen

# At 20 °C all day a spider mite course runs by the early end of the table: see tests/care/test_pests.py for the sums.


def test_the_next_treatment_of_a_course(warm_bench: Bench) -> None:
    warm_bench.note(seen("mealybug", labels("12")))
    assert "treat_again" not in warm_bench.kinds()
    made = warm_bench.note(act("treated", labels("12"), how="spray", product="soap", course="1/3"))
    assert "Treatment 2 of 3:" in made.text
    due = warm_bench.due("treat_again")
    assert due.until is not None
    assert due.on < due.until
    warm_bench.at(f"{due.on}T10:00")
    listed = warm_bench.note(question("due"), decision="answer").text
    assert "treat again (mealybugs): 12" in listed
    assert "2 of 3" in listed
    number = next(line[0] for line in listed.splitlines() if "treat again" in line)
    done = warm_bench.note(asked("done", int(number)), decision="do")
    (event,) = [one for one in done.events if one.what == "treated"]
    assert dict(event.facts) == {"how": "spray", "product": "soap", "course": "2/3"}
    assert "3 of 3" in str(warm_bench.due("treat_again").why["course"]).replace("/", " of ")
    warm_bench.at(f"{warm_bench.due('treat_again').on}T10:00")
    warm_bench.note(act("treated", labels("12"), how="spray", product="soap"))  # unnumbered: counted on
    assert "treat_again" not in warm_bench.kinds()


def test_why_of_the_next_treatment(warm_bench: Bench) -> None:
    warm_bench.note(seen("spider_mite", labels("12")))
    warm_bench.note(act("treated", labels("12"), how="spray", product="soap", course="1/3"))
    warm_bench.at(f"{warm_bench.due('treat_again').on}T10:00")
    listed = warm_bench.note(question("due"), decision="answer").text
    number = next(line[0] for line in listed.splitlines() if "treat again" in line)
    why = warm_bench.note(asked("why", int(number)), decision="do").text
    assert "degree-days above" in why
    assert "Source:" in why
    assert "monthly normals" in why


@pytest.mark.parametrize(
    ("text", "sign", "count"),
    [
        ("12 mites on 14", "spider_mite", 12),
        ("counted 3 mealies on 14", "mealybug", 3),
        ("mites on 12", "spider_mite", None),
        ("pot 12, mites", "spider_mite", None),
        ("2 root mealies", "root_mealybug", 2),
    ],
)
def test_counts_of_pests_in_words(text: str, sign: str, count: int | None) -> None:
    assert pest_count(text, sign) == count


def test_whether_the_spray_worked(warm_bench: Bench) -> None:
    ask = question("outcome", act="treated")
    assert "No treated case" in warm_bench.note(ask, decision="answer").text
    warm_bench.note(seen("spider_mite", labels("12")), text="12 mites on 12")
    warm_bench.note(act("treated", labels("12"), how="spray", product="soap", course="1/3"))
    assert "too early to say" in warm_bench.note(ask, decision="answer").text
    warm_bench.later(days=3).note(seen("spider_mite", labels("12")), text="8 mites left on 12")
    said = warm_bench.note(ask, decision="answer").text
    assert "Spider mites on 12: not yet" in said  # more than half are left: one soap spray is expected to take about half
    assert "12 to 8 counted" in said
    warm_bench.later(days=3).note(seen("spider_mite", labels("12")), text="1 mite on 12")
    assert "Spider mites on 12: working" in warm_bench.note(ask, decision="answer").text


def test_whether_it_worked_without_counts(warm_bench: Bench) -> None:
    warm_bench.note(seen("mealybug", labels("12")))
    warm_bench.note(act("treated", labels("12"), how="dab", product="ipa"))
    warm_bench.later(days=7).note(seen("mealybug", labels("12")))
    assert "not yet" in warm_bench.note(question("outcome"), decision="answer").text
    warm_bench.note(act("treated", labels("12"), how="dab", product="ipa"))
    warm_bench.later(days=7).note(seen("mealybug", labels("12"), "absent"))
    assert "too early" in warm_bench.note(question("outcome"), decision="answer").text
    warm_bench.later(days=7).note(seen("mealybug", labels("12"), "absent"))
    said = warm_bench.note(question("outcome"), decision="answer").text
    assert "working" in said
    assert "2 clean looks since" in said


def test_the_evidence_of_a_release(warm_bench: Bench) -> None:
    # 42 days and 500 degree-days above 8 °C (project default); at 20 °C 12 a day, so 42 days decide.
    warm_bench.note(act("isolated", labels("12"), when="2026-04-01"))
    early = warm_bench.note(act("released", labels("12")))
    assert "Out on your word: day 14 of 42" in early.text
    assert "roots not seen" in early.text
    warm_bench.note(act("isolated", labels("14"), when="2026-04-15"))
    warm_bench.note(act("unpotted", labels("14")), act("potted", labels("14")))
    warm_bench.at("2026-05-10T10:00").note(seen("pest", labels("14"), "absent"))
    warm_bench.at("2026-05-28T10:00").note(seen("pest", labels("14"), "absent"))
    late = warm_bench.note(act("released", labels("14"))).text
    assert "Day 43 of 42, 516 of 500 degree-days, 2 clean looks (10 May, 28 May), roots seen." in late
    assert "your word" not in late


def test_out_on_inspection_where_it_is_too_cool(cool_bench: Bench) -> None:
    cool_bench.note(act("isolated", labels("12")))
    assert "release_look" not in cool_bench.kinds()  # at 8 °C no degree-days come in
    cool_bench.note(act("unpotted", labels("12")), seen("pest", labels("12"), "absent"))
    cool_bench.later(days=15).note(seen("pest", labels("12"), "absent"))
    assert cool_bench.due("release_look").on.isoformat() == "2026-04-30"  # clean twice, 14 days apart


def test_the_neighbours_of_a_death_by_pest(bench: Bench) -> None:
    bench.note(act("moved", labels("12", "14", "15"), to="bench 1"))
    bench.note(act("died", labels("12"), cause="root_mealybug"))
    look = bench.due("follow_up")
    assert (look.about, look.on.isoformat()) == ("neighbours", "2026-04-22")  # after 7 days (common practice)
    assert [(one.kind, one.key) for one in look.refs] == [("place", "bench 1")]


def test_a_death_of_old_age_asks_for_no_look(bench: Bench) -> None:
    bench.note(act("moved", labels("12", "14"), to="bench 1"))
    bench.note(act("died", labels("12"), cause="cold"))
    assert "follow_up" not in bench.kinds()


def test_how_fast_the_growers_pots_dry(warm_bench: Bench) -> None:
    ask = question("dry_time", which={"pot_cm": 9.0})
    blind = warm_bench.note(ask, decision="answer").text
    assert "the model alone" in blind
    warm_bench.note(act("repotted", labels("12"), pot_cm=9.0, when="2026-01-01"))
    for _ in range(3):
        warm_bench.note(act("watered", labels("12")))
        model = warm_bench.due("dry_look").why["days"] / warm_bench.due("dry_look").why["factor"]
        warm_bench.later(days=round(model / 2)).note(seen("mix_dry", labels("12")))
    said = warm_bench.note(ask, decision="answer").text
    assert "times faster than the model (n = 3)" in said
    assert "Your 9s dry" in said


def test_the_neighbours_of_a_find(bench: Bench) -> None:
    bench.note(act("moved", labels("12", "14"), to="bench 1"), act("moved", labels("20"), to="bench 2"))
    bench.note(seen("mealybug", labels("12")))
    bench.note(seen("mealybug", labels("20")))  # stands alone
    (look,) = [one for one in bench.dues if one.kind == "follow_up"]
    assert (look.about, look.place, look.on.isoformat()) == ("beside", "bench 1", "2026-04-22")  # a week (common practice)
    bench.at("2026-04-22T10:00").note(seen("pest", {"places": ["bench 1"]}, "absent"))
    assert "follow_up" not in bench.kinds()
