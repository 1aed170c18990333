"""Each colliding word of the bench has corpus lines where it means what the trade means by it, and lines where it does not.

The words and what tells their senses apart are the cue rules of this trade (common practice): "sat dry" is no Saturday, "sep 4
pups" no September, "may water" no May, "jan gave me two" no January. `MEANS` says by what a reading shows that the word was taken
in the sense named first; the other sense is a line with the word in it whose reading does not show that.
"""

from __future__ import annotations

import re

import pytest

from tests.corpus.test_corpus import corpus

MEANS = {
    "may": ("the month", r"=2026-05|=2025-05"),
    "march": ("the month", r"=2026-03|=2025-03"),
    "jan": ("the month", r"=2026-01|=2025-01"),
    "sep": ("taking offsets off", r"offsets_taken|divided"),
    "sat": ("the day", r"=2026-04-11|=2026-04-18"),
    "sun": ("the day", r"=2026-04-12|=2026-04-19"),
    "second": ("the ordinal", r"course=|total=|event (fed|watered|treated)"),
    "spring": ("the season", r"=2026-0[2-6]|=2025-0[2-6]|rest_(started|ended)"),
    "rest": ("the remainder", r"@refer=rest"),
    "dry": ("drying as an act", r"set_to_dry"),
    "lost": ("a death", r"event died"),
    "gone": ("a pest that is gone", r"status=cleared"),
    "scale": ("the insect", r"scale_insect"),
    "spotted": ("the two-spotted mite", r"spider_mite"),
    "soaked": ("a watering", r"event watered"),
    "lights": ("shade or cover", r"shaded|unshaded|covered|uncovered|heated|vented"),
    "check": ("a look", r"inspected"),
    "mealy": ("the insect", r"mealybug"),
    "turned": ("turned round", r"event turned"),
    "free": ("without pests", r"status=absent"),
    "clean": ("no pest seen", r"finding pest .*status=absent"),
    "water": ("the act", r"watered|watering"),
    "fed": ("a feed", r"event fed"),
    "up": ("germinated", r"germinated"),
    "evening": ("the evening before", r"when=2026-04-14"),
}


def lines_with(word: str) -> list[tuple[str, str]]:
    """Return (phrase, reading) of the corpus lines that hold a word."""
    found = re.compile(rf"(?<![\w'-]){re.escape(word)}(?![\w'-])", re.IGNORECASE)
    return [(phrase, wanted) for _, phrase, wanted in corpus() if found.search(phrase)]


@pytest.mark.parametrize("word", MEANS)
def test_a_colliding_word_has_lines_for_both_senses(word: str) -> None:
    sense, shown = MEANS[word]
    lines = lines_with(word)
    taken = [phrase for phrase, wanted in lines if re.search(shown, wanted)]
    refused = [phrase for phrase, wanted in lines if not re.search(shown, wanted)]
    assert len(taken) >= 2, f"{word!r} as {sense}: {taken}"
    assert len(refused) >= 2, f"{word!r} not as {sense}: {refused}"


def test_a_bare_number_is_a_label_a_count_and_a_question() -> None:
    bare = [(phrase, wanted) for _, phrase, wanted in corpus() if re.fullmatch(r"\D*\b\d{1,3}\b\D*", phrase)]
    assert sum("@labels=" in wanted for _, wanted in bare) >= 20
    assert sum("@count=" in wanted for _, wanted in bare) >= 10
    assert sum(wanted.startswith("ask") for _, wanted in bare) >= 5


@pytest.mark.parametrize("size", [9, 11])
def test_a_number_with_s_is_pots_of_that_size_and_never_a_label(size: int) -> None:
    lines = lines_with(f"{size}s")
    assert sum(f"pot_cm={size}" in wanted for _, wanted in lines) >= 2
    assert [phrase for phrase, wanted in lines if re.search(rf"@labels=([^@|]*; )?{size}\b", wanted)] == []
