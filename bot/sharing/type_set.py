"""Names set in type by the codes: what is Latin in italics, rank terms, cultivars, crosses and what stands behind in upright.

Scientific names are set apart by italics (ICN, Turland et al. 2018, Preface and Rec. 60F as usual practice); the words for
ranks, "cf.", "aff.", "sp." and the cross are not part of the Latin; cultivar epithets stand in single quotes and upright
(ICNCP, Brickell et al. 2016, Art. 14 and Rec. 14A).
"""

from __future__ import annotations

import re

CROSS = "\N{MULTIPLICATION SIGN}"
UPRIGHT = frozenset(
    """subsp. ssp. var. subvar. f. forma fo. subf. nothosubsp. nothovar. cf. aff. sp. spp. ssp subsp var cf aff sp spp cv. hybrid
    hybrids hort. x""".split()
) | {CROSS}
_QUOTED = re.compile(
    "['\N{LEFT SINGLE QUOTATION MARK}\"][^'\N{RIGHT SINGLE QUOTATION MARK}\"]+['\N{RIGHT SINGLE QUOTATION MARK}\"]"
)
_LATIN = re.compile(r"[a-zäöüëï]{3,}(?:-[a-zäöüëï]+)*")
_GENUS = re.compile(r"[A-ZÄÖÜ][a-zäöüëï]{2,}")


def set_in_type(name: str) -> list[tuple[str, bool]]:
    """Return the pieces of a name in order, each with whether it is set in italics; joined they are the name.

    A lone x between words becomes the multiplication sign. A name that does not begin with a genus stays upright whole.
    """
    words = _words(name)
    if not words or not _GENUS.fullmatch(words[0].removeprefix(CROSS)):
        return [(name, False)]
    pieces: list[tuple[str, bool]] = []
    latin = True
    for number, word in enumerate(words):
        said = CROSS if word.lower() == "x" else word
        italic = number == 0 or (latin and _LATIN.fullmatch(word) is not None and word.lower() not in UPRIGHT)
        if not italic and word.lower() not in UPRIGHT and number:
            latin = _QUOTED.fullmatch(word) is not None  # behind an author or a number nothing is Latin any more
        if pieces and pieces[-1][1] == italic:
            pieces[-1] = (f"{pieces[-1][0]} {said}", italic)
        else:
            pieces.append((said if not pieces else f" {said}", italic))
    return pieces


def _words(name: str) -> list[str]:
    """Return the words of a name, one in quotes being one word."""
    return re.findall(f"{_QUOTED.pattern}|\\S+", name)
