"""Another language is a folder of tables: a small German one, read by the same loader and the same rules, with no change of code.

The words are those of the German column of a table of seven languages (common practice in print: giessen, düngen, umtopfen,
Wollläuse, Spinnmilben, Sämling, pikieren; the rest from memory), enough for a handful of notes and no more.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from bot.care.known_names import Names
from bot.notes import languages, lexicon
from bot.notes.reader import explain, read
from bot.notes.reading import ACTS, SIGNS
from tests.corpus.test_corpus import NOW, facts

GERMAN = Path(__file__).parent / "data" / "german"
NAMES = Names(
    places=("bank 1", "bank 2", "frühbeet"), nicknames={"der oberst": "41"}, people=("Heike",), sowings=("S12",), labels=(1, 612)
)
NOTES = (
    ("bank 2 gegossen", "log | event watered @places=bank 2"),
    ("Gestern Bank 2 gegossen", "log | event watered @places=bank 2 when=2026-04-14"),
    ("letzten Sonntag Bank 2 gegossen", "log | event watered @places=bank 2 when=2026-04-12"),
    ("am Sonntag Bank 2 giessen", "remind | reminder watered @places=bank 2 due=2026-04-19"),
    ("morgen Bank 1 gießen", "remind | reminder watered @places=bank 1 due=2026-04-16"),
    ("41 umgetopft", "log | event repotted @labels=41"),
    ("der Oberst umgetopft", "log | event repotted @nicknames=der oberst"),
    ("41 eingegangen", "log | event died @labels=41"),
    ("vier Sämlinge pikiert", "log_ask/which | event pricked_out @kind=seedlings @count=4"),
    ("die Rebutien gegossen", "log | event watered @taxa=rebutia"),
    ("alle Rebutien gegossen außer 41", "log | event watered @taxa=rebutia @except=(labels=41)"),
    ("Wollläuse auf 41", "log | finding mealybug @labels=41 status=present"),
    ("Läuse auf 41", "log | finding pest @labels=41 status=present"),
    ("keine Spinnmilben auf Bank 2", "log | finding spider_mite @places=bank 2 status=absent"),
    ("Spinnmilben weg auf 41", "log | finding spider_mite @labels=41 status=cleared"),
    ("vielleicht Schildläuse auf 41", "log | finding scale_insect @labels=41 status=suspected"),
    ("nichts auf Bank 2", "log | finding pest @places=bank 2 status=absent"),
    ("Bank 2 gegossen, Wollläuse auf 43", "log | event watered @places=bank 2 | finding mealybug @labels=43 status=present"),
    ("Frühbeet gelüftet", "log | event vented @places=frühbeet"),
    ("wann habe ich Bank 2 zuletzt gegossen?", "answer | question watered @places=bank 2 about=last_done"),
    ("wann habe ich Bank 2 zuletzt gegossen", "answer | question watered @places=bank 2 about=last_done"),
    ("wo ist 41?", "answer | question where @labels=41"),
    ("wie viele Lithops habe ich", "answer | question count @taxa=lithops"),
    ("min 4 max 19", "log | climate min_c=4 max_c=19"),
)


@pytest.fixture(autouse=True)
def german() -> Iterator[None]:
    languages.add("de", GERMAN)
    yield
    languages.remove("de")


@pytest.mark.parametrize(("note", "wanted"), NOTES)
def test_a_note_in_german(note: str, wanted: str) -> None:
    assert facts(read(note, NOW, NAMES, language="de")) == wanted
    assert facts(read(note + ".", NOW, NAMES, language="de")) == wanted or note.endswith("?")


def test_german_is_one_of_the_languages_and_english_is_read_as_before() -> None:
    assert languages.known() == ("en", "de")
    assert facts(read("watered bank 2", NOW, NAMES)) == "log | event watered @places=bank 2"
    assert "died" not in facts(read("41 eingegangen", NOW, NAMES))


def test_a_slip_in_german_is_put_right_by_german_words() -> None:
    assert facts(read("Wolläuse auf 41", NOW, NAMES, language="de")) == "log | finding mealybug @labels=41 status=present"


def test_the_meanings_of_its_tables_are_the_shared_ones() -> None:
    own = [row for row in lexicon.rows("de") if row.family in ("act", "sign")]
    assert {row.meaning for row in own if row.family == "act"} <= ACTS
    assert {row.meaning for row in own if row.family == "sign"} <= SIGNS
    assert all(word.isascii() for word in languages.canonical("de").values())


def test_every_example_of_its_tables_reads_to_its_meaning() -> None:
    for row in lexicon.rows("de"):
        if row.family in ("act", "sign"):
            said = facts(read(row.example, NOW, NAMES, language="de"))
            assert f" {row.meaning}" in said, row


def test_what_was_read_is_explained_with_spans_of_the_note_as_typed() -> None:
    assert "watered" in explain("Gestern Bank 2 gegossen", NOW, NAMES, language="de")
    (entry,) = read("Gestern Bank 2 gegossen", NOW, NAMES, language="de").entries
    assert entry.span == (0, 23)


def test_a_language_that_is_not_there_is_read_as_english() -> None:
    assert facts(read("watered bank 2", NOW, NAMES, language="cs")) == "log | event watered @places=bank 2"
