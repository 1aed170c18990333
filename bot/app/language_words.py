"""The language of a person: kept with the collection's settings under who it is, and honest where a language is not there."""

from __future__ import annotations

import re
from dataclasses import replace

from bot.notes import languages
from bot.store.people import CollectionSettings

LANGUAGES = "languages"  # in `extra`: the language of each person who has set one, by the person's key
NAMED = {"english": "en", "englisch": "en", "german": "de", "deutsch": "de", "dutch": "nl", "nederlands": "nl", "czech": "cs",
         "cesky": "cs", "česky": "cs", "čeština": "cs", "spanish": "es", "español": "es", "french": "fr", "français": "fr",
         "italian": "it", "italiano": "it", "japanese": "ja"}  # fmt: skip
_ASKED = re.compile(
    r"\b(?:language|speak|write|talk|sprache)\b\s*(?:is|to|in|=|:|auf)?\s*(?:me\s+)?(?:in\s+)?(\S+)?", re.IGNORECASE
)


def asked_for(words: str) -> str | None:
    """Return the language that words ask for, as it was said; "" where they name none, None where they ask for none."""
    found = _ASKED.search(words)
    return (found[1] or "").strip(".,!?") if found else None


def with_language(settings: CollectionSettings, person: int, said: str) -> CollectionSettings:
    """Return the settings in which a person's notes are read in a language. Raises ValueError where it is not there."""
    code = NAMED.get(said.lower(), said.lower())
    if code not in languages.known():
        known = " and ".join(name.capitalize() for name, one in NAMED.items() if one in languages.known() and name.isascii())
        known = "English" if languages.known() == ("en",) else known
        wanted = f"no {said.capitalize()} yet" if said else "so write: language english"
        raise ValueError(f"I read {known} only so far; {wanted}. Plant names may be in any language")
    chosen = dict(settings.extra.get(LANGUAGES, {})) | {str(person): code}
    return replace(settings, extra={**settings.extra, LANGUAGES: chosen})


def language_of(settings: CollectionSettings, person: int) -> str:
    """Return the language of a person: their own setting, else that of the collection."""
    return str(settings.extra.get(LANGUAGES, {}).get(str(person), settings.language))
