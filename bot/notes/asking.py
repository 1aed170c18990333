"""Whether a note asks something, with or without a question mark."""

from __future__ import annotations

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
    words = without_greeting(words)
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


def without_greeting(words: list[str]) -> list[str]:
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
