"""Whether a note asks something, with or without a question mark."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from bot.notes.items import Item
from bot.notes.languages import listed, phrases
from bot.notes.talk import Talk

DOUBTS = phrases("opening", "doubt")


Openings = dict[str, list[tuple[str, ...]]]


def by_first_word(phrases: Iterable[tuple[str, ...]]) -> Openings:
    """Return phrases by their first word, in the order given."""
    out: Openings = {}
    for one in phrases:
        out.setdefault(one[0], []).append(one)
    return out


def opening(words: list[str], phrases: Openings) -> tuple[str, ...] | None:
    """Return the first of the phrases that a note begins with."""
    for one in phrases.get(words[0], ()) if words else ():
        if tuple(words[: len(one)]) == one:
            return one
    return None


_DOUBTS = by_first_word(DOUBTS)


def doubts_whether(words: list[str]) -> bool:
    """Return whether a note begins with a doubt: "not sure if", "cant remember when"."""
    return opening(words, _DOUBTS) is not None


def _words(key: str) -> frozenset[str]:
    return frozenset(listed("opening")[key])


STARTS, OPENERS, AUXILIARIES, AFTER_WHEN = _words("starts"), _words("openers"), _words("auxiliaries"), _words("after_when")
RECORDS, OUTCOMES = _words("records"), _words("outcomes")
ASKED_OF, POINTING, SUSPECTS, SETS_OF = (_words(key) for key in ("asked_of", "pointing", "suspects", "sets_of"))


def is_question(words: list[str], talk: Talk) -> bool:
    """Return whether the note asks something, with or without a question mark."""
    told = words[0] == "tell" and words[:2] == ["tell", "me"] and words[2:3] != ["to"] and words[2:3] and words[2] in OPENERS
    if told and not any(one.family == "plan" for one in talk.items):
        return True  # "tell me when the astros last got a drink"
    if words[0] not in _FIRST and words[-1] not in _LAST and _ANYWHERE.isdisjoint(words):
        return False
    words = without_greeting(words)
    if not words:
        return False
    mark = "?" in words[-2:]
    for rule in _RULES:
        said = rule(words, mark, talk)
        if said is not None:
            return said
    return mark and bool({"due", "when", "where", "how", "many", "still", "ok"} & set(words))


def _remind_or_condition(words: list[str], mark: bool, talk: Talk) -> bool | None:
    first = words[0]
    if first in ("could", "can", "would") and words[1:2] == ["you"] and "remind" in words[:5]:
        return False
    if first == "when" and ("i" in words or "want" in words) and not mark and words[1] not in AFTER_WHEN:
        return False if any(one.family in ("plan", "remind") for one in talk.items) else None
    return None


def _plain_words(words: list[str], mark: bool, talk: Talk) -> bool | None:
    doubts = doubts_whether(words)
    if opening(words, _ALLOWED) or (words[-1] in AT_THE_END and not any(one.form == "past" for one in talk.items)):
        return True  # "is it alright to wet 73"; "mites: where"
    if doubts or words[-1] == "when" or "whats" in words or "what's" in words:
        return True
    if words[-1] == "?" and words[-2:-1] in (["when"], ["what"]):
        return True
    if words[0] in GERMINATION and ("figures" in words or "rate" in words or mark or _counts_nothing(talk)):
        return True
    return None


def _counts_nothing(talk: Talk) -> bool:
    """Return whether a note is only a word and the name of a sowing: "germination of S1"."""
    families = {one.family for one in talk.items} - {"break", "mark", "comma"}
    return "sowing" in families <= {"act", "prep", "sowing", "det"}


def _suspicion(words: list[str], _: bool, talk: Talk) -> bool | None:
    """Tell "is that scale on 60?", a suspected finding, from a question."""
    if words[0] not in SUSPECTS:
        return None
    pointing = words[1:2] and words[1] in POINTING
    families = {one.family for one in talk.items}
    return False if pointing and "sign" in families and "act" not in families else None


def _opener(words: list[str], mark: bool, _: Talk) -> bool | None:
    first, second = words[0], words[1] if len(words) > 1 else ""
    if first not in OPENERS:
        return None
    if first == "when" and not mark and second not in AFTER_WHEN and not LATEST & set(words):
        return False
    return mark or not (first in ("what", "how") and second in ("a", "they", "its"))


def _auxiliary(words: list[str], mark: bool, talk: Talk) -> bool | None:
    first, second = words[0], words[1] if len(words) > 1 else ""
    if first not in AUXILIARIES:
        return None
    if first == "did" and second == "all" and not mark:
        return False  # "did all of frame A": it was done
    if first in OF_A_NAME and _named_next(talk):
        return True
    if mark or second in ASKED_OF:
        return True
    if first in ("is", "are", "was", "were", "does", "has") and second in ("it", "there", "the", "they", "my"):
        return True
    if first == "does" or (first in ("have", "has") and second in SETS_OF):
        return True
    if first in OF_A_NAME_BEFORE and EVER & set(words):
        return True  # "was 77 ever repotted"
    ought = first == "should" and any(one.family in ("sign", "state") for one in talk.items)
    if first in OF_A_SET and (ought or STILL_OPEN & set(words[2:])) and "," not in words and _set_next(talk):
        return True  # "do the conos get anything yet", "can 41 go outside yet"
    if first == "did" and not mark and "," in words:
        return False  # "did bench 2 first thing, 91 was dry": it was done
    if first in BEFORE_A_SET and _third_is_set(words) and (mark or first != "did" or words[1].isdecimal() or _done(talk)):
        return True
    if first == "did" and HELPED & set(words[2:]):
        return True  # "did spraying 61 help"; "did take 3 pups" tells
    if first == "did":
        return second in ("it", "they", "that") or second.endswith("'s") or (second == "the" and bool(OUTCOMES & set(words)))
    return False


def _noun(words: list[str], mark: bool, talk: Talk) -> bool | None:
    first = words[0]
    if first in ANY_ONE and (mark or len(words) > 1):
        return True
    if words[-1] in PLEASE and any(one.family == "act" and one.form == "past" for one in talk.items[:1]):
        return True  # "quarantined plants please": nobody begs for what is done
    if first in LOSSES and (len(words) == 1 or words[1] in LOSSES_OF):
        return True  # "losses of the lobivias": nothing dies of a question
    if mark and (first in RECORDS or first == "last" or {"parent", "parents", "children", "offspring"} & set(words)):
        return True
    if _last_of(words, talk) or _how_many_at_the_end(words, talk) or _looked_up(words, talk):
        return True
    if first in RECORDS and len(words) > 1 and all(one.family in ("date", "stop", "break") for one in talk.items[1:]):
        return True  # "lowest this month"
    if first in THE_LAST and len(words) == 2 and words[1] in RECORDS:
        return True  # "last min"
    if words[-1] in RECORDED and any(one.family == "sowing" for one in talk.items) and len(words) <= 4:
        return True
    if first == COUNT and len(words) > 1 and not any(one.family in ("number", "date") for one in talk.items):
        return True
    if "cases" in words and (mark or first in ("any", "open")):
        return True
    if len(words) > 1 and words[1] == "list" and not any(one.isalnum() and one not in BESEECHING for one in words[2:]):
        return talk.items[0].family == "act" or None  # "repotting list": what waits for it
    if opening(words, _FIGURES_BY) or first == DOSE or (words[:2] == ["tell", "me"] and words[2:3] != ["to"]):
        return True
    return True if first in DUE and len(words) <= 4 else None


def _looked_up(words: list[str], talk: Talk) -> bool:
    """Return whether something is looked up: "last time i checked 61 what was on it", "price of the lot", "winter deaths"."""
    if opening(words, _LOOK_UPS) and not (opening(words, _LAST_TIME) and not OPENERS & set(words)):
        return True
    if len(words) > 1 and words[1] in ANY_THING and talk.items[0].family == "act":
        return talk.items[0].form == "past"  # "sprayed anything the dog should keep off"
    if len(words) < 2 or (words[0] not in FIGURES and (LOST.isdisjoint(words[:3]) or FROM.isdisjoint(words))):
        return False
    families = {one.family for one in talk.items}
    return not (families & {"number", "amount", "range"} or any(one.family == "act" and one.form == "past" for one in talk.items))


def _last_of(words: list[str], talk: Talk) -> bool:
    """Return whether "last" and what was done open a question: "last soak of 16", and no "last soak till spring"."""
    if words[0] != "last" or len(words) <= 3 or words[1] not in LAST_OF or words[2] not in OF_THEM:
        return False
    families = {one.family for one in talk.items}
    return bool(families & {"number", "nickname"}) and not families & {"till", "date", "since"}


def _how_many_at_the_end(words: list[str], talk: Talk) -> bool:
    """Return whether a question ends the note: "2 ml/l for 7 l how much", "irma's lot, how many left"."""
    if "how" not in words and _HOW_MANY.keys().isdisjoint(words):
        return False
    said = [one for one in words if one not in ("?", ".", "!")]
    if UNSURE & set(said) or any(one.family == "act" and one.form == "past" for one in talk.items):
        return False
    return any(said[i : i + 2] in (["how", "much"], ["how", "many"]) for i in range(max(1, len(said) - 4), len(said) - 1)) or (
        _asked_behind_a_comma(said)
    )


def _asked_behind_a_comma(said: list[str]) -> bool:
    """Return whether the last part of a note is a question of how many or how long: "9 cm pots in june, how long till dry"."""
    last = len(said) - said[::-1].index(",") if "," in said else 0
    return last > 1 and opening(said[last:], _HOW_MANY) is not None


LATEST, PLEASE = _words("latest"), _words("please")
LOSSES, LOSSES_OF = _words("losses"), _words("losses_of")
LAST_OF, OF_THEM, UNSURE = _words("last_of"), _words("of_them"), _words("doubting")


RECORDED, HELPED, FIGURES, LOST, FROM = (_words(key) for key in ("recorded", "helped", "figures", "lost", "causes"))
ANY_THING, BEFORE_A_SET, AT_THE_END = _words("any_thing"), _words("before_a_set"), _words("at_the_end")
_ALLOWED = by_first_word(phrases("opening", "allowed"))
_LOOK_UPS, _LAST_TIME, _HOW_MANY = (by_first_word(phrases("opening", key)) for key in ("look_ups", "last_time", "how_many"))
_FIGURES_BY = by_first_word(phrases("opening", "figures_by"))
_PLACED_WHICH = by_first_word(phrases("opening", "placed_which"))
BESEECHING = _words("beseeching")


def _named_next(talk: Talk) -> bool:
    """Return whether a name stands second and something is said of it: "has s14 come up", "is wonky dead"."""
    families = [one.family for one in talk.items]
    named = families[1:2] and families[1] in ("sowing", "nickname", "taxon", "lot")
    return bool(named) and bool({"act", "sign"} & set(families[2:]))


OF_A_NAME_BEFORE = _words("of_a_name_before")
OF_A_SET, EVER = _words("of_a_set"), frozenset(("ever", "yet"))


def _set_next(talk: Talk) -> bool:
    """Return whether plants stand right behind the first word."""
    behind = [one.family for one in talk.items[1:3]]
    return bool({"taxon", "number", "nickname", "sowing", "lot", "kind", "place", "numbered"} & set(behind))


OF_A_NAME = _words("of_a_name")


def _done(talk: Talk) -> bool:
    """Return whether an act or a sign is named: "did bench 1 get fed" asks, "did bench 1" tells."""
    return any(one.family in ("act", "sign") for one in talk.items)


def _third_is_set(words: list[str]) -> bool:
    return len(words) > 2 and (words[1].isdecimal() or words[1] in ("tray", "bench", "frame"))


BEFORE_DOUBT, STILL_OPEN, GREETINGS, THE_LAST = (_words(key) for key in ("before_doubt", "still_open", "greetings", "the_last"))
TURNING = by_first_word(phrases("opening", "turning_to"))


def _turned_to(words: list[str]) -> list[str]:
    """Return the question itself where a note turns to a plant first: "how about 12, did i water it this month"."""
    turned = opening(words, TURNING)
    if turned is None or "," not in words[:-1]:
        return words
    asked = words[words.index(",") + 1 :]
    return asked if asked[0] in STARTS else words


def without_greeting(words: list[str]) -> list[str]:
    words = _turned_to(words)
    while (
        words
        and words[0] in BEFORE_DOUBT
        and tuple(words[1:3]) in {one[:2] for one in DOUBTS} | {("can't", "remember"), ("wonder", "if")}
    ):
        words = words[1:]
    if opening(words, _PLACED_WHICH):
        words = words[1:]  # "on which shelf is 72"
    led = words[:3] if words and words[0] in SHOWING else []
    if led in (["can", "you", "tell"], ["could", "you", "tell"], ["please", "tell", "me"]) or led in (
        ["can", "you", "show"],
        ["could", "you", "show"],
    ):
        words = words[2:]
    if words and words[0] == "tell" and words[:2] == ["tell", "me"] and len(words) > 3 and words[2] in STARTS:
        words = words[2:]
    while words and words[0] in GREETINGS and len(words) > 1:
        if words[0] == "ok" and words[1] == "to":
            break
        if words[0] == "remind":
            if words[:2] == ["remind", "me"] and len(words) > 2 and words[2] in ("when", "what", "where", "how", "which"):
                words = words[2:]
            break
        words = words[1:]
    return words


SHOWING, GERMINATION, ANY_ONE = ({"can", "could", "please"}, {"germination", "germ"}, {"any", "anything", "anyone"})
DOSE, COUNT, DUE = "dose", "count", {"due", "jobs", "todo"}
# Without one of these at its place no rule above finds a question.
_FIRST = frozenset((DOSE, COUNT, "last", "tell")).union(
    GREETINGS, SHOWING, GERMINATION, ANY_ONE, DUE, _FIGURES_BY, RECORDS, THE_LAST, OPENERS, AUXILIARIES, LOSSES, FIGURES,
    BEFORE_DOUBT, TURNING, _DOUBTS, _ALLOWED, _PLACED_WHICH, _LOOK_UPS,
)  # fmt: skip
_LAST = AT_THE_END | PLEASE | RECORDED | {"when"}
_ANYWHERE = ANY_THING | LOST | _HOW_MANY.keys() | {"?", "how", "whats", "what's", "cases", "list"}
_RULES = (_remind_or_condition, _plain_words, _suspicion, _opener, _auxiliary, _noun)


def asks_after_a_fact(items: Sequence[Item], i: int) -> bool:
    """Return whether a question begins at item `i` though no full stop stands before it: "mites on 41 whats due"."""
    words = [word for one in items[i : i + 3] for word in one.low.split()][:3]
    first, second, third = (*words, "", "", "")[:3]
    if first in DUE_OPENERS:
        return second in ("due", "on", "next", "left") or second in ("my", "the")
    if first in PLACED_OPENERS:
        return second in AFTER_OPENER and (third in ASKERS or second in COUNTED)
    if first in ANY_OPENERS:
        return second in ("due", "left") and items[i - 1].family in ("comma", "dash", "sep")
    return first in ("did", "have", "can", "should", "shall", "may") and second in ("i", "we")


ANY_OPENERS = frozenset(("any", "anything"))
DUE_OPENERS, PLACED_OPENERS = _words("due_openers"), _words("placed_openers")
COUNTED, AFTER_OPENER, ASKERS = _words("counted"), _words("after_opener"), _words("askers")
