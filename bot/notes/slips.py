"""Typing slips: an unknown word that is nearly one of ours. A known word is never turned into another."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from bot.notes.lexicon import load


class Slips:
    """Finds the nearest word for a slip, by edit distance (swapped letters count once), first letter kept for short words."""

    def __init__(self, words: Iterable[str], language: str = "en") -> None:
        self.language = language
        self._by_letter: dict[str, list[str]] = {}
        self._by_skeleton: dict[str, set[str]] = {}
        for word in words:
            self._by_letter.setdefault(word[0], []).append(word)
            self._by_skeleton.setdefault(skeleton(word), set()).add(word)

    def _swapped(self, word: str) -> str | None:
        """Return the word of the same four letters, two of them swapped, or with one letter doubled or dropped."""
        near = [
            one
            for one in self._by_letter.get(word[0], ())
            if (len(one) == 4 and sorted(one) == sorted(word))
            or (len(one) == 5 and skeleton(one) == skeleton(word) and one[-1] == word[-1])
        ]
        return near[0] if len(near) == 1 else None

    def _alike(self, words: list[str], word: str) -> str | None:
        """Return one of several words that mean the same, the one that ends like `word` first; None where they differ."""
        single = load(self.language).single
        meant = {single[one][0][:2] if one in single else None for one in words}
        if len(words) < 2 or len(meant) != 1 or None in meant:
            return None
        return next((one for one in words if one[-1] == word[-1]), words[0])

    def nearest(self, word: str) -> str | None:
        """Return the one word that `word` is a slip of, or None where none or several are as near."""
        if len(word) < 4 or not word.isalpha():
            return None
        from rapidfuzz import process  # noqa: PLC0415  only where a word is unknown
        from rapidfuzz.distance import OSA  # noqa: PLC0415

        if len(word) == 4:
            return self._swapped(word)
        allowed = 1 if len(word) < 9 else 2
        choices: Sequence[str] = self._by_letter.get(word[0], [])
        near = process.extract(word, choices, scorer=OSA.distance, score_cutoff=allowed, limit=4)
        alike = self._alike([str(one[0]) for one in near if one[1] == near[0][1]], word) if len(near) > 1 else None
        if alike is not None:
            return alike
        if not near or (near[0][1] > 0 and len(near) > 1):
            same = self._by_skeleton.get(skeleton(word), set())
            if len(same) == 1 and len(skeleton(word)) >= 4:
                return next(iter(same))
        if not near or (len(near) > 1 and near[0][1] == near[1][1] and near[0][0].rstrip("s") != near[1][0].rstrip("s")):
            return None
        return str(near[0][0])


def skeleton(word: str) -> str:
    """Return the first letter and the consonants after it, doubled ones once: "watered" and "wtrd" agree."""
    out = word[0]
    for letter in word[1:]:
        if letter not in "aeiou" and letter != out[-1]:
            out += letter
    return out


def slips(language: str, names: tuple[str, ...]) -> Slips:
    """Return the slip finder over a language's words and a collection's own."""
    return Slips((*load(language).content, *names), language)
