"""Which of the known questions the words ask: the first rule that fits."""

from __future__ import annotations

from bot.notes.asking import doubts_whether
from bot.notes.items import Item
from bot.notes.talk import Talk


def about_of(words: list[str], said: set[str], acts: list[Item], signs: list[Item], talk: Talk) -> str:
    """Return which of the known questions the words ask; the first rule that fits."""
    text = " ".join(words)
    meanings = {one.meaning for one in acts}
    sign_meanings = {one.meaning for one in signs}
    first = words[0]
    for about, fits in (
        ("list", "cases" in said and bool(signs)),
        ("rest_check", "rest" in said and bool({"end", "ends", "start", "starts", "over", "begin"} & said) and first == "when"),
        ("due", "plan" in said and first in ("what", "whats", "what's")),
        ("list", bool(signs) and first in ("is", "are") and "there" in words[:2]),
        (
            "dose",
            ("how much" in text or "how many ml" in text or "what dose" in text or "dose for" in text or "how many mls" in text)
            and ("l" in said or "litres" in said or "litre" in said or any(one.family == "dose" for one in talk.items)),
        ),
        ("last_done", doubts_whether(words) and bool(acts)),
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
        ("last_done", doubts_whether(words) and bool(acts)),
        (
            "due",
            {"due", "overdue", "todo", "jobs"} & said
            or "needs doing" in text
            or "need doing" in text
            or ("to do" in text and first in ("what", "whats", "anything", "what's")),
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
        ("last_done", "last" in said and bool(acts) and first not in ("what", "whats") and not has_period(talk)),
        ("last_done", "how long since" in text or "how long ago" in text or "how many days since" in text),
        (
            "done_since",
            first in ("did", "have", "has", "was", "were", "am", "are", "didnt", "havent", "is")
            and bool(acts)
            and has_period(talk),
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


def has_period(talk: Talk) -> bool:
    return any(one.family == "date" for one in talk.items) or any(one.family == "since" for one in talk.items)
