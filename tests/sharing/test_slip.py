"""Slips and receipts as one word: back to the same, and nothing else is taken."""

from __future__ import annotations

import base64
import hashlib
import json
import zlib
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.sharing.slip import MOST_ROWS, STATES, Parcel, Receipt, Slip, SlipProblem, found_in, receipt_word, slip_word

SLIP = Slip(
    "00c0ffee00c0ffee",
    date(2026, 5, 4),
    "Fen",
    "Orla",
    (Parcel("Rebutia minuscula", 2, 7.5), Parcel("Lobivia", 3, None, "rooted")),
)
NAMES = st.sampled_from(("Rebutia minuscula", "Lobivia cf. ferox", "Echeveria 'Topsy Turvy'", "Lithops"))
PARCELS = st.builds(Parcel, NAMES, st.integers(1, 999), st.none() | st.sampled_from((5.0, 7.5, 100.0)), st.sampled_from(STATES))
SLIPS = st.builds(
    Slip, st.text("0123456789abcdef", min_size=16, max_size=16), st.dates(), st.sampled_from(("", "Fen", "Aoife-Mae O'Dowd")),
    st.sampled_from(("", "Orla")), st.lists(PARCELS, min_size=1, max_size=MOST_ROWS).map(tuple),
)  # fmt: skip


@settings(deadline=None)  # tests are not timed
@given(
    SLIPS,
    st.sampled_from(("", "Parcel for Orla:\n3 \N{MULTIPLICATION SIGN} Lithops\n", "> ")),
    st.sampled_from(("", " .", "\nsee you, Fen")),
)
def test_a_slip_comes_back_out_of_any_message(slip: Slip, before: str, behind: str) -> None:
    word = slip_word(slip)
    assert found_in(f"{before}{word}{behind}") == slip
    assert found_in(before + word[:30] + "\n  " + word[30:] + behind) == slip  # a mail broke the line


@settings(deadline=None)  # tests are not timed
@given(st.lists(st.integers(0, 999), min_size=1, max_size=MOST_ROWS))
def test_a_receipt_comes_back(counts: list[int]) -> None:
    receipt = Receipt("00c0ffee00c0ffee", date(2026, 5, 6), tuple(counts))
    assert found_in(f"here: {receipt_word(receipt)}") == receipt


def test_a_full_slip_fits_into_one_message() -> None:
    """Telegram's limit is 4,096 UTF-16 units."""
    rows = tuple(
        Parcel(f"Rebutia minuscula subsp. grandiflora 'Seedling {number}'", 900 + number, 7.5, "unrooted")
        for number in range(MOST_ROWS)
    )
    word = slip_word(Slip("00c0ffee00c0ffee", date(2026, 5, 4), "Fen", "Orla", rows))
    lines = sum(len(one.name) + 30 for one in rows)
    assert len(word) + lines < 4_000
    assert found_in(word) is not None


@settings(deadline=None)  # tests are not timed
@given(st.data())
def test_one_changed_letter_is_noticed(data: st.DataObject) -> None:
    word = slip_word(SLIP)
    at = data.draw(st.integers(word.index(".") + 1, len(word) - 1))
    other = data.draw(st.sampled_from([one for one in "abcXYZ019_-" if one != word[at]]))
    if word[at] != ".":
        with pytest.raises(SlipProblem):
            found_in(f"{word[:at]}{other}{word[at + 1 :]}")


@pytest.mark.parametrize("text", ["", "slip for Anna", "SLIP 1", "watered 12", "got1. that"])
def test_other_words_hold_no_slip(text: str) -> None:
    assert found_in(text) is None


@pytest.mark.parametrize("length", [14, 30, 60, 100])
def test_a_slip_that_was_cut_is_said_to_be(length: int) -> None:
    with pytest.raises(SlipProblem, match="damaged"):
        found_in(slip_word(SLIP)[:length])


def test_a_newer_one_is_told_apart() -> None:
    with pytest.raises(SlipProblem, match="newer"):
        found_in(slip_word(SLIP).replace("SLIP1.", "SLIP2."))


def forged(values: object) -> str:
    """A slip with any content and a sum that fits, as whoever reads this code can make one."""
    packed = base64.urlsafe_b64encode(zlib.compress(json.dumps(values).encode())).decode().rstrip("=")
    made = base64.urlsafe_b64encode(hashlib.sha256(f"SLIP1.{packed}".encode()).digest()[:6]).decode()
    return f"SLIP1.{packed}.{made}"


GOOD = ["00c0ffee00c0ffee", "2026-05-04", "Fen", "Orla", [["Lithops", 1, None, ""]]]


def test_the_forger_of_this_test_makes_what_is_taken() -> None:
    assert isinstance(found_in(forged(GOOD)), Slip)


@pytest.mark.parametrize(("field", "value"), [
    (0, "../../etc"), (0, 7), (1, "someday"), (1, None), (2, "=HYPERLINK(1)"), (2, "a" * 40), (3, ["Orla"]), (4, []), (4, "x"),
    (4, [["Lithops", 0, None, ""]]), (4, [["Lithops", -3, None, ""]]), (4, [["Lithops", 10**9, None, ""]]),
    (4, [["Lithops", True, None, ""]]), (4, [["Lithops", 1, 1e300, ""]]), (4, [["Lithops", 1, None, "gilded"]]),
    (4, [["Lithops", 1]]), (4, [["Lithops", 1, None, ""]] * 41), (4, {"a": 1}), (4, [[["Lithops"], 1.5, None, ""]]),
])  # fmt: skip
def test_a_forged_slip_of_impossible_values_is_not_taken(field: int, value: object) -> None:
    values: list[object] = list(GOOD)
    values[field] = value
    with pytest.raises(SlipProblem, match="damaged"):
        found_in(forged(values))


def test_a_bomb_is_not_unfolded() -> None:
    with pytest.raises(SlipProblem, match="damaged"):
        found_in(forged([*GOOD[:4], [["L" * 60_000, 1, None, ""]]]))


@pytest.mark.parametrize("name", ["=cmd()", "<b>x</b>", "Lobivia ferox from the mine at Oruro", "\u202etxt", "{{7*7}}", "../x"])
def test_a_name_comes_in_by_the_codes_or_not_at_all(name: str) -> None:
    found = found_in(forged([*GOOD[:4], [[name, 1, None, ""]]]))
    assert isinstance(found, Slip)
    assert found.rows[0].name in ("", "Lobivia ferox")
