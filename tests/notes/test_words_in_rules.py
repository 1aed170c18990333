"""How many English words stand in the rules themselves and not in the tables of a language: the number may only fall.

A word in a rule is one that another language has to map to (`grammar.csv`); in a table it is one that it says in its own way.
Counted are the words of string constants in the modules of the reader, docstrings and names of meanings left out.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

from bot.notes import languages, reading
from bot.notes.lexicon import load

RULES = Path(reading.__file__).parent
LIMIT = 3040  # 4,296 when this was first counted, forms and families too; lower it when words move into a table, never raise it


FORMS = frozenset(("past", "base", "ing", "noun"))  # of a verb, `Item.form`
FAMILIES = frozenset("date number range amount ratio dose word person lot place nickname sowing taxon kind part query".split())


def names_of_meanings() -> set[str]:
    """Return the names that are ours: classes and meanings of words, forms of verbs, and the vocabulary of a reading."""
    senses = [sense for phrases in load().first.values() for one in phrases for sense in one.senses]
    ours = {sense.family for sense in senses} | {sense.meaning for sense in senses}
    for value in vars(reading).values():
        if isinstance(value, frozenset | tuple):
            ours |= {one for one in value if isinstance(one, str)}
    return ours | FORMS | FAMILIES


def words_in(path: Path) -> Iterator[str]:
    """Yield the words of the string constants of a module, its docstrings left out."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    documented = (ast.FunctionDef, ast.ClassDef, ast.Module)
    bodies = [node.body[0] for node in ast.walk(tree) if isinstance(node, documented) and node.body]
    docstrings = {id(one.value) for one in bodies if isinstance(one, ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docstrings:
            yield from (word for word in node.value.lower().split() if word.isalpha())


def test_the_words_in_rules_only_become_fewer() -> None:
    ours, known = names_of_meanings(), load().known
    counted = {path.name: sum(word in known and word not in ours for word in words_in(path)) for path in RULES.glob("*.py")}
    assert sum(counted.values()) <= LIMIT, sorted(counted.items(), key=lambda one: -one[1])[:10]
    assert sum(counted.values()) > LIMIT / 2  # it still counts


def test_weekdays_seasons_numbers_and_question_words_stand_in_tables() -> None:
    calendar, opening, numbers = (languages.listed(one) for one in ("calendar", "opening", "numbers"))
    for table, row, word in ((calendar, "weekday 0", "monday"), (calendar, "season", "spring"), (numbers, "12", "dozen")):
        assert word in table[row]
    assert {"when", "where", "how"} <= set(opening["openers"])
    rules = {path.name: set(words_in(path)) for path in RULES.glob("*.py")}
    assert not rules["datewords.py"] & {"monday", "april", "yesterday", "spring", "winter"}
    assert not rules["asking.py"] & {"wheres", "whens", "unsure", "coldest"}
