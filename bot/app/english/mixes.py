"""What is said of mixes: their parts, how much of each a batch takes, what stands in them, and what cannot be."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date
from typing import Any

from bot.app.english import phrases
from bot.app.plan import Said
from bot.care.due_water import mix_class
from bot.care.events import CareEvent, Ref
from bot.care.mixes import kind_of, mineral_share
from bot.care.potting import parts_of
from bot.care.standing import Standing, mix_key

SUCH_AS = "Such as: gritty mix is 1 loam 2 pumice 1 grit"
NO_MIXES = f"No mix has a recipe yet. {SUCH_AS}"
NO_NAME = "Which mix? Give it a name of its own. Such as: house mix is 1 loam 2 pumice"
ZERO = "Each part of a mix is more than nothing. Nothing kept."
MANY = f"I cannot read that as the parts of a mix. Nothing kept. {SUCH_AS}"
_CLASSES = {"grit": "grit", "mineral": "a mineral mix", "half": "half mineral", "loam": "loam", "peat": "peat"}
MOST = 5


def parts(recipe: Mapping[str, Any]) -> str:
    """Return the parts of a recipe: "1 loam, 2 pumice, 1 grit", "50 % pumice, 30 % loam, 20 % grit"."""
    unit = " %" if recipe.get("percent") else ""
    return ", ".join(f"{share:g}{unit} {name}" for name, share in recipe["parts"])


def mix_name(said: str) -> str:
    """Return a mix by its name: "gritty mix", "seed compost"."""
    last = said.rpartition(" ")[2]
    return said if last in ("mix", "compost", "soil", "substrate", "blend") or " mix " in f" {said} " else f"{said} mix"


def taught(event: CareEvent, before: Mapping[str, Any] | None, adopted: int) -> list[str]:
    """Return a recipe as it is kept, how it dries, and what became of the pots that were filled before."""
    facts = event.facts
    name = phrases.cap(mix_name(str(facts["name"])))
    lines = [f"{name} {'is now' if before else 'is'} {parts(facts)}. {_dries(str(facts['name']), facts)}"]
    if before:
        lines.append(f"Before: {parts(before)}. What was potted in that keeps it.")
    elif adopted:
        lines.append(f"{phrases.count_of(adopted, 'plant')} noted in it {'has' if adopted == 1 else 'have'} this recipe now.")
    return lines


def _pairs(recipe: Mapping[str, Any]) -> list[tuple[str, float]]:
    return [(str(name), float(share)) for name, share in recipe["parts"]]


def _dries(name: str, recipe: Mapping[str, Any]) -> str:
    """Return how much of a mix is mineral and as what its drying is counted; what no word tells of is named."""
    pairs = _pairs(recipe)
    low, high = mineral_share(pairs)
    share = f"{100 * low:.0f} %" if round(low, 2) == round(high, 2) else f"{100 * low:.0f} to {100 * high:.0f} %"
    counted = _CLASSES[mix_class({"mix": mix_key(name), "recipe": recipe})]
    unknown = [f"“{one}”" for one, _ in pairs if not kind_of(one)]
    doubt = f" {phrases.joined(unknown)} I do not know as mineral or organic." if unknown else ""
    return f"{share} mineral; I count it to dry as {counted}.{doubt}"


def told(event: CareEvent) -> str:
    """Return in a line what was kept of a mix."""
    name = phrases.cap(mix_name(str(event.facts["name"])))
    return f"{name} forgotten" if event.what == "mix_forgotten" else f"{name} is {parts(event.facts)}"


def same(said: str, recipe: Mapping[str, Any]) -> str:
    """Return that a mix has that recipe already."""
    return f"{phrases.cap(mix_name(said))} is {parts(recipe)} already."


def off(percent: float) -> str:
    """Return that the parts do not make up a whole."""
    return f"The parts come to {percent:.0f} %, not 100. Nothing kept."


def twice(name: str) -> str:
    """Return that a part stands there two times."""
    return f"{phrases.cap(name)} stands there twice. Nothing kept: say it once, with all its parts."


def taken(name: str, kind: str, key: str) -> str:
    """Return that the name of a mix is that of a plant, a place or a material."""
    owner = {"plant": f"is {key}", "place": "is a place", "part": "is a material", "taxon": "is a plant's name"}[kind]
    return f"“{phrases.cap(name)}” {owner}. Nothing kept: give the mix a name of its own, such as {name} mix."


def unknown(name: str, known: Iterable[str]) -> list[str]:
    """Return that nobody said what is in a mix, and which ones have a recipe."""
    names = [mix_name(one) for one in known]
    line = f"What is in {mix_name(name)} nobody told me."
    return [f"{line} I know {phrases.joined(names[:MOST])}." if names else f"{line} {SUCH_AS}"]


def recipe(mix: Mapping[str, Any], plants: int, today: date) -> list[str]:
    """Return what is in a mix, since when, how it dries, and how many plants stand in it."""
    since = phrases.short_day(date.fromisoformat(str(mix["on"])), today)
    lines = [f"{phrases.cap(mix_name(str(mix['said'])))}: {parts(mix)} (since {since})."]
    return [*lines, f"{_dries(str(mix['said']), mix)} {phrases.count_of(plants, 'plant')} in it."]


def listed(mixes: Sequence[Mapping[str, Any]]) -> list[str]:
    """Return all mixes with their parts, a line each."""
    lines = [f"{phrases.cap(mix_name(str(one['said'])))}: {parts(one)}." for one in mixes[:MOST]]
    more = [mix_name(str(one["said"])) for one in mixes[MOST:]]
    return [*lines, *([f"And {phrases.joined(more)}."] if more else [])] or [NO_MIXES]


def who_is_in(said: str, refs: Sequence[Ref], older: Sequence[Ref], standing: Standing) -> list[str]:
    """Return which plants stand in a mix, and which of them in a recipe that it had before."""
    if not refs:
        return [f"Nothing is noted in {mix_name(said)}."]
    lines = [f"In {mix_name(said)}: {phrases.things(refs, standing)}."]
    return [*lines, *([f"In its recipe of before: {phrases.things(older, standing)}."] if older else [])]


def mix_of(ref: Ref, pot: Mapping[str, Any], now: Mapping[str, Any] | None, standing: Standing, today: date) -> str:
    """Return what mix a plant stands in, with the recipe of its day; that of today where it is another."""
    what = phrases.cap(phrases.things((ref,), standing, with_place=False))
    if not pot.get("mix"):
        return f"{what}: no mix noted."
    usual = f", usual in {pot['place']}" if pot.get("place") else ""
    held = pot.get("recipe")
    line = f"{what}: {in_mix(pot)}{usual}"
    if held and now and held["parts"] != [list(one) for one in now["parts"]]:
        return f"{line}, its recipe of {phrases.short_day(date.fromisoformat(held['on']), today)}. Today's: {parts(now)}."
    return f"{line}."


def in_mix(pot: Mapping[str, Any]) -> str:
    """Return the mix of a pot with its parts where they are known: "gritty mix (1 loam, 2 pumice)"; a bare material as it is."""
    said = str(pot.get("mix", ""))
    held = pot.get("recipe")
    by_parts = re.match(r"[\d]|half|equal|an? ", said) is not None
    name = said if by_parts or (not held and kind_of(said)) else mix_name(said)
    return f"{name} ({parts(held)})" if held and not by_parts else name


def forgotten(said: str, plants: int) -> str:
    """Return that a mix has no recipe any more."""
    keep = f" {phrases.count_of(plants, 'plant')} in it {'keeps' if plants == 1 else 'keep'} what was noted." if plants else ""
    return f"{phrases.cap(mix_name(said))} is forgotten.{keep}"


def mixed(event: CareEvent, standing: Standing) -> str:
    """Return a batch that was mixed with what it took of each part, as far as that is known."""
    facts = event.facts
    litres, pot = facts.get("litres"), standing.with_recipe({"mix": facts.get("mix", "")})
    held, said = facts if facts.get("parts") else pot.get("recipe"), str(facts.get("mix", ""))
    if not litres:
        return "Mixed a batch" + (f" of {in_mix(pot)}" if said else "")
    if held:
        return f"Mixed {litres:g} l{'' if facts.get('parts') else f' of {mix_name(said)}'}: {amounts(float(litres), held)}"
    ratio = [float(one) for one in said.partition(" ")[0].split(":")] if said[:1].isdigit() and ":" in said else []
    if ratio and min(ratio) > 0:
        shares = phrases.joined([f"{one:.3g}" for one in parts_of(float(litres), ratio)])
        return f"Mixed {litres:g} l, {said}: about {shares} l"
    return f"Mixed {litres:g} l" + (f" of {in_mix({'mix': said})}" if said else "")


def amounts(litres: float, recipe: Mapping[str, Any]) -> str:
    """Return how much of each part a batch takes: "about 2.5 l loam, 5 l pumice, 2.5 l grit"."""
    pairs = _pairs(recipe)
    each = parts_of(litres, [share for _, share in pairs])
    return f"about {', '.join(f'{one:.3g} l {name}' for (name, _), one in zip(pairs, each, strict=True))}"


def for_pots(pots: int, cm: float, litres: float, said: str, recipe: Mapping[str, Any]) -> list[str]:
    """Return what pots of a size take of a mix, and of each of its parts."""
    whole = f"About {litres:.1f} l of {mix_name(said)} for {phrases.count_of(pots, 'pot')} of {cm:g} cm"
    return [f"{whole}: {amounts(litres, recipe)} (settling and waste counted; within 15 %)."]


def needed(litres: float, said: str, recipe: Mapping[str, Any]) -> list[str]:
    """Return what a batch takes of each part. It comes out a little less: mixed grains lie closer."""
    return [f"{litres:g} l of {mix_name(said)}: {amounts(litres, recipe)}.", "It makes a little less: mixed, it settles."]


def _kept(one: Said) -> list[str]:
    assert one.event is not None
    return taught(one.event, one.facts["before"], one.facts["adopted"])


def _dropped(one: Said) -> str:
    assert one.event is not None
    return forgotten(str(one.event.facts["name"]), one.facts["plants"])


SAID: dict[str, Callable[[Said, Any, Any], str | list[str]]] = {
    "mix_taught": lambda one, talk, last: _kept(one),
    "mix_forgotten": lambda one, talk, last: _dropped(one),
}
