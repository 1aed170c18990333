"""A parcel between two growers who both have a bot: two databases, and messages that are sent on."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from bot.store.database import open_database
from tests.app.bench import Bench

SLIP, RECEIPT = re.compile(r"^SLIP1\.\S+$", re.MULTILINE), re.compile(r"^GOT1\.\S+$", re.MULTILINE)


@pytest.fixture
def fen(bench: Bench) -> Bench:
    """The sender, with some plants."""
    bench.at("2026-05-04T10:15")
    bench.type("31-34 are rebutia minuscula on the long bench")
    bench.type("got 9 lobivia ferox from Maeve for 30 euro")
    bench.type("40 is Copiapoa cinerea KK 608")
    return bench


@pytest.fixture
def orla(tmp_path: Path) -> Iterator[Bench]:
    """The partner, on a database of her own."""
    database = open_database(tmp_path / "orla.db")
    yield Bench(database, address="orla", now=datetime(2026, 5, 6, 9, tzinfo=UTC))
    database.close()


def slip(fen: Bench) -> str:
    fen.type("gave 31, 32 and 40 to Orla")
    return fen.type("slip for Orla from Fen").text


def counts(bench: Bench) -> dict[str, int | None]:
    return {one.taxon: one.count for one in bench.standing.plants() if one.kind == "lot"}


def test_what_was_sent_is_taken_in_and_both_balances_agree(fen: Bench, orla: Bench) -> None:
    message = slip(fen)
    offered = orla.type(message)
    assert offered.written == []
    assert "A parcel from Fen" in offered.text
    assert "2 \N{MULTIPLICATION SIGN} Rebutia minuscula" in offered.text
    assert [one.words for one in offered.buttons] == ["yes", "no"]
    taken = orla.type("yes")
    assert taken.written == ["acquired", "acquired", "taken"]
    assert counts(orla) == {"Rebutia minuscula": 2, "Copiapoa cinerea": 1}
    assert all(one.isolated_on is not None for one in orla.standing.plants() if one.kind == "lot")  # arrival starts quarantine
    assert "3 got" in orla.type("balance with Fen").text
    receipt = RECEIPT.search(taken.text)
    assert receipt is not None
    came = fen.type(receipt[0])
    assert came.text.startswith("Orla has all 3")
    assert "did they arrive" not in fen.type("whats due").text
    assert "3 sent" in fen.type("balance with Orla").text


def test_only_what_a_partner_may_see_is_on_it(fen: Bench) -> None:
    message = slip(fen)
    for kept_back in ("Maeve", "30", "KK 608", "long bench", "31", "40"):
        assert kept_back not in SLIP.sub("", message)


def test_a_part_came(fen: Bench, orla: Bench) -> None:
    orla.type(slip(fen))
    taken = orla.type("only 1 of the rebutias came")
    assert counts(orla) == {"Rebutia minuscula": 1, "Copiapoa cinerea": 1}
    receipt = RECEIPT.search(taken.text)
    assert receipt is not None
    told = fen.type(receipt[0]).text
    assert "Orla has 2 of 3" in told
    assert "Missing: 1 \N{MULTIPLICATION SIGN} Rebutia minuscula" in told
    assert "1 lost on the way" in fen.type("balance with Orla").text


@pytest.mark.parametrize("words", ["5 of the rebutias came", "1 of the aloes came", "2 came"])
def test_what_cannot_be_of_the_parcel_writes_nothing(fen: Bench, orla: Bench, words: str) -> None:
    orla.type(slip(fen))
    assert "taken" not in orla.type(words).written


def test_no_leaves_it_and_it_may_come_again(fen: Bench, orla: Bench) -> None:
    message = slip(fen)
    orla.type(message)
    assert orla.type("no").written == []
    orla.type(message)
    assert "taken" in orla.type("yes, from Finn").written
    assert "3 got" in orla.type("balance with Finn").text


def test_a_second_time_it_is_not_taken_but_after_an_undo(fen: Bench, orla: Bench) -> None:
    message = slip(fen)
    orla.type(message)
    orla.type("yes")
    again = orla.type(message)
    assert again.written == []
    assert "was taken in" in again.text
    assert orla.type("undo").text.startswith("Taken back: In: 1 Copiapoa cinerea from Fen")
    assert counts(orla) == {}
    orla.type(message)
    assert "taken" in orla.type("yes").written


def test_ones_own_slip_and_a_strange_receipt_are_told(fen: Bench, orla: Bench) -> None:
    message = slip(fen)
    assert "slip of your own" in fen.type(message).text
    orla.type(message)
    receipt = RECEIPT.search(orla.type("yes").text)
    assert receipt is not None
    assert "belongs to no slip of yours" in orla.type(receipt[0]).text
    fen.type(receipt[0])
    said = fen.type(receipt[0])
    assert said.written == []
    assert "noted today already" in said.text


def test_a_damaged_slip_writes_nothing(fen: Bench, orla: Bench) -> None:
    message = slip(fen)
    for bad in (message[:-3], message.replace("SLIP1.e", "SLIP1.f"), message[:-40]):
        said = orla.type(bad)
        assert said.written == []
        assert "not whole" in said.text


def test_the_two_may_share_one_bot(fen: Bench) -> None:
    other = Bench(fen.database, fen.settings, address="orla", now=fen.now)
    other.type("1-3 are aloes")
    other.type(slip(fen))
    assert "taken" in other.type("yes").written
    assert sum(one or 0 for one in counts(other).values()) == 3
    assert counts(fen) == {"Lobivia ferox": 9}


def test_a_slip_after_two_days_is_no_question_any_more(fen: Bench, orla: Bench) -> None:
    orla.type(slip(fen))
    assert orla.later(days=3).type("yes").written == []
