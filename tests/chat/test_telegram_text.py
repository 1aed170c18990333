"""Long texts in parts that Telegram takes, and the data of buttons."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.chat.telegram_text import TEXT_UNITS, keyboard, parts, pressed, units, words_of
from bot.messages import Button, Outgoing

MESSAGE = Outgoing("Watered 4.", ((Button("undo", "undo"), Button("why", "why that")), (Button("more", "show all"),)))


@given(st.text(st.characters(exclude_categories=()), max_size=400), st.integers(2, 50))
def test_parts_fit_and_lose_no_letter(text: str, most_units: int) -> None:
    found = parts(text, most_units)
    assert all(0 < len(one.encode("utf-16-le")) // 2 <= most_units for one in found)
    assert all(one.strip() for one in found)
    clean = "".join("�" if "\ud800" <= letter <= "\udfff" else letter for letter in text)
    assert "".join("".join(found).split()) == "".join(clean.split())


def test_lines_are_kept_together_where_they_fit() -> None:
    assert parts("one two\nthree four\nfive", 14) == ["one two", "three four", "five"]
    assert parts("one two\nthree four\nfive", 18) == ["one two\nthree four", "five"]


def test_words_are_kept_together_where_a_line_is_too_long() -> None:
    assert parts("one two three four", 9) == ["one two", "three", "four"]


def test_a_pair_is_not_cut() -> None:
    cacti = "\N{CACTUS}" * 5
    assert parts(cacti, 5) == ["\N{CACTUS}" * 2, "\N{CACTUS}" * 2, "\N{CACTUS}"]
    assert units(cacti) == 10


def test_the_limit_itself_is_one_part() -> None:
    assert len(parts("x" * TEXT_UNITS)) == 1
    assert len(parts("x" * (TEXT_UNITS + 1))) == 2
    assert parts(" \n ") == []


def test_each_button_names_its_row_and_number() -> None:
    markup = keyboard(2**63 - 1, MESSAGE)
    assert markup
    data = [str(button.callback_data) for row in markup.inline_keyboard for button in row]
    assert [pressed(one) for one in data] == [(2**63 - 1, 0), (2**63 - 1, 1), (2**63 - 1, 2)]
    assert max(len(one.encode()) for one in data) <= 64
    assert [words_of(MESSAGE, number) for number in range(4)] == ["undo", "why that", "show all", None]
    assert keyboard(1, Outgoing("Nothing due.")) is None


@pytest.mark.parametrize("data", ["", "v1:", "v1:1", "v1:1:0\n", "v1:-1:0", "v2:1:0", "v1:1:0:0", "v1:99999999999999999999:0"])
def test_other_data_is_no_button_of_ours(data: str) -> None:
    assert pressed(data) is None
