"""A minute that was asked for: it rings once and is over with its day; what is to be done stays until it is done."""

from __future__ import annotations

from bot.app.intake import rebuild
from tests.app.bench import Bench


def test_a_timer_rings_once_and_is_gone_the_next_morning(bench: Bench) -> None:
    bench.type("12 is a rebutia")
    bench.type("take them out in 15 min")
    assert bench.later(minutes=16).rounds() == ["Take them out in 15 min."]
    assert bench.later(minutes=1).rounds() == []
    bench.at("2026-04-16T08:00")
    assert not [said for said in bench.rounds() if "take them out" in said.lower()]
    assert "take them out" not in bench.type("whats due").text.lower()
    rebuild(bench.database, bench.now)
    assert not [one for one in bench.dues if one.kind == "reminder"]


def test_words_with_a_time_of_the_day_ring_then(bench: Bench) -> None:
    bench.type("12 is a rebutia")
    said = bench.type("remind me tonight at 9 to shut the vents")
    assert "21:00" in said.text
    bench.at("2026-04-15T20:59").rounds()
    assert bench.at("2026-04-15T21:00").rounds() == ["Shut the vents."]


def test_an_act_that_was_asked_for_at_a_time_stays_until_it_is_done(bench: Bench) -> None:
    bench.type("12 is a rebutia")
    bench.type("remind me at 18:00 to water 12")
    assert len(bench.at("2026-04-15T18:00").rounds()) == 1
    bench.at("2026-04-16T08:00")
    assert "water 12" in bench.type("whats due").text
    bench.type("watered 12")
    assert "water 12" not in bench.type("whats due").text
