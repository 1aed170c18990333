"""Sowings, offsets and grafts: how a sowing did, and the looks that bring the young plants back."""

from __future__ import annotations

from tests.app.bench import Bench, act, asked, labels, question, seen

S3 = {"sowings": ["S3"]}


def test_how_a_sowing_did(bench: Bench) -> None:
    bench.note(act("sown", S3, sown=50, when="2026-04-06"))
    bench.note(act("germinated", S3 | {"count": 31}, total=True))
    said = bench.note(question("germination", which=S3), decision="answer").text
    # Wilson 1927: 31 of 50 lies between 48 and 74 % (95 %)
    assert said == "S3: 31 up, 62 % (n = 50), day 9; 95 % range 48-74."


def test_a_small_sowing_says_little(bench: Bench) -> None:
    bench.note(act("sown", S3, sown=5))
    bench.note(act("germinated", S3 | {"count": 0}, total=True))
    said = bench.note(question("germination", which=S3), decision="answer").text
    assert "0 up, 0 % (n = 5), day 0; 95 % range 0-43" in said  # Wilson 1927


def test_pricking_out_comes_after_half_a_year(bench: Bench) -> None:
    bench.note(act("sown", S3, sown=50))
    assert "prick_out" not in bench.kinds()
    bench.note(act("germinated", S3 | {"count": 31}, total=True))
    look = bench.due("prick_out")
    assert (look.on.isoformat(), str(look.until)) == ("2026-10-14", "2027-04-15")  # 6 to 12 months (common practice)
    bench.at("2026-10-14T10:00")
    listed = bench.note(question("due"), decision="answer").text
    number = next(line[0] for line in listed.splitlines() if "prick out" in line)
    bench.note(asked("done", int(number)), decision="do")
    assert "prick_out" not in bench.kinds()
    assert "follow_up" in bench.kinds()  # shade them for two weeks


def test_a_sowing_in_which_nothing_comes_up_is_reviewed(bench: Bench) -> None:
    bench.note(act("sown", S3, sown=20, when="2026-02-10"))
    bench.note(act("germinated", S3 | {"count": 0}, total=True, when="2026-04-07"))
    review = bench.due("sowing_review")
    assert review.on.isoformat() == "2026-04-11"  # 60 days (common practice)


def test_a_graft(bench: Bench) -> None:
    made = bench.note(act("grafted", labels("12"), count=3))
    assert "Ties off" in made.text
    assert bench.due("ties_off").on.isoformat() == "2026-04-22"
    assert str(bench.due("ties_off").until) == "2026-04-29"  # 7 to 14 days (common practice)
    assert bench.due("union_look").on.isoformat() == "2026-05-13"  # 2 to 4 weeks
    batch = bench.due("ties_off").refs[0]
    bench.at("2026-05-13T10:00").note(act("united", {"kind": "grafts", "count": 3}))
    assert bench.thing("batch", batch.key).tally["rooted"] == 3
    assert "union_look" not in bench.kinds()


def test_offsets_left_on_come_back_at_repotting_time(bench: Bench) -> None:
    bench.note(seen("pupping", labels("12")))
    assert bench.due("offset_look").on.isoformat() == "2027-03-01"
    bench.note(act("offsets_taken", labels("12")))
    assert "offset_look" not in bench.kinds()
