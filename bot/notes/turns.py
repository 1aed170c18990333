"""Turns of phrase: words that say something other than they do alone, by what stands a few words off.

Run over the items of a note with the rules of `spoken`; which words call which rule is
in `spoken.csv` ("turn ..."), and in `terse.csv` those of `turns_short`.
"""

from __future__ import annotations

from bot.notes import turns_done, turns_lost, turns_said, turns_short, turns_usual
from bot.notes.neighbours import Rule
from bot.notes.turned_words import WORDS

_CALLED = {
    rule.__name__: rule
    for rule in (*turns_done.RULES, *turns_said.RULES, *turns_short.RULES, *turns_lost.RULES, *turns_usual.RULES)
}
BY_WORD: dict[str, tuple[Rule, ...]] = {}
for _row, _forms in (*WORDS.items(), *turns_short.ROWS.items()):
    if _row.startswith("turn "):
        BY_WORD |= {form: (*BY_WORD.get(form, ()), _CALLED[_row.removeprefix("turn ")]) for form in _forms}
