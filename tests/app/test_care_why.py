"""Every kind of due thing says why: what it counts from, the rule or the sum, its source and how far to trust it."""

from __future__ import annotations

from typing import Any

import pytest

from bot.app.english.phrases import DUE
from bot.store import people
from tests.app.bench import Bench, act, asked, labels, question, seen

S3 = {"sowings": ["S3"]}
NOTES: dict[str, list[dict[str, Any]]] = {
    "pest_look": [seen("spider_mite", labels("12"))],
    "suspicion_look": [seen("spider_mite", labels("12"), "suspected")],
    "survivors_look": [seen("spider_mite", labels("12")), act("treated", labels("12"), how="spray", product="soap")],
    "treat_again": [seen("spider_mite", labels("12")), act("treated", labels("12"), how="spray", product="soap", course="1/3")],
    "intake_look": [act("acquired", labels("12"))],
    "isolation_look": [act("isolated", labels("12"))],
    "release_look": [act("isolated", labels("12"))],
    "dry_look": [act("watered", labels("12"))],
    "pot_up": [act("root_pruned", labels("12"))],
    "first_water": [act("repotted", labels("12"))],
    "hold_ends": [{"type": "hold", "which": labels("12"), "until": "2026-05-03"}],
    "hold_open": [{"type": "hold", "which": labels("12"), "cond": "until it buds"}],
    "sowing_look": [act("sown", S3, sown=50)],
    "sowing_review": [act("sown", S3, sown=50), act("germinated", S3 | {"count": 3}, total=True, when="2026-06-11")],
    "prick_out": [act("sown", S3, sown=50), act("germinated", S3 | {"count": 3}, total=True)],
    "rooted_look": [act("offsets_taken", labels("12"), count=3)],
    "ties_off": [act("grafted", labels("12"), count=3)],
    "union_look": [act("grafted", labels("12"), count=3)],
    "offset_look": [seen("pupping", labels("12"))],
    "follow_up": [seen("rot", labels("12"))],
    "rest_start": [act("named", labels("12"), name="mammillaria")],
    "reminder": [{"type": "reminder", "text": "check the heater", "due": "2026-05-01"}],
}
# What must stand in the answer beside the trust: where the count begins or what is known.
SAYS = {
    "pest_look": ("degree-days above", "your monthly normals"),
    "treat_again": ("degree-days above", "your monthly normals"),
    "isolation_look": ("of 500 degree-days above 8", "your monthly normals"),
    "release_look": ("of 500 degree-days above 8", "your monthly normals"),
    "dry_look": ("Watered 15 Apr", "9 cm plastic pot, half mix (assumed)", "humidity 77 % (assumed)", "your monthly normals"),
    "pot_up": ("7 days", "your note of 15 Apr", "cut roots", "mean of 20 °C (your monthly normals)"),
    "first_water": ("7 days", "your note of 15 Apr", "cleaned roots", "fibrous roots (assumed)", "mean of 20 °C"),
    "hold_ends": ("You asked for it on 15 Apr",),
    "hold_open": ("Your words: until it buds", "30 days", "your note of 15 Apr"),
    "follow_up": ("2 days", "your note of 15 Apr"),
    "rest_start": ("genus table, confidence A", "summer grower", "nights of about 15"),
    "reminder": ("You asked for it on 15 Apr",),
}
ASKED = {"hold_ends", "reminder"}  # the grower's own word is its own source


@pytest.mark.parametrize("kind", sorted(NOTES))
def test_why(warm_bench: Bench, kind: str) -> None:
    bench = warm_bench
    for entry in NOTES[kind]:
        if entry.get("when", "") > "2026-04-15":
            bench.at(f"{entry['when']}T10:00")
        bench.note(entry)
    bench.note(question("due", until="2028-01-01"), decision="answer")
    answer = bench.note(asked("why", _number(bench, kind)), decision="do").text
    assert len(answer.splitlines()) <= 5, answer
    for words in SAYS.get(kind, ()):
        assert words in answer, answer
    marks = ("published", "derived", "ommon practice", "roject default", "pot values are defaults")
    assert kind in ASKED or any(mark in answer for mark in marks), answer


def _number(bench: Bench, kind: str) -> int:
    """The number in the list shown last behind which a kind of due thing stands."""
    with bench.database.read() as conn:
        chat = people.find_chat(conn, "terminal", bench.address)
    assert chat is not None
    kinds = {one.key: one.kind for one in bench.dues}
    return next(number for number, line in enumerate(chat.talk["listed"], 1) if kinds[line.split("\n")[0]] == kind)


def test_an_input_that_is_changed_changes_the_date_at_once(warm_bench: Bench) -> None:
    warm_bench.note(act("repotted", labels("12")))
    before = warm_bench.due("first_water").on
    warm_bench.type("12: tap root 9 cm, body 5")  # a tap root waits 7 days longer (common practice)
    assert (warm_bench.due("first_water").on - before).days == 7
    warm_bench.note(question("due", until="2028-01-01"), decision="answer")
    why = warm_bench.note(asked("why", _number(warm_bench, "first_water")), decision="do").text
    assert "tap roots (your note)" in why


def test_all_kinds_are_asked_why() -> None:
    others = {"clear_look", "late_look", "rest_end", "midrest_look"}  # told of in test_care_ruling and the stories
    assert set(DUE) | {"reminder"} == set(NOTES) | others
