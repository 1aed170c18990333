"""What two entries of a note say together: one reading of a thermometer, one set for two acts."""

from __future__ import annotations

import itertools
from dataclasses import replace

from bot.notes.languages import listed
from bot.notes.reading import PESTS, Entry, Selection
from bot.notes.talk import Talk


def join(talk: Talk) -> None:
    """Put together what two entries of the note say."""
    types, acts = [one.type for one in talk.entries], [one.act for one in talk.entries]
    share_sets(talk)
    if "climate" in types:
        join_climate(talk)
    if "acquired" in acts:
        join_arrival(talk)
        count_got(talk)
    if "treated" in acts:
        join_treatment(talk)
    if "finding" in types:
        join_findings(talk)
        share_treated(talk)
    if "skip" in types:
        leave_out_skipped(talk)


def join_climate(talk: Talk) -> None:
    """Make one reading of a thermometer out of "min 3 / max 24", "16°, rh 70 %"."""
    i = 0
    while i + 1 < len(talk.entries):
        one, other = talk.entries[i], talk.entries[i + 1]
        if not one.type == other.type == "climate":
            i += 1
            continue
        names = [name for name in ("min_c", "max_c", "at_c", "set_c", "rh") if getattr(other, name) is not None]
        fits = (
            (other.place in (None, one.place) or (one.place is None and one.at_c is None))
            and not _elsewhere(one, other, talk)
            and one.when == other.when
            and not one.forecast
            and not other.forecast
            and one.set_c is None
            and other.set_c is None
        )
        if fits and all(getattr(one, name) is None for name in names):
            talk.entries[i] = replace(
                one,
                span=(one.span[0], other.span[1]),
                place=one.place or other.place,
                **{name: getattr(other, name) for name in names},
            )
            del talk.entries[i + 1]
        else:
            i += 1


def _elsewhere(one: Entry, other: Entry, talk: Talk) -> bool:
    """Return whether a second temperature was read somewhere else: "-1.5 outside, 4 in here"."""
    said = talk.text[slice(*other.span)].lower()
    return one.place is not None and other.place is None and any(said.rstrip(" .").endswith(here) for here in HERE)


HERE = tuple(listed("spoken")["there"]) + tuple(listed("spoken")["here"])


def share_sets(talk: Talk) -> None:
    """Give the first of two joined acts the set that only the second names: "fed and watered bench 2"."""
    entries = talk.entries
    for i in range(len(entries) - 1):
        one, other = entries[i], entries[i + 1]
        if (
            one.type == other.type == "event"
            and one.which is None
            and other.which is not None
            and one.act != other.act
            and i == 0
        ):
            between = talk.text[one.span[0] : other.span[1]].lower()
            if any(f"{word}" in between.split() for word in ("and", "&", "+", "n", "then")) and one.act not in (
                "acquired",
                "heated",
                "vented",
            ):
                moved = {name: getattr(one, name) for name in Entry.__dataclass_fields__}
                entries[i] = Entry(**{**moved, "which": other.which})
                kept = {name: getattr(other, name) for name in Entry.__dataclass_fields__}
                entries[i + 1] = Entry(**{**kept, "which": None})
                talk.asks[:] = [ask for ask in talk.asks if not (ask[1] == "which" and ask[2].endswith("which plants?"))]


def join_arrival(talk: Talk) -> None:
    """Make one arrival of "new plant from tadeas: 340, ferocactus": the number and the name are the same plant."""
    for i, (one, other) in enumerate(itertools.pairwise(talk.entries)):
        if one.act != "acquired" or other.act != "acquired" or one.which is None:
            continue
        if other.which is None:  # "bought a lobivia from wenke, came in march"
            said = one if one.when is not None else replace(one, when=other.when, approx=other.approx)
            both = replace(said, span=(one.span[0], other.span[1]), details={**other.details, **one.details})
            talk.entries[i : i + 2] = [both]
            return
        numbered, named = one.which.to_json(), other.which.to_json()
        same = numbered.keys() <= {"taxa", "count"} and len(other.which.labels) == (one.which.count or 1)
        if "labels" in named and named.keys() <= {"labels", "places"} and same:
            places = other.which.places or one.which.places
            which = replace(one.which, labels=other.which.labels, count=None, places=places)  # "2 rebutias, numbers 13 and 14"
            talk.entries[i : i + 2] = [replace(one, which=which, span=(one.span[0], other.span[1]))]
            return
        if (
            numbered.keys() == {"labels"}
            and named.keys() == {"taxa"}
            and len(one.which.labels) == 1
            and not other.details.keys() - one.details.keys()
        ):
            span = (one.span[0], other.span[1])
            talk.entries[i : i + 2] = [replace(one, which=replace(one.which, taxa=other.which.taxa), span=span)]
            return


def join_treatment(talk: Talk) -> None:
    """Make one treatment of "treated the mealy on 60 with meths on a cotton bud": the second only says how."""
    said = [i for i, one in enumerate(talk.entries) if one.type != "remark"]
    for i, middle, k in zip(said, said[1:], said[2:], strict=False):
        one, between, other = talk.entries[i], talk.entries[middle], talk.entries[k]
        same = one.act == other.act == "treated" and between.type == "finding" and other.which is None and one.when == other.when
        if not same:
            continue
        apart = set(talk.text[between.span[0] : other.span[1]]) & set(",.;") or one.details.keys() & other.details.keys()
        if not apart:
            talk.entries[i] = joined = replace(one, details={**one.details, **other.details})
            del talk.entries[k]
            if "product" in joined.details:
                talk.asks[:] = [ask for ask in talk.asks if ask[1] != "product"]
            return


def join_findings(talk: Talk) -> None:
    """Make one finding of "opened its first bloom today, wonky": the second only says whose."""
    for i, (one, other) in enumerate(itertools.pairwise(talk.entries)):
        same = one.type == other.type == "finding" and one.sign == other.sign and one.status == other.status
        if same and one.when == other.when and one.which is None and other.which is not None and i == 0:
            talk.entries[i : i + 2] = [replace(other, span=(one.span[0], other.span[1]))]
            talk.asks[:] = [ask for ask in talk.asks if ask[1] != "which" or ask[0] == "ask"]
            return


def share_treated(talk: Talk) -> None:
    """Give a treatment the plants on which its pest sits: "dabbed the mealy on 41 with meths"."""
    said = [i for i, one in enumerate(talk.entries) if one.type != "remark"]
    for i, k in itertools.pairwise(said):
        one, other = talk.entries[i], talk.entries[k]
        treated = one.act == "treated" and one.type == "event" and one.which is None
        seen = other.type == "finding" and other.status == "present" and other.which is not None and one.when == other.when
        if not treated or not seen:
            continue
        apart = set(talk.text[one.span[0] : other.span[1]]) & set(",.;:")
        if not apart and other.sign in PESTS | {"webbing"}:
            talk.entries[i], talk.entries[k] = replace(one, which=other.which), replace(other, which=None)
            talk.asks[:] = [ask for ask in talk.asks if ask[2] != "treated of which plants?"]


COUNTED = frozenset(("pricked_out", "offsets_taken", "cutting_taken", "seed_harvested", "germinated", "divided"))


def count_got(talk: Talk) -> None:
    """Take "pricked the seedlings out, got 42" as how many there were: nothing came in."""
    said = [i for i, one in enumerate(talk.entries) if one.type != "remark"]
    for i, k in itertools.pairwise(said):
        one, other = talk.entries[i], talk.entries[k]
        bare = other.act == "acquired" and other.which is not None and other.which.to_json().keys() == {"count"}
        if bare and not other.details and one.act in COUNTED and (one.which is None or one.which.count is None):
            assert other.which is not None
            which = replace(one.which or Selection(), count=other.which.count)
            talk.entries[i] = replace(one, which=which, span=(one.span[0], other.span[1]))
            del talk.entries[k]
            talk.asks[:] = [ask for ask in talk.asks if ask[2] != _CAME]
            return


_CAME = "what came in is not understood"


def leave_out_skipped(talk: Talk) -> None:
    """Take what a later clause says was skipped out of the labels that an earlier one names: "80-84, skipped 82"."""
    for skipped in talk.entries:
        if skipped.type != "skip" or skipped.which is None or not skipped.which.labels:
            continue
        for i, one in enumerate(talk.entries):
            if one.type != "event" or one.act != skipped.act or one.which is None:
                continue
            if set(skipped.which.labels) < set(one.which.labels):
                taken = Selection(labels=skipped.which.labels)
                talk.entries[i] = replace(one, which=replace(one.which, excluded=(*one.which.excluded, taken)))
