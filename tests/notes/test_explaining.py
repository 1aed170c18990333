"""What `read --explain` shows: the words as they were taken, the rules that fired, what came of each part, why it asks."""

from __future__ import annotations

import pytest

from bot.notes.reader import explain
from tests.corpus.test_corpus import NAMES, NOW, corpus


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("soaked four, mites found", "'four': number word"),
        ("soaked four, mites found", "event: 'soaked' is watered"),
        ("soaked four, mites found", "'soaked four' -> event watered @count=4 how=soak"),
        ("soaked four, mites found", "decision: log_ask, asks which"),
        ("soaked four, mites found", "because: a part of a set (which)"),
        ("watered  bench 1", "'watered bench 1' -> event watered @places=bench 1"),
        ("wtred the rebuttias", "'rebuttias' read as 'rebutias': taxon rebutia"),
        ("dry the 6 roots till sat", "'dry': sign mix_dry, by its neighbours act set_to_dry"),
        ("watered bench 1. when did i last feed tray 3?", "read by itself: 'watered bench 1.'"),
        ("watered bench 1. when did i last feed tray 3?", "question: last_done"),
        ("12 died", "because: the number may be a label or a count (which), nothing is written before"),
        ("no that was 5 not 4", "correction: count, by contrast"),
        ("done 1 and 3", "request: numbers of the due list"),
        ("check 41 friday", "'check 41 friday' -> reminder inspected @labels=41 due=2026-04-17"),
    ],
)
def test_it_shows(text: str, shown: str) -> None:
    assert shown in explain(text, NOW, NAMES)


def test_every_note_that_asks_says_why_and_every_other_that_writes_names_a_rule() -> None:
    for _, phrase, wanted in corpus():
        said = explain(phrase, NOW, NAMES)
        assert ("because: " in said) == wanted.startswith(("ask", "log_ask")), phrase
        if " | event" in wanted or " | finding" in wanted:
            rules = said.partition("rules:\n")[2].partition("entries:")[0]
            assert rules.strip() or "because: " in said, phrase


def test_a_numbered_list_is_explained_in_its_own_words() -> None:
    said = explain("1) photo of 88 done 2) label lost: the grey one", NOW, NAMES)
    assert "  'photo of': act photographed" in said
    assert "'label lost: the grey one' -> event label_lost" in said
