"""Which of the known questions the words ask: the first rule that fits.

Each rule names its words by the key they have in the language's table `asking.csv`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from bot.notes.asking import doubts_whether
from bot.notes.items import Item
from bot.notes.lexicon import word_lists
from bot.notes.talk import Talk


@dataclass(frozen=True, slots=True)
class Asked:
    """The words of a question, and what of them the reader knows."""

    words: list[str]
    said: set[str]
    acts: frozenset[str]  # meanings
    signs: frozenset[str]
    families: frozenset[str]
    text: str
    forms: dict[str, frozenset[str]]

    @property
    def first(self) -> str:
        """Return the first word."""
        return self.words[0]

    def says(self, *keys: str) -> bool:
        """Return whether a word of one of the keys is said."""
        return any(self.forms[key] & self.said for key in keys)

    def opens(self, key: str) -> bool:
        """Return whether the first word is one of the key's."""
        return self.words[0] in self.forms[key]

    def holds(self, key: str) -> bool:
        """Return whether a phrase of the key stands in the text."""
        return any(phrase in self.text for phrase in self.forms[key])

    def starts(self, key: str) -> bool:
        """Return whether the text starts with a phrase of the key."""
        return self.text.startswith(tuple(self.forms[key]))

    def leads(self, key: str) -> bool:
        """Return whether one of the first three words is one of the key's."""
        return bool(self.forms[key] & set(self.words[:3]))

    @property
    def dated(self) -> bool:
        """Return whether a day or a time is named."""
        return bool(self.families & {"date", "since"})


def about_of(words: list[str], said: set[str], acts: list[Item], signs: list[Item], talk: Talk) -> str:
    """Return which of the known questions the words ask; the first rule that fits."""
    asked = Asked(
        words,
        said,
        frozenset(one.meaning for one in acts),
        frozenset(one.meaning for one in signs),
        frozenset(one.family for one in talk.items),
        " ".join(words),
        word_lists(talk.settings.language, "asking"),
    )
    fitting = (about for about, fits in RULES if fits(asked))
    return next(fitting, "list" if signs or acts else "card")


def has_period(talk: Talk) -> bool:
    """Return whether a day or a time is named."""
    return any(one.family in ("date", "since") for one in talk.items)


def _dose(a: Asked) -> bool:
    return a.holds("dose_how") and (a.says("litres") or "dose" in a.families)


def _found_last(a: Asked) -> bool:
    if a.starts("last_time") and "inspected" in a.acts:
        return True
    return a.starts("found_text") or (a.says("find") and ("last" in a.said or a.opens("what_when")))


def _planned(a: Asked) -> bool:
    return (a.holds("planned_text") or a.says("planned")) and a.opens("what_any")


def _ahead_of(a: Asked) -> bool:
    """Return whether it is asked what is still to be done: "what am i going to repot this week", "do i have to feed 12"."""
    return a.holds("planned_text") and a.opens("open_ahead") and bool(a.acts)


def _nothing_since(a: Asked) -> bool:
    """Return whether it is asked of any plant what was not done: "has anything on tray 4 not been watered since march"."""
    return a.says("not_done") and a.says("any_one") and a.opens("did_period") and bool(a.acts)


def _climate(a: Asked) -> bool:
    return a.says("degrees") and ("how" in a.said or a.opens("degrees_open")) and "watered" not in a.acts


def _dry_time(a: Asked) -> bool:
    return a.holds("how_long") and a.says("dries") and not a.says("since_been")


def _sprayed(a: Asked) -> bool:
    treated = "treated" in a.acts
    if treated and a.starts("sprayed_open") and not a.dated:
        return True
    return (a.says("visitors") and (treated or "safe" in a.said)) or a.starts("safe_open") or (a.holds("until_when") and treated)


def _swap_list(a: Asked) -> bool:
    return (a.says("swap") or a.holds("give_away_text")) and a.opens("swap_open") and not a.says("swapped")


def _wishes(a: Asked) -> bool:
    if a.words[1:2] and a.words[1].isdecimal():
        return False  # "does 61 want another dose": a plant wants none
    asked = a.opens("whose") and a.holds("who_waits_text")
    return asked or (a.says("wish") and a.opens("wish_open") and "watered" not in a.acts)


def _lineage(a: Asked) -> bool:
    if a.says("descent") or a.holds("pups_text") or (a.holds("came_off_text") and "offsets" in a.said):
        return True
    return a.holds("offsets_text") and a.opens("lineage_open")


def _germination(a: Asked) -> bool:
    if (a.acts & {"germinated", "sown"} and a.opens("germ_open")) or a.says("germination"):
        return True
    return "sowing" in a.families and (a.opens("sowing_open") or a.holds("count_text"))


def _from_somebody(a: Asked) -> bool:
    if a.says("price") or a.holds("price_text"):
        return True
    if not a.families & {"person", "lot"}:
        return False
    came = a.opens("from_open") and "from" in a.said and not a.acts - {"acquired", "given"}
    return a.opens("hows") or a.starts("hows_text") or came


def _from_whom(a: Asked) -> bool:
    asked = a.says("origin") and a.opens("who_where") and ("acquired" in a.acts or a.says("origin_verb"))
    return asked and not a.holds("got_to_text") and not (a.first == "where" and "is" in a.said and "from" not in a.said)


def _may_water(a: Asked) -> bool:
    if a.holds("on_hold_text"):
        return True
    opened = a.leads("may") or a.holds("ok_to_text") or ("yet" in a.said and a.opens("may_open"))
    return opened and bool(a.acts & {"watered", "fed"})


def _due(a: Asked) -> bool:
    return a.says("due") or a.holds("due_text") or (a.holds("to_do_text") and a.opens("what_any"))


def _when_last(a: Asked) -> bool:
    return a.opens("when") and (bool(a.acts | a.signs) or "last" in a.said) and not a.leads("ought_first")


def _last(a: Asked) -> bool:
    return "last" in a.said and bool(a.acts) and not a.opens("what_plain") and not a.dated


def _journal(a: Asked) -> bool:
    return (a.holds("done_text") or a.starts("done_start")) and not a.families & {"label", "nickname"}


def _needs(a: Asked) -> bool:
    return a.opens("need_open") and a.says("need") and (bool(a.acts) or a.says("thirst"))


def _which_state(a: Asked) -> bool:
    return a.opens("which_open") and (bool(a.acts | a.signs) or "state" in a.families)


def _list(a: Asked) -> bool:
    return a.opens("whatever") and (bool(a.acts | a.signs) or a.says("held"))


def _unsure(a: Asked) -> bool:
    return doubts_whether(a.words) and bool(a.acts)


RULES: tuple[tuple[str, Callable[[Asked], bool]], ...] = (
    ("list", lambda a: "cases" in a.said and bool(a.signs)),
    ("rest_check", lambda a: a.first == "when" and "rest" in a.said and a.says("rest_turn")),
    ("due", lambda a: "plan" in a.said and a.opens("what")),
    ("due", lambda a: a.holds("to_come_text") and bool(a.acts) and a.opens("to_come_open")),
    ("dose", lambda a: a.starts("strength_text")),
    ("lineage", lambda a: a.holds("young_of_text") and a.opens("what")),
    ("outcome", lambda a: a.first == "how" and "product" in a.families and a.says("went") and not a.says("litres")),
    ("due", lambda a: a.words[1:2] == ["list"] and bool(a.acts)),
    ("list", lambda a: bool(a.signs) and a.opens("is_are") and "there" in a.words[:2]),
    ("dose", _dose),
    ("last_done", _unsure),
    ("last_done", lambda a: a.starts("day_open") and bool(a.acts)),
    ("last_done", lambda a: a.words[-1] == "when" or a.words[-2:] == ["when", "?"]),
    ("last_done", _found_last),
    ("journal", lambda a: a.says("story") or a.holds("story_text")),
    ("due", _planned),
    ("due", _ahead_of),
    ("list", lambda a: "set_to_dry" in a.acts and a.opens("drying_open") and (a.says("since_been") or not a.holds("how_long"))),
    ("list", lambda a: a.says("label") and a.says("label_gone")),
    ("list", lambda a: "label_lost" in a.acts and a.opens("name_open")),
    ("list", lambda a: a.says("name") and a.opens("name_open")),
    ("rest_check", lambda a: a.says("wet_dry") and a.says("ought")),
    ("sprayed", _sprayed),
    ("lineage", lambda a: a.says("family")),
    ("outcome", lambda a: a.holds("helped_text")),
    ("wet_in_frost", lambda a: a.text.strip(" ?") in a.forms["was_wet"]),
    ("wet_in_frost", lambda a: a.says("wet") and a.says("froze")),
    ("climate", lambda a: a.opens("extreme_open")),
    ("losses", lambda a: {"loss", "rate"} <= a.said),
    ("climate", lambda a: a.says("froze") and a.opens("will_open")),
    ("climate", _climate),
    ("dry_time", _dry_time),
    ("outcome", lambda a: a.says("worked") and a.opens("worked_open")),
    ("swap_list", _swap_list),
    ("wishes", _wishes),
    ("rooted", lambda a: a.opens("did_period") and "root" in a.said and not a.acts),
    ("rooted", lambda a: "rooted" in a.acts and a.first != "when"),
    ("lineage", _lineage),
    ("germination", _germination),
    ("losses", lambda a: "died" in a.acts or a.says("loss")),
    ("list", lambda a: a.first == "where" and bool(a.signs) and "have" in a.said),
    ("source", _from_somebody),
    ("source", _from_whom),
    ("not_since", lambda a: a.says("overdue") and "repotted" in a.acts),
    ("not_since", lambda a: a.says("not_done") and a.opens("not_done_open") and bool(a.acts)),
    ("not_since", _nothing_since),
    ("rest_check", lambda a: a.holds("ought_text") and a.says("state")),
    ("rest_check", lambda a: "resting" in a.signs and a.opens("is_are")),
    ("may_water", _may_water),
    ("due", _due),
    ("due", lambda a: a.says("again") and a.opens("when_what")),
    ("due", lambda a: a.opens("does_start") and a.says("need") and a.says("again", "another")),
    ("flowering", lambda a: bool(a.signs & {"flowering", "budding"}) and a.opens("flower_open")),
    ("last_done", _when_last),
    ("last_done", _last),
    ("last_done", lambda a: a.holds("ago_text")),
    ("done_since", lambda a: a.opens("did_period") and bool(a.acts) and a.dated),
    ("last_done", lambda a: a.opens("did") and bool(a.acts) and "acquired" not in a.acts),
    ("count", lambda a: a.holds("count_text") or a.first == "count"),
    ("list", lambda a: a.first == "where" and bool(a.signs)),
    ("where", lambda a: a.opens("where") or a.holds("where_text")),
    ("journal", _journal),
    ("due", _needs),
    ("list", _which_state),
    ("done_since", lambda a: a.opens("what_plain") and a.holds("did_text") and bool(a.acts - {"acquired"}) and a.dated),
    ("list", _list),
    ("list", lambda a: a.opens("is_are") and (bool(a.acts) or "quarantine" in a.said)),
    ("card", lambda a: a.opens("card_open")),
    ("due", lambda a: bool(a.acts) and a.words[-1] == "?"),
)
