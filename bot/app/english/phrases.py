"""Words for things, days and acts."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from typing import Any

from bot.care.events import CareEvent, Ref
from bot.care.standing import AT, Standing, Thing

_IDENTITY = re.compile(r"^[0-9a-f]{12,}$")
MOST_LABELS = 8

# How an act is said; {what} is what it was done to.
ACTS = {
    "watered": "Watered {what}",
    "fed": "Fed {what}",
    "misted": "Misted {what}",
    "wetted": "Noted the wetting of {what}",
    "damped_down": "Damped down",
    "rest_started": "Rest begun for {what}",
    "rest_ended": "Rest over for {what}",
    "inspected": "Looked over {what}",
    "treated": "Treated {what}",
    "isolated": "Set {what} apart",
    "released": "Let {what} out of quarantine",
    "unpotted": "Unpotted {what}",
    "washed": "Washed {what}",
    "root_pruned": "Cut the roots of {what}",
    "set_to_dry": "Set {what} to dry",
    "potted": "Potted {what}",
    "repotted": "Repotted {what}",
    "top_dressed": "Top-dressed {what}",
    "divided": "Divided {what}",
    "mixed": "Mixed a batch",
    "moved": "Moved {what}",
    "turned": "Turned {what}",
    "shaded": "Shading on",
    "unshaded": "Shading off",
    "covered": "Covered",
    "uncovered": "Cover off",
    "heated": "Heater on",
    "vented": "Vents open",
    "cleaned": "Cleaned",
    "offsets_taken": "Offsets off {what}",
    "cutting_taken": "Cutting off {what}",
    "grafted": "Grafted {what}",
    "united": "Graft took: {what}",
    "sown": "Sown {what}",
    "germinated": "Up: {what}",
    "pricked_out": "Pricked out {what}",
    "rooted": "Rooted: {what}",
    "failed": "Failed: {what}",
    "pollinated": "Crossed {what}",
    "seed_harvested": "Seed off {what}",
    "seed_soaked": "Seed soaking",
    "acquired": "In: {what}",
    "given": "Out: {what}",
    "offered": "For swap: {what}",
    "died": "Dead: {what}",
    "discarded": "Binned {what}",
    "missing": "Missing: {what}",
    "found_alive": "Alive: {what}",
    "labelled": "New label for {what}",
    "label_lost": "Label lost on {what}",
    "named": "{what} is",
    "photographed": "Photo of {what}",
}
HOW = {
    "soak": "Soaked {what}",
    "splash": "A splash for {what}",
    "half": "Half the usual for {what}",
    "below": "Watered {what} from below",
}
SIGNS = {
    "spider_mite": "spider mites",
    "flat_mite": "flat mites",
    "mealybug": "mealybugs",
    "root_mealybug": "root mealybugs",
    "scale_insect": "scale",
    "aphid": "aphids",
    "fungus_gnat": "fungus gnats",
    "vine_weevil": "vine weevil",
    "slug": "slugs",
    "caterpillar": "caterpillars",
    "ant": "ants",
    "rodent": "mice",
    "nematode": "root nematodes",
    "pest": "pests",
    "honeydew": "honeydew",
    "soft": "a soft spot",
    "damping_off": "damping off",
    "grey_mould": "grey mould",
    "fungal_spot": "fungal spots",
    "etiolated": "drawn growth",
    "shrivelled": "shrivelling",
    "split_skin": "split skin",
    "cold_mark": "cold marks",
    "reddened": "reddening",
    "bud_drop": "dropped buds",
    "stalled": "no growth",
    "dead_roots": "dead roots",
    "coiled_roots": "coiled roots",
    "pot_bound": "pot-bound roots",
    "crested": "a crest",
    "broken": "damage",
    "chewed": "chewing",
    "budding": "buds",
    "flowering": "in flower",
    "fruiting": "fruit",
    "growing": "growth",
    "plump": "plump",
    "pupping": "pups",
    "resting": "at rest",
    "healthy": "fine",
    "roots_healthy": "good roots",
    "mix_dry": "dry mix",
    "mix_damp": "damp mix",
}
DUE = {
    "pest_look": "look for {sign}",
    "survivors_look": "look for survivors ({sign})",
    "clear_look": "last look for {sign}",
    "late_look": "look for {sign}, late",
    "treat_again": "treat again ({sign})",
    "suspicion_look": "lens over the suspected {sign}",
    "isolation_look": "quarantine look",
    "intake_look": "intake look",
    "release_look": "out of quarantine?",
    "dry_look": "drying-off check",
    "pot_up": "ready to pot?",
    "first_water": "first water?",
    "hold_ends": "hold is over",
    "hold_open": "still no water?",
    "sowing_look": "seed look",
    "sowing_review": "give up or wait?",
    "rooted_look": "rooted yet?",
    "ties_off": "graft ties off?",
    "union_look": "graft taken?",
    "prick_out": "prick out?",
    "offset_look": "offsets big enough to take?",
    "rest_end": "look for the end of rest",
    "rest_start": "last soak before rest",
    "midrest_look": "look in mid-rest",
    "follow_up": "second look",
}
FOLLOW_UP = {
    "rot": "rot stopped?",
    "soft": "the soft spot",
    "bronzing": "bronzing spreading?",
    "scarring": "old marks unchanged?",
    "cold_mark": "cold marks",
    "frost": "frost damage",
    "chilled": "cold damage",
    "neighbours": "pests on the dead one's neighbours",
    "beside": "pests on the neighbours of the find",
    "scorch": "scorch",
    "damping_off": "damping off",
    "grey_mould": "grey mould",
    "wetted": "dried out again?",
    "first_water": "plumped up?",
    "moved_out": "scorch after the move out",
    "brought_in": "pests brought in",
    "uncovered": "with the cover off",
    "unshaded": "scorch with the shading off",
    "pricked_out": "pricked-out seedlings",
    "given": "did they arrive?",
}
KINDS = {"offsets": "offsets", "cuttings": "cuttings", "leaves": "leaves", "grafts": "grafts"}


def plural(genus: str) -> str:
    """Return a genus as growers say several of it: "rebutias", "lithops"."""
    low = genus.lower()
    if low in ("cacti", "mesembs", "epiphytes"):
        return low
    return low if low.endswith("s") else low + "s"


def count_of(number: int, one: str, many: str = "") -> str:
    """Return "1 pot", "4 pots"."""
    return f"{number} {one if number == 1 else many or one + 's'}"


_NUMERALS = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"]


def numeral(value: int) -> str:
    """Return a small number as a word."""
    return _NUMERALS[value] if 0 <= value < len(_NUMERALS) else str(value)


def joined(parts: Sequence[str]) -> str:
    """Return "a", "a and b", "a, b and c"."""
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}" if parts else ""


def day(when: date, today: date) -> str:
    """Return a day as said: today, yesterday, tomorrow, else "Fri 17 Apr", with the year where it is another."""
    near = {0: "today", -1: "yesterday", 1: "tomorrow"}.get((when - today).days)
    if near:
        return near
    return f"{when:%a} {when.day} {when:%b}" + (f" {when.year}" if when.year != today.year else "")


def short_day(when: date, today: date) -> str:
    """Return "Fri 17 Apr" without today and yesterday, for lists of dates."""
    return f"{when.day} {when:%b}" + (f" {when.year}" if when.year != today.year else "")


def month_span(months: Sequence[int]) -> str:
    """Return months as "November to April", beginning after the gap; "no month" where there are none."""
    held = set(months)
    if not held or len(held) == 12:
        return "no month" if not held else "every month"
    starts = [one for one in sorted(held) if (one - 2) % 12 + 1 not in held]
    runs = []
    for start in starts:
        end = start
        while end % 12 + 1 in held:
            end = end % 12 + 1
        first, last = f"{date(2000, start, 1):%B}", f"{date(2000, end, 1):%B}"
        runs.append(first if start == end else f"{first} to {last}")
    return joined(runs)


def ago(when: date, today: date) -> str:
    """Return "3 days ago"."""
    days = (today - when).days
    return {0: "today", 1: "yesterday"}.get(days, f"{days} days ago")


def clock(moment: datetime) -> str:
    """Return "15:40"."""
    return f"{moment:%H:%M}"


def number(value: float) -> str:
    """Return a number without needless zeros."""
    return f"{value:g}"


def things(refs: Iterable[Ref], standing: Standing, *, with_place: bool = True) -> str:
    """Return what refs are called: "bench 2 (14)", "12, 14 and 15", "4 of the hollis lot", "the rebutias"."""
    given = list(dict.fromkeys(refs))
    if not given:
        return "the house"
    if any(one.kind == "house" for one in given):
        return "everything" if len(given) > 1 else "the house"
    places = [one for one in given if one.kind == "place"]
    rest = [one for one in given if one.kind != "place" and not any(_stands_in(standing, one, place) for place in places)]
    words = [_place(one, given, standing) for one in places]
    words += _plants([one for one in rest if one.kind == "plant"], standing, with_place=with_place)
    words += [_other(one, standing) for one in rest if one.kind != "plant"]
    return joined(words)


def _stands_in(standing: Standing, ref: Ref, place: Ref) -> bool:
    thing = standing.things.get((ref.kind, ref.key))
    return thing is not None and place.count is None and place.key in standing.around(thing.place)


def _place(ref: Ref, given: list[Ref], standing: Standing) -> str:
    if ref.count is not None:
        return f"{ref.count} {at(ref.key)}"
    members = [one for one in given if _stands_in(standing, one, ref)]
    pots = sum(_many(one, standing) for one in members)
    return f"{ref.key} ({pots})" if pots else ref.key


_INSIDE = re.compile(
    r"\b(loft|porch|greenhouse|house|frame|propagator|cupboard|tent|tunnel|room|conservatory|cabin|shed|tin|box)\b"
)
_ADVERBS = frozenset({"outdoors", "outside", "indoors", "inside"})


def cap(text: str) -> str:
    """Return text with its first letter large and the rest as it is."""
    return text[:1].upper() + text[1:]


def at(place: str) -> str:
    """Return where something stands: "on bench 2", "in the loft", "outdoors"."""
    if place.lower() in _ADVERBS:
        return place.lower()
    inside = _INSIDE.search(place.lower()) and not re.search(r"\b(sill|shelf|bench|tray|rack)\b", place.lower())
    return f"{'in' if inside else 'on'} {the(place)}"


def to(place: str) -> str:
    """Return where something goes: "to bench 2", "outdoors"."""
    return place.lower() if place.lower() in _ADVERBS else f"to {the(place)}"


def the(place: str) -> str:
    """Return a place with its article: "bench 2", but "the q shelf"."""
    return place if re.search(r"\d|\b[A-Z]$", place) or place.startswith("the ") else f"the {place}"


def _many(ref: Ref, standing: Standing) -> int:
    thing = standing.things.get((ref.kind, ref.key))
    return ref.count or (thing.count if thing and thing.count is not None else 1) or 0


def _plants(refs: list[Ref], standing: Standing, *, with_place: bool) -> list[str]:
    if not refs:
        return []
    known = [standing.things.get((one.kind, one.key)) for one in refs]
    genus = {one.genus for one in known if one}
    if len(refs) == 1:
        return [label(known[0], refs[0].key)]
    if len(refs) > 2 and len(genus) == 1 and (only := genus.pop()):
        everyone = [one for one in standing.by_genus().get(only, ()) if one.alive and one.kind == "plant"]
        if len(everyone) == len(refs):
            return [f"the {plural(only)} ({len(refs)})"]
        if len(refs) > MOST_LABELS:
            return [f"{len(refs)} {plural(only)}"]
    if len(refs) > MOST_LABELS:
        place = {one.place for one in known if one}
        where = f" {at(next(iter(place)))}" if with_place and len(place) == 1 and next(iter(place)) else ""
        return [f"{len(refs)} plants{where}"]
    return [numbered([one.key for one in refs])]


def label(thing: Thing | None, key: str) -> str:
    """Return a plant as it is called: its nickname or number, with its name where it has one."""
    if thing is None:
        return key
    name = display_name(thing)
    called = thing.nickname or key
    return f"{called} ({name})" if name else called


def display_name(thing: Thing) -> str:
    """Return the name that counts now, with its genus capitalised, and a mark where it is doubted."""
    if not thing.names:
        return ""
    name = str(thing.names[-1]["name"])
    return (
        (name[:1].upper() + name[1:] if thing.names[-1].get("sure", True) else f"{name[:1].upper() + name[1:]}?") if name else ""
    )


def numbered(labels: Sequence[str]) -> str:
    """Return labels as "12-15 and 19"; a run of three or more is a range."""
    numbers, others = {int(one) for one in labels if one.isdigit()}, [one for one in labels if not one.isdigit()]
    runs: list[list[int]] = []
    for one in sorted(numbers):
        if runs and one == runs[-1][-1] + 1:
            runs[-1].append(one)
        else:
            runs.append([one])
    parts = [part for run in runs for part in ([f"{run[0]}-{run[-1]}"] if len(run) > 2 else [str(one) for one in run])]
    return joined([*parts, *others])


def _other(ref: Ref, standing: Standing) -> str:
    thing = standing.things.get((ref.kind, ref.key))
    counted = (
        f"{ref.count} of " if ref.count is not None and thing and thing.count is not None and ref.count < thing.count else ""
    )
    if ref.kind == "lot":
        return f"{counted}{lot(ref.key)}"
    if ref.kind == "sowing":
        return f"{ref.count} of {ref.key}" if counted else ref.key
    if ref.kind == "taxon":
        name, _, place = ref.key.partition(AT)
        many = f"{ref.count} {plural(name) if ref.count != 1 else name}" if ref.count is not None else f"the {plural(name)}"
        return many + (f" {at(place)}" if place else "")
    if ref.kind == "batch":
        return f"{counted}{batch(thing, standing)}" if thing else "the offsets"
    return _some(ref)


def _some(ref: Ref) -> str:
    words, _, place = ref.key.partition(AT)
    where = f" {at(place)}" if place else ""
    if _IDENTITY.match(words):
        return count_of(ref.count, "plant") if ref.count is not None else "some plants"
    if ref.count is not None and words in _ADJECTIVES:
        return f"{count_of(ref.count, f'{words} plant')}{where}"
    if ref.count is not None:
        return f"{ref.count} of {words}{where}" if words.startswith("the ") else f"{ref.count} {words}{where}"
    return (words if words.startswith(("the ", "plants", "new ")) else f"the {words}") + where


_ADJECTIVES = frozenset({"shrivelled", "treated", "repotted", "fibrous", "tap", "tuber"})


def lot(key: str) -> str:
    """Return a lot as it is called."""
    return f"the {key}" if key.endswith(("lot", "plants", "box")) else f"the {key} lot" if not key.isdigit() else f"lot {key}"


def batch(thing: Thing, standing: Standing) -> str:
    """Return a batch as it is called: "the offsets of 41"."""
    what = KINDS.get(str(thing.tally.get("kind")), "offsets")
    kind, _, key = thing.parent.partition(":")
    if not key:
        return f"the {what}"
    parent = standing.things.get((kind, key))
    if kind == "plant":
        return f"the {what} of {parent.nickname or key}" if parent else f"the {what} of {key}"
    return f"the {what} of the {key.partition(AT)[0]}"


# Signs that are said as a state of the plant, not as a thing on it.
STATES = {
    "budding": "in bud",
    "flowering": "in flower",
    "fruiting": "in fruit",
    "growing": "growing",
    "plump": "plump",
    "resting": "at rest",
    "healthy": "fine",
    "mix_dry": "dry",
    "mix_damp": "damp",
    "soft": "soft",
    "shrivelled": "shrivelled",
    "etiolated": "drawn",
    "reddened": "reddened",
    "yellowing": "yellowing",
    "stalled": "not growing",
    "pot_bound": "pot-bound",
    "crested": "crested",
    "broken": "damaged",
    "chewed": "chewed",
    "pupping": "pupping",
    "scorch": "scorched",
    "split_skin": "split",
}


def sign(of: str) -> str:
    """Return a sign as it is said."""
    return SIGNS.get(of, of.replace("_", " "))


def exceptions(taken: Sequence[Mapping[str, Any]]) -> str:
    """Return what was left out: "the lithops and 14"."""
    return joined([_exception(one) for one in taken])


def _exception(which: Mapping[str, Any]) -> str:
    for key, make in (("labels", "{}"), ("nicknames", "{}"), ("places", "{}"), ("lots", "the {} lot"), ("sowings", "{}")):
        if which.get(key):
            return joined([make.format(one) for one in which[key]])
    if which.get("taxa"):
        return joined([f"the {plural(one)}" for one in which["taxa"]])
    return str(which.get("words") or which.get("kind") or which.get("count") or "some")


def due(kind: str, about: str) -> str:
    """Return what is due in a few words."""
    if kind == "follow_up":
        return f"second look, {FOLLOW_UP.get(about, about)}"
    return DUE.get(kind, kind.replace("_", " ")).format(sign=sign(about))


def act(event: CareEvent, what: str) -> str:
    """Return an act as it was done, to what."""
    pattern = HOW.get(str(event.facts.get("how", ""))) if event.what == "watered" else None
    return (pattern or ACTS.get(event.what, cap(event.what.replace("_", " ")) + " {what}")).format(what=what)
