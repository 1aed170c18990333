"""Labels in words, and the card that a label opens."""

from __future__ import annotations

import pytest
import sqlalchemy as sa

from bot.app.sharing_talk import Links, reachable
from bot.care.events import Ref
from bot.messages import Attached
from bot.store import outbox, photos
from bot.store.tables import chats, inbox
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
    assert bench.type("/start p_n99").text.startswith("I don't know 99.")
    assert bench.type("watered it").events[0].refs[0].key == "12"  # what is not there is not spoken of


@pytest.mark.parametrize(
    "before", [(), ("watered 12", "fed 12", "repotted 12 in a 9", "12 has buds", "mites on 12", "12 is an offset of 13")]
)
def test_a_scanned_card_is_the_card(bench: Bench, before: tuple[str, ...]) -> None:
    some(bench)
    for words in before:
        bench.type(words)
    scanned, typed = bench.type("/start p_n12"), bench.type("card 12")
    assert (scanned.text, scanned.buttons, scanned.written) == (typed.text, typed.buttons, [])


def test_a_card_is_short_and_has_more(bench: Bench) -> None:
    some(bench)
    for words in ("watered 12", "fed 12", f"12 has buds, {'and the morning was so bright ' * 8}"):
        bench.type(words)
    card = bench.type("/start p_n12")
    assert max(map(len, card.text.splitlines())) <= 110
    assert "more notes: notes of 12" in card.text
    assert [one.words for one in card.buttons] == ["notes of 12"]
    assert "bright" in bench.type("notes of 12").text


def test_photos_stand_on_a_scanned_card(bench: Bench) -> None:
    some(bench).type("turned 12")
    with bench.database.write() as conn:
        row = conn.execute(sa.select(inbox.c.id)).scalars().first()
        chat = conn.execute(sa.select(chats.c.id)).scalar_one()
        assert row is not None
        photos.add(conn, chat, bench.collection_id, row, "file", "", bench.now.date(), bench.now)
        (kept,) = photos.of_collection(conn, bench.collection_id)
        photos.mark_kept(conn, kept.id, "2026/one.jpg")
        photos.file(conn, [kept.id], [Ref("plant", "12")])
    card = bench.type("/start p_n12")
    assert "1 photo: photos of 12" in card.text
    assert "photos of 12" in [one.words for one in card.buttons]
    assert "photo" not in bench.type("/start p_n13").text
