"""Words that steer the talk itself and are no bench notes: more, help, a first greeting, a slash command."""

from __future__ import annotations

import re

from bot.app.care_commands import care_command
from bot.app.enquiries import enquire
from bot.app.groups import KEYS_JOINED_BY, grouped
from bot.app.labels_talk import plant_opened
from bot.app.neighbour_words import offer_neighbours
from bot.app.plan import Draft, Plan, View
from bot.app.steering import steered
from bot.care.events import Ref
from bot.notes.reading import Entry, Selection

SHOWN_AT_ONCE = 5
_MORE = re.compile(r"(show\s+)?(me\s+)?(the\s+)?(more|rest of the list|all of (it|them))\W*", re.IGNORECASE)
_HELP = re.compile(r"/?help\W*|what can (you|i) (do|say)\W*|how does (this|it) work\W*", re.IGNORECASE)
# To "Do you know why?": nothing more is asked then.
_SHRUG = re.compile(
    r"(?:no(?:pe)?|no (?:idea|clue)|(?:i )?(?:really )?(?:don'?t|dont|do not) know|dunno|not sure|unknown|who knows|\?+)\W*",
    re.IGNORECASE,
)
LEFT_OPEN = frozenset(("which", "when", "product", "who", "count", "sign", "where"))
_START = re.compile(r"/start\b.*", re.IGNORECASE | re.DOTALL)
_OF_THE_ONE = re.compile(
    r"(?P<verb>done|did|later|postpone|snooze|drop|why)(?: (?:it|that|this))?"
    r"(?P<rest>(?: (?:by|till|until|for|to|in) .{1,40})?)\W*",
    re.IGNORECASE,
)
_SLASH = re.compile(r"/(\w+)(@\w+)?\s*(.*)", re.DOTALL)
# What a command stands for in words, so that a menu can offer it.
WORDS_OF_COMMAND = {"due": "whats due", "week": "whats due this week", "undo": "undo", "list": "what have i got"}


def in_words(text: str) -> str:
    """Return the words that a slash command stands for, or the text as it is."""
    found = _SLASH.fullmatch(text.strip())
    words = WORDS_OF_COMMAND.get(found[1].lower()) if found else None
    return f"{words} {found[3]}".strip() if found and words else text


def of_the_one(text: str, view: View) -> str:
    """Return "done", "later by a week" or "why" with the number 1 where the list spoken of has one line; else the text."""
    match = _OF_THE_ONE.fullmatch(text.strip())
    if match is None or len(view.talk.listed) != 1 or (match["rest"] and match["verb"].lower() in ("done", "did", "why")):
        return text
    return f"{match['verb']} 1{match['rest']}"


def command(text: str, view: View) -> Plan | None:
    """Return the plan of a word that steers the talk; None where the text is a note for the reader."""
    said = text.strip()
    draft = Draft(view, "do", None)
    if _MORE.fullmatch(said):
        _more(draft)
    elif view.open_note is not None and view.open_note.ask == "cause" and _SHRUG.fullmatch(said):
        draft.closes_question = True
        draft.say("cause_open")
        for event in view.open_note.events:
            offer_neighbours(draft, event)
    elif view.open_note is not None and view.open_note.ask in LEFT_OPEN and _SHRUG.fullmatch(said):
        draft.closes_question = True
        draft.say("stays_open", ask=view.open_note.ask, written=bool(view.open_note.events))
    elif _HELP.fullmatch(said):
        draft.say("help")
    elif (key := plant_opened(said)) is not None:
        _card(draft, key)
    elif _START.fullmatch(said):
        draft.say("start", empty=not view.standing.things)
    elif steered(said, draft) or care_command(said, draft):
        pass
    elif (unknown := _SLASH.fullmatch(said)) is not None:
        draft.say("unknown_command", command=unknown[1])
    else:
        return None
    return draft.done()


def _card(draft: Draft, key: str) -> None:
    """Open the card of the plant whose code was scanned."""
    found = enquire(Entry("question", about="card", which=Selection(labels=(key,))), draft)
    draft.say("answer", about=found.about, **found.facts)
    if found.about == "card":
        draft.current, draft.opened = (draft.view.standing.same(Ref("plant", key)),), True


def _more(draft: Draft) -> None:
    """Go on with the list that was shown last, with the numbers going on."""
    view = draft.view
    by_key = {one.key: one for one in view.due}
    rest = view.talk.listed[view.talk.shown :]
    groups = [grouped([by_key[key] for key in line.split(KEYS_JOINED_BY) if key in by_key], view.today) for line in rest]
    numbered = [(view.talk.shown + number, group[0]) for number, group in enumerate(groups, 1) if group]
    draft.say("more", numbered=tuple(numbered[: 2 * SHOWN_AT_ONCE]), left=max(0, len(numbered) - 2 * SHOWN_AT_ONCE))
    draft.shown = view.talk.shown + 2 * SHOWN_AT_ONCE
