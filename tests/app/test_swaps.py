"""Swaps in words: offered only with a yes where plants stand apart, promised once, sent, and the balance with a partner."""

from __future__ import annotations

import random

import pytest

from bot.app.swaps import balance_of, promises_of
from bot.care.events import CareEvent, effective
from bot.store import carelog
from tests.app.bench import Bench


def some(bench: Bench) -> Bench:
    bench.type("12-20 are rebutias on bench 2")
    bench.type("got 3 lobivias from Anna")
    return bench


@pytest.mark.parametrize(("before", "offer", "why"), [
    ("", "offer the lobivias", "in quarantine"),
    ("mites on 12", "offer 12", "a find that is still followed"),
    ("potted 14 into 7 cm", "offer 14", "settling in"),
])  # fmt: skip
def test_what_stands_apart_is_offered_only_with_a_yes(bench: Bench, before: str, offer: str, why: str) -> None:
    some(bench)
    if before:
        bench.type(before)
    said = bench.type(offer)
    assert said.written == []
    assert why in said.text
    assert [one.words for one in said.buttons] == ["yes", "no"]
    assert bench.type("no").written == []
    bench.type(offer)
    assert bench.type("yes").written == ["offered"]


def test_what_stands_free_is_offered_at_once(bench: Bench) -> None:
    assert some(bench).type("offer 13").written == ["offered"]


def test_a_promise_is_kept_counted_and_ends_with_the_parcel(bench: Bench) -> None:
    assert some(bench).type("promised 2 of the rebutias to Anna").written == ["offered"]
    assert "Anna: 2 of" in bench.type("what have i promised").text
    told = bench.type("promised 8 of the rebutias to Pia")
    assert told.written == []
    assert "only 7 left to promise; 2 are promised already" in told.text
    bench.type("gave 13 and 14 to Anna")
    assert bench.type("what have i promised").text == "Nothing is promised that has not gone."
    bench.type("undo")
    assert "Anna: 2 of" in bench.type("what did i promise Anna").text


def test_a_promise_is_no_offer_to_others_and_never_of_plants_apart(bench: Bench) -> None:
    some(bench).type("promised 13 to Anna")
    assert "offered" not in bench.standing.things[("plant", "13")].tally
    said = bench.type("promised the lobivias to Pia")
    assert said.written == []
    assert "in quarantine" in said.text


def test_the_balance_in_words(bench: Bench) -> None:
    some(bench).type("gave 13 to Anna")
    assert "Anna: 1 sent" in bench.type("whats my balance with Anna").text
    assert "you are 2 ahead" in bench.type("balance with anna").text
    bench.type("gave 14 and 15 to Anna")
    assert "even" in bench.type("do i owe Anna anything?").text
    assert bench.type("balance with Bob").text == "Nothing went to or came from Bob yet."


def test_the_second_collection_sees_none_of_it(bench: Bench) -> None:
    some(bench).type("promised 13 to Anna")
    other = Bench(bench.database, bench.settings, address="other", now=bench.now)
    other.type("1-3 are aloes")
    assert other.type("what have i promised").text == "Nothing is promised that has not gone."


@pytest.mark.parametrize("seed", range(6))
def test_never_more_promised_than_there_are_and_the_sums_agree(bench: Bench, seed: int) -> None:
    chance = random.Random(seed)
    bench.type("61-69 are rebutias on bench 2")
    here, sent = set(range(61, 70)), 0
    for _ in range(12):
        kind = chance.randrange(3)
        if kind == 0:
            bench.type(f"promised {chance.randint(1, 4)} of the rebutias to {chance.choice(('Anna', 'Pia'))}")
        elif kind == 1 and here:
            label = chance.choice(sorted(here))
            said = bench.type(f"gave {label} to Anna")
            here.discard(label)
            sent += "given" in said.written
        else:
            said = bench.type("undo")
            log = effective(_log(bench))
            sent = sum(one.what == "given" for one in log)
            here = set(range(61, 70)) - {int(ref.key) for one in log if one.what == "given" for ref in one.refs}
        log = effective(_log(bench))
        assert balance_of(log, "anna").sent == sent == 9 - len(here)
        for one in log:
            if one.facts.get("promised"):
                assert one.facts["promised"] <= 9
        assert all(one.count > 0 for one in promises_of(log))


def _log(bench: Bench) -> list[CareEvent]:
    with bench.database.read() as conn:
        return carelog.load(conn, bench.collection_id)


@pytest.mark.parametrize("words", ["keep the rebutias for spring", "keep 12 for weeks", "put aside 12 for repotting"])
def test_to_keep_something_is_no_promise(bench: Bench, words: str) -> None:
    assert "offered" not in some(bench).type(words).written
