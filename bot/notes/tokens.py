"""A note's text cut into tokens with spans; no character passes unseen.

note    = { token | space }
token   = iso date | code ("s12") | number | word | dotted date | mark
number  = digits [ "." digits ]            a decimal comma is read later, where a unit follows ("4,5 cm")
word    = letters { ("'" | "-") letters }  the parts of a hyphened word that no list holds are read one by one
mark    = any other single character       the last branch: what is not known becomes a token too
"""

from __future__ import annotations

import re
from typing import NamedTuple

_PATTERN = re.compile(
    r"""[^\S\n]*(?:(?P<word>[^\W\d_]+(?:['\u2019`\-][^\W\d_]+)*)
      | (?=\d)(?:(?P<iso>\d{4}-\d{2}-\d{2}(?!\d))
      | (?P<clock>\d{1,2}:\d{2}(?!\d))
      | (?P<dotted>\d{1,2}\.\d{1,2}\.(?:\d{4}|\d{2})(?!\d)
          |(?:\A(?=\S+\s)|(?<=\bon\ )|(?<=since\ )|(?<=till\ )|(?<=until\ )|(?<=\bby\ ))\d{1,2}\.\d{1,2}\.(?!\d))
      | (?P<slashed>(?:0?[1-9]|[12]\d|3[01])/(?:0?[1-9]|[12]\d|3[01])/\d{2,4}(?!\d))
      | (?P<slip>\d+[oOlI]\d+)
      | (?P<number>\d+(?:\.\d+)?))
      | (?P<arrow>->|→|=>|>)
      | (?P<break>\n+|;|\.+|!+|…)
      | (?P<mark>\S))""",
    re.VERBOSE,
)
_FRACTIONS = {"½": "half", "¼": "quarter", "⅓": "third"}
_QUOTES = str.maketrans("\u2019\u2018`\u2013\u2014\u2212\u00d7", "'''---x")


ABBREVIATIONS = frozenset(
    """
        susp prob poss corr ea exc excl germ approx wtd str temp min max incl rts qty pkt esp rpt rptd chkd insp fert mon tue tues
        wed thu thurs fri sat sun jan feb mar apr jun jul aug sep sept oct nov dec
    """.split()
)
MARKS = {
    "?": "query",
    ",": "comma",
    ":": "colon",
    "(": "open",
    ")": "close",
    "-": "dash",
    "/": "slash",
    '"': "quote",
    "~": "approx",
    "+": "sep",
    "&": "sep",
    "=": "equals",
    "@": "at",
}


EPITHET_ENDINGS = ("us", "a", "is", "ii", "um", "i", "ae", "e", "ens", "oides", "or", "ax", "ans", "x")


MOST_DIGITS = 12  # of a number, its point counted; nothing at the bench is counted in more


class Token(NamedTuple):
    """One token: its kind, its text in lower case, and where it stands."""

    kind: str
    low: str
    start: int
    end: int


def scan(text: str) -> list[Token]:
    """Return the tokens of `text` in order; together with white space they cover it."""
    lowered = text.lower()
    if len(lowered) != len(text):  # a letter whose lower case is longer; spans count characters as typed
        lowered = "".join(one if len(one.lower()) != 1 else one.lower() for one in text)
    if not lowered.isascii() or "`" in lowered:
        lowered = lowered.translate(_QUOTES)
    tokens: list[Token] = []
    add = tokens.append
    for found in _PATTERN.finditer(text):
        kind = found.lastgroup or "mark"
        start, end = found.span(kind)
        low = lowered[start:end]
        if kind == "word":
            pass
        elif kind == "slip":
            kind = "word"  # "1o2": a letter in a number is no word of ours, and asked about
        elif kind == "mark":
            low = _FRACTIONS.get(low, low)
        elif kind == "break" and low.isspace():
            low = ";"
        elif kind == "number" and end - start > MOST_DIGITS:
            kind, low = "mark", "…"  # a key that stuck: no number of anything
        add(_made(Token, (kind, low, start, end)))
    return tokens


_made = tuple.__new__  # what the constructor of a named tuple comes to, every character of a note passing here
