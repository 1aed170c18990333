"""Which picture words ask for: "picture of the degree-days for 12", "plot mites on bench 2 as pdf", "flowering calendar"."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

QUARANTINE = "quarantine"
YEAR_WEEKS = 52
Of = Literal["degree_days", "drying", "due_load", "flowering", "germination", "survival", "watering"]


@dataclass(frozen=True, slots=True)
class Asked:
    """A picture that is asked for: of what (None where the words do not tell), the words for what it is about, and its form."""

    of: Of | None
    about: str = ""
    form: str = "png"


_FORM = re.compile(
    r",?\s*\b(?:as|in|to)\s+(?:an?\s+)?(?P<form>pdf|svg|png|gif|jpe?g|webp|bmp|tiff?|csv|xlsx)\b(?:\s+(?:file|please))?|\s+(?P<bare>pdf|svg)$",
    re.IGNORECASE,
)
_POLITE = re.compile(
    r"^(?:(?:please|pls|hi|hey|can you|could you|would you|(?:can|could|may) (?:i|we) (?:see|have|get)"
    r"|i(?:'d| would) like(?: to see)?|i want(?: to see)?|let me see)[, ]+)+|"
    r"[, ]+(?:please|pls|thanks|thx)$",
    re.IGNORECASE,
)
_WORDS_OF: dict[Of, str] = {
    "survival": r"surviv\w+|kaplan[- ]meier",
    "germination": r"germinat\w+|seedlings?|sowings?|sown|seeds?",
    "flowering": r"flower\w*|bloom\w*|blossom\w*",
    "drying": r"dry\w*(?:[- ]?(?:off|out|down))?|dries(?: (?:off|out))?|water left|moisture|how wet|wetness",
    "due_load": r"(?:whats?|what's|what is|all thats?|everything) (?:is )?(?:due|coming(?: up)?)|due(?: load)?"
    r"|work ?load|load|work|(?:coming|next) (?:\w+ )?(?:weeks|months?)|(?:weeks|month) ahead|jobs|tasks|to[- ]?dos?",
    "watering": r"water\w*|soak\w*|fed|feeds?|feeding",
    "degree_days": r"degree[- ]?days?|day[- ]degrees?|gdd|temperatures?|temps?|warmth|heat(?: sums?)?|(?:spider |flat )?mites?"
    r"|(?:root )?mealy(?: ?bugs?)?|mealies|scale(?: insects?)?|aphids?|thrips|whitefly|pests?|next look|quarantine",
}
_KINDS = {of: re.compile(rf"\b(?:{words})\b", re.IGNORECASE) for of, words in _WORDS_OF.items()}
_NOUN = r"(?:picture|pic|plot|graph|chart|diagram|curve|drawing)s?"
_AFTER_NOUN = (
    r"(?=$|[,.] | (?:of|for|on|in|at|by|from|to|over|as|how|when|what|whats|what's|where|which|with|that|this|showing)\b)"
)
_A, _SOME = r"(?:show|send|give|make|get|draw|do)(?: me| us)? ", r"(?:the|an?|my|some|another|new) "
_DRAWS = re.compile(
    rf"(?:(?:re)?plot|draw|graph|chart|sketch)(?! (?:is|was|has|off|up|down)\b)\b"
    rf"|(?:{_SOME})?(?:{'|'.join(_WORDS_OF.values())}) (?:curve|chart|graph|diagram)s? (?!house|room|shel|bench(?! ?\d)|table)"
    rf"|{_A}(?:{_SOME})?(?:\S+ ){{0,4}}{_NOUN}\b|(?:{_SOME})?(?:(?:{'|'.join(_WORDS_OF.values())}) )?{_NOUN}{_AFTER_NOUN}",
    re.IGNORECASE,
)
# "whats due as a picture", "how is S1 germinating, plot it": a picture, whatever stands before.
_AS_PICTURE = re.compile(
    rf",? ?\b(?:(?:as|in) (?:an? )?{_NOUN}|(?:and )?(?:plot|draw|graph|chart) (?:it|that|them))$", re.IGNORECASE
)
# Nouns that name a picture by themselves, without one of the words above.
_BY_NAME = re.compile(
    r"(?:(?:show|send|give|make|get)(?: me| us)? )?(?:the |my |an? )?"
    r"(?:flower(?:ing)? (?:calendar|diary)|bloom(?:ing)? calendar|(?:due |work ?)load|watering calendar|heat sums?)\b",
    re.IGNORECASE,
)
# Signs that the words may name: only looks for these are then meant; with "quarantine" only its end.
_SIGNS: tuple[tuple[str, frozenset[str]], ...] = (
    (r"flat mites?", frozenset({"flat_mite"})),
    (r"mites?", frozenset({"spider_mite", "flat_mite"})),
    (r"root mealy\w*", frozenset({"root_mealybug"})),
    (r"meal(?:y|ies)\w*", frozenset({"mealybug", "root_mealybug"})),
    (r"scale", frozenset({"scale_insect"})),
    (r"aphids?", frozenset({"aphid"})),
    (r"thrips", frozenset({"thrips"})),
    (r"whitefly", frozenset({"whitefly"})),
    (r"quarantine", frozenset({QUARANTINE})),
)
_GLUE = frozenset(
    """
    a an the my our of for on in at by to me us i is are was were be been when what where how which that this s and with over per
    show send give make get draw plot graph chart sketch picture pictures pic pics plots graphs charts diagram diagrams curve
    curves drawing drawings calendar diary each its their place places year years yearly month months week weeks time until till
    next look looks it's degree degrees days day sum sums all everything so far now today rate rates off out down counts count
    history record records log things pots plants show see up coming last lately been vs against""".split()
)
_SPAN = re.compile(r"\b(?P<count>\d{1,2}) (?P<unit>week|month)s?\b", re.IGNORECASE)
_OF_WHAT = re.compile(r"\b(?:of|for|on|in|at|from)\s+", re.IGNORECASE)


def asked_picture(text: str) -> Asked | None:
    """Return what picture words ask for; None where they ask for something else."""
    words = " ".join(text.split()).rstrip("?.! ")
    found = _FORM.search(words)
    form = (found["form"] or found["bare"]).lower() if found else "png"
    words = _POLITE.sub("", _FORM.sub("", words)).strip(" ,.!?")
    bare = _AS_PICTURE.sub("", words)
    if bare == words and not _DRAWS.match(words) and not _BY_NAME.match(words):
        return None
    words = bare
    of = next((kind for kind, pattern in _KINDS.items() if pattern.search(words)), None)
    return Asked(of, words, form)


def as_picture(text: str) -> bool:
    """Whether words end in a wish for a picture: "survival of the barn lot as a chart"."""
    words = _POLITE.sub("", _FORM.sub("", " ".join(text.split()).rstrip("?.! "))).rstrip(" ,.!?")
    return _AS_PICTURE.search(words) is not None


def abouts(words: str, of: Of) -> list[str]:
    """Return what the words may say that a picture is about, the likeliest first: what stands behind "of", or what is left."""
    pattern, words = _KINDS[of], _SPAN.sub(" ", words)
    tails = [words[found.end() :] for found in _OF_WHAT.finditer(words)]
    kept = [one for one in tails if one and not _only_glue(pattern.sub(" ", one))]
    rest = pattern.sub(" ", words)
    left = " ".join(one for one in re.findall(r"[^\s,]+", rest) if not _is_glue(one))
    candidates = [*reversed(kept), left.removesuffix("'s").removesuffix("'")]
    return list(dict.fromkeys(one.strip(" ,.") for one in candidates if one.strip(" ,.")))


def weeks_named(words: str) -> int | None:
    """Return over how many weeks words ask to look back: a year of them, or as many as they say; None where they do not say."""
    said = _SPAN.search(words)
    if said:
        return min(YEAR_WEEKS, int(said["count"]) * (1 if said["unit"].lower() == "week" else 4))
    return YEAR_WEEKS if re.search(r"\byears?\b", words, re.IGNORECASE) else None


def signs_named(words: str) -> frozenset[str]:
    """Return the signs that words name, `QUARANTINE` among them; none where they name none."""
    return next((signs for pattern, signs in _SIGNS if re.search(rf"\b{pattern}\b", words, re.IGNORECASE)), frozenset())


def _is_glue(word: str) -> bool:
    return word.lower().strip("'") in _GLUE


def _only_glue(words: str) -> bool:
    return all(_is_glue(one) for one in re.findall(r"[\w']+", words))
