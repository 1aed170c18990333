"""Labels in words, and the card that a label opens."""

from __future__ import annotations

import pytest

from bot.app.sharing_talk import Links, reachable
from bot.messages import Attached
from bot.store import outbox
from tests.app.bench import Bench


def files(bench: Bench) -> tuple[Attached, ...]:
    """What goes with the message that waits to be sent last."""
    last: tuple[Attached, ...] = ()
    with bench.database.write() as conn:
        while rows := outbox.claim(conn, bench.now, 60):
            last = rows[-1].outgoing.files
            outbox.mark_sent(conn, rows[-1].id, "1", bench.now)
    return last


def some(bench: Bench) -> Bench:
    with bench.database.write() as conn:
        reachable(conn, Links("https://t.me/some_bot?start="), bench.now)
    bench.type("12-14 are rebutia minuscula on bench 2")
    bench.type("20 is a lobivia")
    return bench


@pytest.mark.parametrize(
    ("words", "numbers"),
    [
        ("labels for bench 2", ["12", "13", "14"]),
        ("labels for 12 and 20 on sticks", ["12", "20"]),
        ("print labels for the rebutias", ["12", "13", "14"]),
        ("make labels", ["12", "13", "14", "20"]),
        ("send me labels for bench 2", ["12", "13", "14"]),
    ],
)
def test_labels_for_what_is_named(bench: Bench, words: str, numbers: list[str]) -> None:
    said = some(bench).type(words)
    assert said.written == []
    assert f"{len(numbers)} labels" in said.text
    (file,) = files(bench)
    assert [one[0] for one in file.recipe["labels"]] == numbers
    assert file.recipe["labels"][0][3] == f"https://t.me/some_bot?start=p_n{numbers[0]}"


def test_a_size_in_words(bench: Bench) -> None:
    assert "60 x 25 mm" in some(bench).type("labels for bench 2, 60x25").text
    assert "125 x 20 mm sticks" in bench.type("labels for 12 on sticks").text


@pytest.mark.parametrize("words", ["labels for 99", "labels for bench 7"])
def test_labels_for_nothing(bench: Bench, words: str) -> None:
    assert some(bench).type(words).text.startswith("No plant with a number is meant")
    assert files(bench) == ()


def test_a_label_opens_the_card(bench: Bench) -> None:
    said = some(bench).type("/start p_n12")
    assert said.written == []
    assert said.text.startswith("12 (Rebutia minuscula): bench 2")
    assert bench.type("watered it").events[0].refs[0].key == "12"
    assert bench.type("/start p_n99").text == "I don't know that one."
