"""Turns of phrase: words that say something other than they do alone, by what stands a few words off.

Run over the items of a note with the rules of `spoken`; which words call which rule is
in `spoken.csv` ("turn ..."), and in `terse.csv` those of `turns_short`.
"""

from __future__ import annotations

from bot.notes import turns_done, turns_lost, turns_said, turns_short, turns_usual
from bot.notes.turned_words import WORDS, called_by

_RULES = (*turns_done.RULES, *turns_said.RULES, *turns_short.RULES, *turns_lost.RULES, *turns_usual.RULES)
_ROWS = (WORDS, turns_short.ROWS)
BY_WORD = called_by(
    "turn", _RULES, {row: [form for rows in _ROWS for form in rows.get(row, ())] for rows in _ROWS for row in rows}
)
