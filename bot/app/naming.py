"""A name as a grower types it ("gymnos", "rebutia heliosa") as the record keeps it: genus in full, the rest as typed."""

from __future__ import annotations

from bot.notes import lexicon


def taxon_name(typed: str, language: str) -> str:
    """Return a name with its genus spelled out in the singular; a name that the lexicon does not know stays as typed."""
    words = typed.strip().split()
    if not words:
        return ""
    genus = _genus_of(words[0].lower(), language)
    if genus is None:
        return typed.strip()
    return " ".join([genus.capitalize(), *words[1:]])


def _genus_of(word: str, language: str) -> str | None:
    for phrase in lexicon.load(language).first.get(word, ()):
        if len(phrase.words) == 1:
            taxa = [one.meaning for one in phrase.senses if one.family == "taxon"]
            return taxa[0].split(" ")[0] if taxa else None
    return None
