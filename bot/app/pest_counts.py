"""How many of a pest a note counts: "12 mites on 12, 3 webs" are 12."""

from __future__ import annotations

import re

_WORDS = {
    "spider_mite": r"(?:live |red |spider )*mites?",
    "mealybug": r"(?:live )?(?:mealies|mealy|mealy ?bugs?)",
    "root_mealybug": r"root meal(?:ies|y|y ?bugs?)",
    "scale_insect": r"(?:live )?scales?(?: insects?)?",
    "aphid": r"aphids?|greenfl(?:y|ies)",
    "thrips": r"thrips",
    "fungus_gnat": r"(?:fungus )?gnats?|sciarids?",
    "whitefly": r"whitefl(?:y|ies)",
    "slug": r"slugs?",
    "vine_weevil": r"(?:vine )?weevils?",
}


def pest_count(text: str, sign: str) -> int | None:
    """Return how many of a pest the words count; None where they do not."""
    words = _WORDS.get(sign)
    match = re.search(rf"(?<![\w-])(\d{{1,4}}) (?:{words})\b", text.lower()) if words else None
    return int(match[1]) if match else None
