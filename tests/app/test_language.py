"""The language of a person: set in words, and an honest answer where it is not there; temperatures in the grower's units."""

from __future__ import annotations

from pathlib import Path

import pytest

from bot.app.language_words import asked_for, language_of, with_language
from bot.notes import languages
from bot.store.people import CollectionSettings

PLAIN = CollectionSettings(zone="Europe/London")


def test_each_person_has_a_language_of_their_own() -> None:
    languages.add("de", Path(__file__).parents[1] / "notes" / "data" / "german")
    try:
        settings = with_language(with_language(PLAIN, 7, "German"), 8, "english")
    finally:
        languages.remove("de")
    assert [language_of(settings, one) for one in (7, 8, 9)] == ["de", "en", "en"]
    assert CollectionSettings.from_json(settings.to_json()) == settings


@pytest.mark.parametrize("said", ["german", "Klingon", "de", ""])
def test_a_language_that_is_not_there_is_said_to_be_missing(said: str) -> None:
    with pytest.raises(ValueError, match="I read English only so far"):
        with_language(PLAIN, 7, said)


@pytest.mark.parametrize(
    ("words", "asked"),
    [
        ("language german", "german"),
        ("set language to english", "english"),
        ("my language is czech", "czech"),
        ("speak german", "german"),
        ("language", ""),
        ("set latitude 51", None),
    ],
)
def test_what_words_ask_for(words: str, asked: str | None) -> None:
    assert asked_for(words) == asked
