"""The law as a caution in words: on request, and where plants cross a border; never at home."""

from __future__ import annotations

import pytest

from tests.app.bench import Bench


def some(bench: Bench) -> Bench:
    for words in ("12-15 are rebutia minuscula on bench 2", "20 is Ariocarpus retusus", "22 is a lithops"):
        bench.type(words)
    return bench


def test_a_question_is_answered_with_its_date_and_whom_to_ask(bench: Bench) -> None:
    said = some(bench).type("is 20 on cites?")
    assert said.written == []
    assert said.text.startswith("Ariocarpus retusus: CITES I, as Ariocarpus spp.")
    assert "As of 6 Mar 2025" in said.text
    assert "ask your CITES authority" in said.text
    assert bench.type("cites status of 22").text.startswith("Lithops: not listed.")
    assert "unknown, ask" in bench.type("is zzyzx minor on cites").text


def test_all_that_is_listed_the_strictest_first(bench: Bench) -> None:
    lines = some(bench).type("which of my plants are on cites").text.splitlines()
    assert [one.partition(":")[0] for one in lines[:2]] == ["Ariocarpus retusus", "Rebutia minuscula"]


def test_a_gift_over_a_border_brings_the_papers_up_and_one_at_home_does_not(bench: Bench) -> None:
    some(bench)
    for words in ("i live in Germany", "Anna lives in the UK", "Pavel lives in Austria"):
        bench.type(words)
    assert "papers" not in bench.type("sent 13 to Pavel in Austria").text
    told = bench.type("gave 12 to Anna").text
    assert "Across a border plants usually need papers" in told
    assert "Across a border" not in bench.type("gave 14 to Anna").text  # at most once a day


def test_where_somebody_lives_can_be_taken_back(bench: Bench) -> None:
    some(bench).type("i live in Germany")
    assert bench.type("Anna lives in the UK").text.startswith("Anna is in United Kingdom")
    bench.type("undo")
    assert "Across a border" not in bench.type("gave 12 to Anna").text


@pytest.mark.parametrize("words", ["i live in hope", "country music on", "Anna lives in peace"])
def test_what_is_no_country_is_no_place_to_live(bench: Bench, words: str) -> None:
    said = some(bench).type(words)
    assert said.written == []
    assert "Noted: you are in" not in said.text
