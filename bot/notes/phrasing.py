"""A reading in the words of the bench, so that it reads back to itself: the examples of the lexicon with other plants in them."""

from __future__ import annotations

from datetime import date
from functools import cache

from bot.notes.lexicon import inflections, rows
from bot.notes.reading import Entry, Reading, Selection

PLANT = "41"  # the plant that the lexicon's examples are about
_STATUS = {"present": "{}", "absent": "no {}", "cleared": "{} gone", "suspected": "maybe {}"}
_NOUNS = ("spider_mite", "mealybug", "root_mealybug", "scale_insect", "thrips", "whitefly", "fungus_gnat")


@cache
def examples(family: str, language: str = "en") -> dict[str, str]:
    """Return by meaning the first example of the lexicon that is one of its forms and one plant, and says nothing else."""
    found: dict[str, str] = {}
    for row in rows(language):
        if row.family != family or row.more or PLANT not in row.example.split():
            continue
        bare = " ".join(word for word in row.example.split() if word != PLANT).removesuffix(" on")
        forms = {said for one in row.forms for said, _ in inflections(one)} if family == "act" else set(row.forms)
        plainest = bare == row.meaning.replace("_", " ")
        if bare in forms and (plainest or row.meaning not in found):
            found[row.meaning] = row.example
    return found


def phrase(reading: Reading, language: str = "en") -> str | None:
    """Return a note that says what the reading holds, a sentence an entry; None where it holds what has no such words here.

    Words exist for events, skips and findings on named plants, thermometer readings, heights, weights and holds until a day.
    """
    said = [_entry(one, language) for one in reading.entries]
    return None if not said or None in said else ". ".join(str(one) for one in said)


def plants(which: Selection | None) -> str | None:
    """Return the words of a selection of one kind: labels, places, genera or sowings; None for any other."""
    if which is None:
        return None
    fields = which.to_json()
    if len(fields) != 1:
        return None
    key, value = next(iter(fields.items()))
    if key in ("labels", "places", "sowings"):
        return " and ".join(value) if key != "labels" else ", ".join(value)
    return f"the {value[0]}" if key == "taxa" and len(value) == 1 else None


def _entry(one: Entry, language: str) -> str | None:
    said = _SAID.get(one.type)
    words = said(one, language) if said is not None and one.sure and not one.details and not one.approx else None
    return f"{words} on {one.when.isoformat()}" if words is not None and one.when is not None else words


def _event(one: Entry, language: str) -> str | None:
    example, named = examples("act", language).get(str(one.act)), plants(one.which)
    return example.replace(PLANT, named) if example is not None and named is not None else None


def _skip(one: Entry, _language: str) -> str | None:
    named = plants(one.which)
    return f"didn't water {named}" if one.act == "watered" and named is not None and one.why is None else None


def _finding(one: Entry, language: str) -> str | None:
    example, named = examples("sign", language).get(str(one.sign)), plants(one.which)
    if example is None or named is None:
        return None
    if one.status == "present":
        return example.replace(PLANT, named)
    words = example.replace(f" on {PLANT}", "")
    return f"{_STATUS[str(one.status)].format(words)} on {named}" if one.sign in _NOUNS and PLANT not in words else None


def _climate(one: Entry, _language: str) -> str | None:
    parts = [f"{name} {value:g}" for name, value in (("min", one.min_c), ("max", one.max_c)) if value is not None]
    return " ".join([*([one.place] if one.place else []), *parts]) if parts else None


def _measure(one: Entry, _language: str) -> str | None:
    named = plants(one.which)
    words = {("height", "cm"): "{} is {:g} cm tall", ("weight", "g"): "{} weighs {:g} g"}.get((str(one.of), str(one.unit)))
    return words.format(named, one.value) if words is not None and named is not None and one.value is not None else None


def _hold(one: Entry, _language: str) -> str | None:
    named = plants(one.which)
    return f"no water for {named} till {one.until.isoformat()}" if named is not None and isinstance(one.until, date) else None


_SAID = {"event": _event, "skip": _skip, "finding": _finding, "climate": _climate, "measure": _measure, "hold": _hold}
