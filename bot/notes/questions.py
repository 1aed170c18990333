"""Questions of the bench: which of the known ones a note asks, about what, since when."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from bot.notes.amounts import Amount
from bot.notes.clauses import Clause, Splitter, flow, is_phrase
from bot.notes.items import Item
from bot.notes.reading import Entry, Selection
from bot.notes.selections import gather
from bot.notes.subjects import Phrase, Subjects
from bot.notes.talk import Talk

DOUBTS = (
    ("can't", "remember", "whether"), ("cannot", "remember", "whether"), ("cannot", "remember", "if"), ("not", "sure", "if"), ("not", "sure", "whether"), ("not", "sure", "i"), ("cant", "remember", "if"), ("can't", "remember", "if"), ("cant", "remember", "when"),
    ("can't", "remember", "when"), ("cant", "remember", "whether"), ("cant", "recall", "if"), ("forgot", "if"), ("forget", "if"), ("no", "idea", "if", "i"), ("no", "idea", "when"), ("unsure", "if"), ("unsure", "whether"),
    ("wonder", "if", "i"), ("dont", "know", "if", "i"), ("don't", "know", "if", "i"), ("dont", "remember", "if"), ("not", "certain", "if"), ("did", "i", "or", "didnt"), ("forgotten", "if"), ("forgot", "whether"), ("wondering", "if"), ("don't", "remember", "if"), ("dont", "remember", "watering"), ("cant", "think", "if"), ("not", "sure", "when"),
)  # fmt: skip
STARTS = frozenset(
    "when what whats what's which who whos who's where wheres where's how hows how's why did does is are am have has was were do can could any anything anyone wot show list whens when's should shall due whatve may".split()
)
ASKING = frozenset("i we you they the it there any anything all my these those renske's".split())


def is_question(words: list[str], talk: Talk) -> bool:
    """Return whether the note asks something, with or without a question mark."""
    words = _without_greeting(words)
    if not words:
        return False
    if words[:2] in (["could", "you"], ["can", "you"], ["would", "you"]) and "remind" in words[:5]:
        return False
    if (
        words[0] == "when"
        and ("i" in words or "want" in words)
        and "?" not in words
        and words[1:2] not in (["did"], ["do"], ["was"], ["can"], ["should"], ["will"], ["am"], ["have"])
        and any(one.family in ("plan", "remind") for one in talk.items)
    ):
        return False
    if words[-1] == "when" or words[-2:] == ["when", "?"]:
        return True
    if any(tuple(words[: len(one)]) == one for one in DOUBTS):
        return True
    mark = words[-1] == "?" or "?" in words[-2:]
    if any(word in words for word in ("whats", "what's", "what?")) or words[-2:] == ["what", "?"]:
        return True
    if words[0] in ("germination", "germ") and ("figures" in words or "rate" in words or mark):
        return True
    first, second = words[0], words[1] if len(words) > 1 else ""
    if first in ("have", "has", "did", "do", "is", "are", "were", "was") and second in ("any", "anything", "all", "anyone"):
        return True
    if (
        first in ("is", "are", "could", "was", "would")
        and second in ("that", "this", "it", "these", "those", "they")
        and any(one.family == "sign" for one in talk.items)
        and not any(one.family == "act" for one in talk.items)
    ):
        return False
    if first in (
        "how's",
        "whats",
        "what's",
        "wheres",
        "where's",
        "whos",
        "who's",
        "whens",
        "when's",
        "hows",
        "wot",
        "which",
        "who",
        "where",
        "show",
        "list",
        "how",
        "what",
        "when",
        "whatve",
    ):
        if (
            first == "when"
            and not mark
            and second
            not in (
                "did",
                "do",
                "does",
                "was",
                "were",
                "is",
                "are",
                "can",
                "should",
                "will",
                "last",
                "next",
                "am",
                "have",
                "has",
                "to",
                "due",
                "shall",
                "could",
            )
        ):
            return False
        if first in ("what", "how") and second in ("a", "they", "its") and not mark:
            return False
        if first == "list" and second == "of" and not mark:
            return True
        return True
    if first == "any" and second in ("good", "luck"):
        return True
    if first in (
        "did",
        "have",
        "has",
        "do",
        "does",
        "can",
        "could",
        "should",
        "shall",
        "am",
        "is",
        "are",
        "was",
        "were",
        "didnt",
        "havent",
        "may",
    ):
        return (
            mark
            or second in ("i", "we")
            or (
                (
                    first in ("is", "are", "was", "were", "does", "has")
                    and second in ("it", "there", "the", "they", "my", "anything", "any")
                )
                or (first in ("is", "are", "has", "have") and _third_is_set(words))
            )
            or (first == "did" and second in ("it", "they", "any", "anything", "renske's", "that"))
            or (
                first == "did"
                and second == "the"
                and any(
                    w in ("work", "root", "take", "germinate", "survive", "flower", "make", "come", "die", "help") for w in words
                )
            )
        )
    if first in ("any", "anything", "anyone") and (mark or len(words) > 1):
        return True
    if first in ("coldest", "lowest", "hottest", "warmest", "highest", "min", "max", "losses", "survivors") and mark:
        return True
    if first == "dose" or words[:2] == ["loss", "rate"] or (mark and {"parent", "parents", "children", "offspring"} & set(words)):
        return True
    if first in ("does", "do", "did", "has", "have") and second in ("anyone", "anybody", "anything", "everyone"):
        return True
    if first in ("due", "jobs", "todo") and len(words) <= 4:
        return True
    if first == "last" and mark:
        return True
    if first == "tell" and second == "me":
        return True
    if words[0] == "ok" and words[1:2] == ["to"]:
        return True
    return bool(mark and {"due", "when", "where", "how", "many", "still", "ok"} & set(words))


def _third_is_set(words: list[str]) -> bool:
    return len(words) > 2 and (words[1].isdigit() or words[1] in ("tray", "bench", "frame"))


def _without_greeting(words: list[str]) -> list[str]:
    while (
        words
        and words[0] in ("i", "oh", "right", "well")
        and tuple(words[1:3]) in {one[:2] for one in DOUBTS} | {("can't", "remember"), ("wonder", "if")}
    ):
        words = words[1:]
    if words[:3] in (["can", "you", "tell"], ["could", "you", "tell"], ["please", "tell", "me"]) or words[:3] in (
        ["can", "you", "show"],
        ["could", "you", "show"],
    ):
        words = words[2:]
    if words[:2] == ["tell", "me"] and len(words) > 3 and words[2] in STARTS:
        words = words[2:]
    while (
        words
        and words[0]
        in ("hi", "hey", "hello", "so", "ok", "and", "um", "er", "quick", "question", ":", ",", "please", "remind", "me")
        and len(words) > 1
    ):
        if words[0] == "ok" and words[1] == "to":
            break
        if words[0] == "remind":
            if words[:2] == ["remind", "me"] and len(words) > 2 and words[2] in ("when", "what", "where", "how", "which"):
                words = words[2:]
            break
        words = words[1:]
    return words


def read(words: list[str], talk: Talk) -> None:
    """Write the question a note asks."""
    words = _without_greeting(words)
    said = set(words)
    acts = [one for one in talk.items if one.family == "act"]
    signs = [one for one in talk.items if one.family == "sign"]
    about = _about(words, said, acts, signs, talk)
    act = next((one.meaning for one in acts if one.meaning != "died" or about != "losses"), None)
    if about == "not_since" and len(acts) > 1:
        act = acts[-1].meaning
    if act == "rest_started" and next(one for one in acts if one.meaning == act).low.startswith(("last", "final")):
        act = "watered"
    if about == "last_done" and act == "rest_ended" and acts[0].low.startswith(("start", "restart")):
        act = "watered"
    if about == "last_done" and act is None and {"find", "found", "look", "looked", "see"} & said:
        act = "inspected"
    if about == "list" and {"labels", "label"} & said and ({"missing", "lost", "faded", "gone"} & said):
        act = "label_lost"
    if about == "list" and {"name", "names", "unnamed", "unidentified", "nameless"} & said and act in (None, "acquired"):
        act = "named"
    sign = signs[0].meaning if signs else None
    if any(one.family == "nowater" for one in talk.items) and act is None and about == "last_done":
        act = "watered"
    since, until = _period(talk, about, words)
    which = _which(talk, about)
    details = _details(talk) if about == "dose" else {}
    if about in (
        "list",
        "source",
        "card",
        "where",
        "count",
        "losses",
        "flowering",
        "swap_list",
        "climate",
        "germination",
        "rooted",
        "wet_in_frost",
        "rest_check",
        "journal",
        "dose",
        "may_water",
        "dry_time",
        "sprayed",
        "lineage",
        "wishes",
    ) and not (
        about == "list"
        and act
        in (
            "set_to_dry",
            "repotted",
            "label_lost",
            "isolated",
            "treated",
            "offered",
            "sown",
            "unpotted",
            "named",
            "potted",
            "grafted",
            "fed",
            "watered",
        )
    ):
        act = None
    if about == "list" and act == "isolated":
        act, which = None, which or Selection(state="quarantine")
    if about not in ("list", "last_done", "not_since", "done_since", "losses", "count"):
        sign = None
    if about == "list" and sign in ("flowering", "healthy", "pest"):
        sign = None if sign == "healthy" else sign
    if about == "due" and act in ("acquired", "cleaned"):
        act = None
    if about == "due" and act is None and signs:
        sign = None
    if about == "card" and which is not None and (which.places or which.lots) and not (which.labels or which.nicknames):
        about = "list"
    entry = Entry(
        "question",
        about=about,
        act=act,
        sign=sign if act is None else None,
        which=which,
        since=since,
        until=until,
        details=details,
    )
    talk.add(entry, (0, len(talk.text)))
    talk.rules.append(f"question: {about}")


def _about(words: list[str], said: set[str], acts: list[Item], signs: list[Item], talk: Talk) -> str:
    """Return which of the known questions the words ask; the first rule that fits."""
    text = " ".join(words)
    meanings = {one.meaning for one in acts}
    sign_meanings = {one.meaning for one in signs}
    first = words[0]
    for about, fits in (
        (
            "dose",
            ("how much" in text or "how many ml" in text or "what dose" in text or "dose for" in text or "how many mls" in text)
            and ("l" in said or "litres" in said or "litre" in said or any(one.family == "dose" for one in talk.items)),
        ),
        ("last_done", any(tuple(words[: len(one)]) == one for one in DOUBTS) and bool(acts)),
        ("last_done", words[-1] == "when" or words[-2:] == ["when", "?"]),
        ("last_done", ("find" in said or "found" in said) and ("last" in said or first in ("what", "whats", "when"))),
        ("journal", "story" in said or "history" in said or "over the years" in text or "diary" in said),
        (
            "due",
            (
                "meant to" in text
                or "planned" in said
                or "planning" in said
                or "was i going to" in text
                or "supposed to do" in text
                or "on the list" in text
                or "still to do" in text
            )
            and first in ("what", "whats", "anything", "what's"),
        ),
        ("list", meanings & {"set_to_dry"} and first in ("what", "whats", "what's", "which", "anything", "show", "list")),
        ("list", bool({"label", "labels"} & said) and bool({"missing", "lost", "faded", "gone", "without"} & said)),
        (
            "list",
            bool({"name", "names", "unnamed", "unidentified", "nameless"} & said)
            and first in ("what", "whats", "which", "anything", "list", "show", "who"),
        ),
        (
            "rest_check",
            bool({"wet", "dry", "damp"} & said) and bool({"shd", "should", "shld", "supposed", "shouldnt", "ought"} & said),
        ),
        ("lineage", bool({"parent", "parents", "mother", "children", "offspring", "daughters", "kids", "descend"} & said)),
        (
            "outcome",
            "any good" in text
            or "do the trick" in text
            or "make a difference" in text
            or "clear it" in text
            or "clear them" in text,
        ),
        ("wet_in_frost", text.strip(" ?") in ("what was wet", "whats wet", "what's wet", "what is wet", "which were wet")),
        (
            "wet_in_frost",
            ("wet" in said or "damp" in said) and ({"froze", "frost", "freeze", "frozen", "frosty", "freezing"} & said),
        ),
        ("climate", first in ("coldest", "lowest", "hottest", "warmest", "highest", "min", "max")),
        ("losses", "loss" in said and "rate" in said),
        (
            "climate",
            (
                {
                    "cold",
                    "warm",
                    "hot",
                    "low",
                    "high",
                    "min",
                    "max",
                    "temp",
                    "temperature",
                    "minimum",
                    "maximum",
                    "frosts",
                    "lowest",
                    "coldest",
                    "hottest",
                    "nights",
                    "temps",
                    "highest",
                    "warmest",
                }
                & said
            )
            and (
                "how" in said
                or first
                in ("what", "whats", "what's", "min", "max", "lowest", "coldest", "which", "when", "did", "any", "show", "last")
            )
            and not meanings & {"watered"},
        ),
        (
            "dry_time",
            ("how long" in text or "how fast" in text or "how quickly" in text or "how many days" in text)
            and {"dry", "drying"} & said
            and not {"since", "been"} & said,
        ),
        (
            "sprayed",
            (
                {"bees", "visitors", "visitor", "pets", "cat", "dog", "kids", "bee", "children"} & said
                and (meanings & {"treated"} or "safe" in said)
            )
            or text.startswith(("is it safe", "safe to"))
            or ("until when" in text and "treated" in meanings),
        ),
        (
            "outcome",
            ("work" in said or "worked" in said or "working" in said or "helped" in said or "help" in said)
            and first in ("did", "has", "have", "is", "are", "what", "was"),
        ),
        (
            "swap_list",
            {"swap", "swaps", "spare", "trade"} & said
            and first in ("what", "whats", "what's", "anything", "which", "show", "list", "can", "any", "swap", "have", "got")
            and "wants" not in said
            and "swapped" not in said,
        ),
        (
            "wishes",
            {"wants", "want", "wanted", "wishes", "wish", "wishlist", "after"} & said
            and first in ("who", "what", "whats", "which", "anyone", "does", "do", "did", "whos", "who's", "show")
            and not meanings & {"watered"},
        ),
        (
            "lineage",
            {"parent", "parents", "mother", "children", "offspring", "descendants", "ancestor", "babies"} & said
            or ("come off" in text and "offsets" in said)
            or "pups of" in text
            or "offsets of" in text
            or ("offsets from" in text and first in ("which", "what", "where")),
        ),
        ("rooted", meanings & {"rooted"} and first != "when"),
        (
            "germination",
            (
                meanings & {"germinated", "sown"}
                and first
                in (
                    "germ",
                    "germination",
                    "how",
                    "what",
                    "whats",
                    "any",
                    "anything",
                    "did",
                    "has",
                    "have",
                    "is",
                    "are",
                    "show",
                    "germination",
                    "how's",
                    "hows",
                )
            )
            or (
                any(one.family == "sowing" for one in talk.items)
                and first in ("how", "hows", "how's", "any", "did", "what", "whats", "show")
            )
            or "germination" in said,
        ),
        ("losses", meanings & {"died"} or {"losses", "survived", "casualties", "survivors"} & said or "loss" in said),
        (
            "source",
            {"paid", "pay", "cost", "price", "costs", "spend", "spent"} & said
            or (
                any(one.family in ("person", "lot") for one in talk.items)
                and (
                    first in ("hows", "how's")
                    or text.startswith(("how are", "how is", "how did"))
                    or (
                        first in ("what", "anything", "which", "show", "whats")
                        and {"from"} & said
                        and not meanings - {"acquired", "given"}
                    )
                )
            ),
        ),
        (
            "source",
            {"from", "get", "got", "source", "gave", "sold", "sent"} & said
            and first in ("who", "where")
            and (meanings & {"acquired"} or {"get", "got", "from", "gave", "sold", "sent"} & said)
            and not (first == "where" and "is" in said and "from" not in said),
        ),
        (
            "not_since",
            (
                "not" in said
                or "hasnt" in said
                or "hasn't" in said
                or "havent" in said
                or "haven't" in said
                or "unwatered" in said
                or "never" in said
                or "wasnt" in said
                or "without" in said
                or "hasnt been" in text
            )
            and first in ("what", "which", "whats", "anything", "any", "show", "list", "who", "what's")
            and bool(acts),
        ),
        (
            "rest_check",
            ("should be" in text or "shouldnt be" in text or "supposed to be" in text or "ought to be" in text)
            and ({"dry", "wet", "resting", "asleep", "rest", "watered", "growing"} & said),
        ),
        (
            "may_water",
            (
                "on hold" in text
                or (
                    meanings & {"watered"}
                    and (
                        {"can", "may", "ok", "safe", "okay", "should", "could", "allowed"} & set(words[:3])
                        or "ok to" in text
                        or ("yet" in said and first in ("can", "may", "is", "are"))
                    )
                )
            ),
        ),
        ("last_done", any(tuple(words[: len(one)]) == one for one in DOUBTS) and bool(acts)),
        (
            "due",
            {"due", "overdue", "todo", "jobs"} & said
            or "needs doing" in text
            or "need doing" in text
            or ("to do" in text and first in ("what", "whats", "anything", "what's"))
            or (
                "next" in said and first in ("when", "whens", "when's", "what", "whats") and "to" not in said[:0]
                if False
                else False
            ),
        ),
        ("due", ("next" in said or "again" in said) and first in ("when", "whens", "when's", "what", "whats", "what's")),
        (
            "flowering",
            sign_meanings & {"flowering", "budding"}
            and first
            in (
                "what",
                "whats",
                "what's",
                "which",
                "anything",
                "any",
                "show",
                "list",
                "when",
                "did",
                "whens",
                "is",
                "are",
                "was",
                "were",
            ),
        ),
        ("not_since", False),
        (
            "last_done",
            first in ("when", "whens", "when's")
            and (bool(acts) or "last" in said or bool(signs))
            and not {"should", "can", "may", "do"} & set(words[:3]),
        ),
        ("last_done", "last" in said and bool(acts) and first not in ("what", "whats") and not _has_period(talk)),
        ("last_done", "how long since" in text or "how long ago" in text or "how many days since" in text),
        (
            "done_since",
            first in ("did", "have", "has", "was", "were", "am", "are", "didnt", "havent", "is")
            and bool(acts)
            and _has_period(talk),
        ),
        (
            "last_done",
            first in ("did", "have", "has", "was", "were", "didnt", "havent") and bool(acts) and not meanings & {"acquired"},
        ),
        ("count", "how many" in text or "number of" in text or "count of" in text or first == "count"),
        (
            "where",
            first in ("where", "wheres", "where's")
            or "where is" in text
            or "which bench" in text
            or "which tray" in text
            or "where did i put" in text,
        ),
        (
            "journal",
            (
                "what did i do" in text
                or "what did we do" in text
                or "what have i done" in text
                or "what happened" in text
                or "what was done" in text
                or text.startswith(("show me yesterday", "what did i log"))
            )
            and not any(one.family in ("label", "nickname") for one in talk.items),
        ),
        (
            "due",
            first in ("when", "what", "whats", "what's", "do", "should", "which", "does", "anything", "whens")
            and (
                bool({"need", "needs", "wants", "should", "wanting", "thirsty", "do"} & said)
                and (bool(acts) or "water" in said or "thirsty" in said)
            ),
        ),
        (
            "list",
            first in ("which", "anything", "any", "list", "show", "who", "whos")
            and (bool(acts) or bool(signs) or any(one.family == "state" for one in talk.items)),
        ),
        (
            "list",
            first in ("what", "whats", "what's", "whatve", "what've", "which")
            and (
                bool(acts)
                or bool(signs)
                or bool({"quarantine", "in", "on", "left", "unnamed", "name", "label", "labels", "under", "at"} & said)
            ),
        ),
        ("list", first in ("is", "are") and (bool(acts) or {"quarantine"} & said)),
        (
            "card",
            first in ("what", "whats", "what's", "who", "whos", "show", "how", "hows", "how's", "tell", "card", "is", "are"),
        ),
        ("due", bool(acts) and words[-1] == "?"),
    ):
        if fits:
            return about
    return "list" if signs or acts else "card"


def _has_period(talk: Talk) -> bool:
    return any(one.family == "date" for one in talk.items) or any(one.family == "since" for one in talk.items)


def _period(talk: Talk, about: str, words: list[str]) -> tuple[date | None, date | None]:
    """Return (since, until) that the question names."""
    day = next((one for one in talk.items if one.family == "date"), None)
    if day is None:
        years = next(
            (one for one in talk.items if one.family == "amount" and isinstance(one.value, Amount) and one.value.unit == "days"),
            None,
        )
        if years is not None and about in ("not_since", "done_since", "losses", "list", "last_done"):
            days = round(years.value.value)
            if days % 365 == 0:
                back = talk.today
                return back.replace(year=back.year - days // 365, day=min(back.day, 28)), None
            return talk.today - timedelta(days=days), None
        return None, None
    phrase = day.value
    if about == "not_since" and phrase.part == "ahead":
        back = talk.today - timedelta(days=phrase.days)
        if phrase.days % 365 == 0:
            back = talk.today.replace(year=talk.today.year - phrase.days // 365, day=min(talk.today.day, 28))
        return back, None
    ahead = about in ("due", "may_water") or phrase.days > 0
    found = talk.day(phrase, ahead)
    if found is None:
        return None, None
    if about == "due":
        return None, found.last if found.last is not None else found.on
    if about == "journal":
        return found.first or found.on, found.last or found.on
    if about == "may_water":
        return None, None
    since = found.first or found.on
    closed = found.last is not None and found.last < talk.today
    if closed and any(one.family == "since" for one in talk.items):
        closed = False
    return since, found.last if closed else None


def _which(talk: Talk, about: str) -> Selection | None:
    subjects = Subjects(talk.items, talk.names, talk.text)
    elements = flow(
        [one for one in talk.items if one.family != "q"],
        Subjects([one for one in talk.items if one.family != "q"], talk.names, talk.text),
    )
    _ = subjects
    phrases = [one for one in elements if is_phrase(one)]
    people = [one for one in talk.items if one.family == "person"]
    clause = Clause(before=list(phrases))
    for phrase in phrases:
        _label(phrase, phrases, about)
    _ = Splitter
    said = gather(clause, talk, None)
    fields: dict[str, Any] = {}
    if said.sets:
        fields = dict(said.sets[0])
    fields.pop("words", None) if set(fields) == {"words"} and not any(one.article for one in phrases) else None
    if people and about in ("losses", "source", "list", "count", "card", "due", "last_done"):
        lot = next((key for key in talk.names.names.lots if key.lower() == people[0].meaning), None)
        if lot is not None:
            fields.setdefault("lots", (lot,))
    if fields.get("refer") == "all" and len(fields) == 1:
        fields = {}
    return Selection(**fields) if fields else None


def _label(phrase: Phrase, phrases: list[Phrase], about: str) -> None:
    if phrase.bare and "labels" in phrase.fields and about != "dose":
        phrase.bare = False


def _details(talk: Talk) -> dict[str, Any]:
    details: dict[str, Any] = {}
    for one in talk.items:
        if one.family == "dose" and one.value:
            details["dose"] = one.value
        elif one.family == "amount" and isinstance(one.value, Amount) and one.value.unit == "l":
            details["litres"] = one.value.value
        elif one.family == "product":
            details["product"] = one.low
    return details
