"""Several growers who share one bot: each story over both databases; what the player must find is planted and found."""

from __future__ import annotations

from pathlib import Path

import pytest

from bot.store.database import open_database
from tests.stories.dialogue import Differs
from tests.stories.growers import Plain, Sent, Tale, play, strays, tale

TALES = sorted((Path(__file__).parent / "two").glob("*.txt"))


@pytest.mark.parametrize("path", TALES, ids=lambda path: path.stem)
def test_each_hears_of_their_own_alone(path: Path, tmp_path: Path) -> None:
    _played(path, tmp_path / "two.db")


@pytest.mark.parametrize("path", TALES, ids=lambda path: path.stem)
def test_on_a_server_too(path: Path, migrated_server_address: str) -> None:
    _played(path, migrated_server_address)


def _played(path: Path, place: Path | str) -> None:
    told = tale(path.read_text(encoding="utf-8"))
    assert any(move.wanted for move in told.moves)
    assert all(len(words) > 1 for words in told.alone.values())
    database = open_database(place)
    try:
        heard = play(told, Plain(database, list(told.alone)))
    finally:
        database.close()
    everything = [one for sent in heard for one in sent]
    for owner, words in told.alone.items():  # words that nobody ever sees would hide nothing
        own = " ".join(f"{one.text} {one.besides}" for one in everything if one.to == owner).casefold()
        assert sum(word.casefold() in own for word in words) >= 3


@pytest.mark.parametrize(("line", "complaint"), [
    ("Ada< tray 4", "is missing"),
    ("Ada! tray 3", "must not be there"),
    ("Bo< tray 3", "Bo: "),
])  # fmt: skip
def test_a_wrong_expectation_fails(line: str, complaint: str, tmp_path: Path) -> None:
    text = f"@ 2026-04-15T10:40Z\nAda> remind me to turn tray 3 on friday\n@ 2026-04-18T10:40Z\n{line}\n"
    database = open_database(tmp_path / "wrong.db")
    try:
        with pytest.raises(Differs, match=complaint):
            play(tale(text), Plain(database, ["Ada", "Bo"]))
    finally:
        database.close()


def test_a_word_that_strays_is_found() -> None:
    told = Tale({"Ada": ["heliosa"], "Bo": ["gumtree"]}, [])
    assert list(strays(told, [Sent("Bo", "Watered 12 (Rebutia Heliosa).")])) == ["Bo was told of Ada's heliosa"]
    assert list(strays(told, [Sent("Bo", "Watered 12.", '[["undo"], "heliosa.csv"]')])) == ["Bo was told of Ada's heliosa"]
    assert list(strays(told, [Sent("Ada", "12 is Rebutia heliosa.")])) == []


def test_an_unreadable_tale_fails() -> None:
    with pytest.raises(ValueError, match="line 2"):
        tale("@ 2026-04-15T10:40Z\nand then?\n")
