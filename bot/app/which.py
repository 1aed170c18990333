"""From the words of a selection to the things of the collection, with what was last spoken of."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from typing import Any

from bot.care.events import Ref, refs_from_json, refs_to_json
from bot.care.genera import genus_row
from bot.care.standing import AT, Standing, Thing
from bot.notes.reading import Selection

OPEN_SET_LASTS = timedelta(minutes=30)
MOST_SPOKEN = 12  # project default: nobody points further back than that
UNNUMBERED = frozenset({"batch", "lot", "sowing", "some"})
_BATCH_KINDS = {"offsets", "cuttings", "leaves", "grafts"}


@dataclass(frozen=True, slots=True)
class Talk:
    """What was last spoken of in a chat: the open set, the bench in hand, the last note, and the numbers of the last due list."""

    refs: tuple[Ref, ...] = ()
    place: str = ""
    at: datetime | None = None
    note: int = 0
    listed: tuple[str, ...] = ()
    shown: int = 0  # how many lines of that list have been shown
    cautioned: Mapping[str, str] = field(default_factory=dict)  # topic to ISO date
    morning: str = ""  # ISO date of the last morning that was looked at, whether or not it had anything to tell
    spoken: tuple[tuple[datetime, Ref], ...] = ()  # the plants named one by one at this place, each with when
    before: tuple[Ref, ...] = ()  # the open set before this one: "the other ones" are those of it that are left

    def open_at(self, now: datetime) -> bool:
        """Whether the open set still counts: it lapses after half an hour."""
        return self.at is not None and timedelta(0) <= now - self.at <= OPEN_SET_LASTS

    def to_json(self) -> dict[str, Any]:
        """Return plain JSON values."""
        at = self.at.isoformat() if self.at else None
        return {
            "refs": refs_to_json(self.refs),
            "place": self.place,
            "at": at,
            "note": self.note,
            "listed": list(self.listed),
            "shown": self.shown,
            "cautioned": dict(self.cautioned),
            "morning": self.morning,
            "spoken": [[one.isoformat(), *refs_to_json((ref,))] for one, ref in self.spoken],
            "before": refs_to_json(self.before),
        }

    @classmethod
    def from_json(cls, given: Mapping[str, Any]) -> Talk:
        """Return the talk that `to_json` wrote; an empty mapping is a chat in which nothing was said yet."""
        return cls(
            refs=refs_from_json(given.get("refs", ())),
            place=given.get("place", ""),
            at=datetime.fromisoformat(given["at"]) if given.get("at") else None,
            note=given.get("note", 0),
            listed=tuple(given.get("listed", ())),
            shown=given.get("shown", 0),
            cautioned=given.get("cautioned", {}),
            morning=given.get("morning", ""),
            spoken=tuple((datetime.fromisoformat(one), refs_from_json((ref,))[0]) for one, ref in given.get("spoken", ())),
            before=refs_from_json(given.get("before", ())),
        )

    def spoke_of(self, refs: tuple[Ref, ...], place: str, now: datetime) -> Talk:
        """Return the talk after a note about these things: what stands at another place is no longer spoken of."""
        kept = self if self.open_at(now) and not (place and self.place and place != self.place) else Talk()
        single = len(refs) == 1 and refs[0].kind == "plant" and refs[0].count is None
        spoken = tuple(one for one in kept.spoken if one[1] not in refs and now - one[0] <= OPEN_SET_LASTS)
        return replace(
            self,
            refs=refs,
            place=place or kept.place,
            at=now,
            spoken=(*spoken, (now, refs[0]))[-MOST_SPOKEN:] if single else (),
            before=kept.before if refs == kept.refs else kept.refs,
        )


@dataclass(frozen=True, slots=True)
class Resolved:
    """The things that a selection names; `open` says that nobody can tell which from the words and the talk."""

    refs: tuple[Ref, ...] = ()
    open: bool = False
    count: int | None = None
    new_labels: tuple[str, ...] = ()
    place: str = ""
    namesakes: bool = False  # one nickname, several plants: a question is about all of them, a note asks which
    holds: int | None = None  # how many there are, where more were said


def resolve(which: Selection | None, standing: Standing, talk: Talk, now: datetime, current: tuple[Ref, ...] = ()) -> Resolved:
    """Return what a selection means here. `current` is the set that the note itself spoke of before."""
    if which is None:
        spoken = current or (talk.refs if talk.open_at(now) else ())
        return Resolved(spoken, open=not spoken, place=talk.place if talk.open_at(now) else "")
    if which.refer in ("same", "last") and (which.labels or which.nicknames):
        which = replace(which, refer=None)  # "repotted 14, those are in 9s": what it names is what it points at
    if which.refer in ("same", "last") or (which.refer in ("all", "rest") and not names_something(which)):
        return _referred(which, standing, talk, now, current)
    if not names_something(which):
        return _all_but(which, standing, talk, now, current) or _counted_only(which, standing, talk, now, current)
    found = _union(which, standing)
    taken = {(one.kind, one.key) for part in which.excluded for one in _union(part, standing).refs}
    kept = tuple(one for one in found.refs if (one.kind, one.key) not in taken)
    return _counted(which, standing, replace(found, refs=kept))


def genus_alone(which: Selection | None) -> str | None:
    """Return the genus where the words are just that: "the lithops" are those of the day on which it is due."""
    alone = which is not None and len(which.taxa) == 1 and which == Selection(taxa=which.taxa)
    return which.taxa[0].lower() if which is not None and alone and " " not in which.taxa[0] else None


def names_something(which: Selection) -> bool:
    """Whether a selection names plants or places, beyond a count or a reference to what was spoken of."""
    named = which.labels or which.nicknames or which.taxa or which.places or which.lots or which.sowings
    return bool(named or which.pot_cm or which.kind or which.words or which.state or which.roots)


def _referred(which: Selection, standing: Standing, talk: Talk, now: datetime, current: tuple[Ref, ...]) -> Resolved:
    spoken = current or (talk.refs if talk.open_at(now) else ())
    if which.refer == "all" and which.count is not None and not spoken:
        return _of_the_lot(which.count, standing)
    if which.refer == "all" and which.count is None:
        everything = (Ref("house", ""), *(one.ref for one in standing.plants()))
        taken = {(one.kind, one.key) for part in which.excluded for one in _union(part, standing).refs}
        return Resolved(spoken if current else tuple(one for one in everything if (one.kind, one.key) not in taken))
    if which.refer == "last" and spoken:
        if which.count is not None and 1 < which.count <= len(spoken) and _by_label(spoken):
            return Resolved(spoken[-which.count :], count=which.count)
        spoken = spoken[-1:]
        if (spoken[0].count or 1) > 1 and which.count is None:
            return Resolved((replace(spoken[0], count=1),), open=True, count=1)  # one of several without names
    if which.refer == "rest":
        spoken = _rest(which, spoken, standing, talk) or spoken
        if which.count is not None and _by_label(spoken) and len(spoken) < which.count:
            return Resolved(spoken, open=True, count=which.count, holds=len(spoken))
    elif which.refer == "all" and which.count is not None and len(spoken) == 1 and spoken[0].kind in UNNUMBERED:
        spoken = (replace(spoken[0], count=None),)  # "5 of the lot" after "4 of the lot": of the whole of it
    return _counted(which, standing, Resolved(spoken, open=not spoken))


def _of_the_lot(count: int, standing: Standing) -> Resolved:
    """Return what "3 of the lot" and "all 17" mean of themselves: everything where it is so many, else the one lot."""
    plants = [one for one in standing.plants() if one.alive]
    if total((one.ref for one in plants), standing) == count:
        return Resolved((Ref("house", ""), *(one.ref for one in plants)), count=count)
    lots = [one for one in plants if one.kind == "lot"]
    if len(lots) == 1 and count <= (lots[0].count or 0):
        return Resolved((replace(lots[0].ref, count=count),), count=count)
    return Resolved((), open=True, count=count)


def _rest(which: Selection, spoken: tuple[Ref, ...], standing: Standing, talk: Talk) -> tuple[Ref, ...]:
    """Return what "the rest" and "the other three" leave: of a lot, of the set spoken of before, of what stands there."""
    left = [_rest_of_lot(spoken, standing), left_of(talk.before, spoken), others(spoken, standing)]
    fitting = [one for one in left if one and which.count is not None and total(one, standing) == which.count]
    return next((one for one in (*fitting, *left) if one), ())


def left_of(before: tuple[Ref, ...], spoken: tuple[Ref, ...]) -> tuple[Ref, ...]:
    """Return what is left of an earlier set where the later one is a part of it: a place is not meant without the part."""
    if not spoken or not set(spoken) < set(before):
        return ()
    return tuple(one for one in before if one not in spoken and one.kind not in ("place", "house"))


def _by_label(refs: tuple[Ref, ...]) -> bool:
    """Whether a set was named plant by plant, so that there is a last one."""
    return bool(refs) and all(_is_one(one) for one in refs)


def _is_one(ref: Ref) -> bool:
    return ref.kind == "plant" and ref.count is None


def _rest_of_lot(spoken: tuple[Ref, ...], standing: Standing) -> tuple[Ref, ...]:
    """Return what is left of a lot beside a counted part of it: "6 of the lot in 7s, the rest in 9s"."""
    part = spoken[0] if len(spoken) == 1 and spoken[0].kind in ("lot", "batch") else None
    thing = standing.things.get((part.kind, part.key)) if part is not None else None
    if part is None or part.count is None or thing is None or thing.count is None or thing.count <= part.count:
        return ()
    return (replace(part, count=thing.count - part.count),)


def _all_but(which: Selection, standing: Standing, talk: Talk, now: datetime, current: tuple[Ref, ...]) -> Resolved | None:
    """Return what "all but 3" means: the set spoken of without it, or where that does not hold it, what stands beside it."""
    if not which.excluded or which.count is not None:
        return None
    spoken = current or (talk.refs if talk.open_at(now) else ())
    if any(part.refer == "last" for part in which.excluded) and not _by_label(spoken):
        return Resolved((), open=True)  # nobody knows which pot of a bench is the last
    out = tuple(ref for part in which.excluded for ref in _excepted(part, standing, spoken))
    taken = {(one.kind, one.key) for one in out}
    left = tuple(one for one in spoken if (one.kind, one.key) not in taken)
    if left and len(left) < len(spoken):
        return Resolved(left)
    beside = others(out, standing)
    return Resolved(beside) if beside else None


def _excepted(part: Selection, standing: Standing, spoken: tuple[Ref, ...]) -> tuple[Ref, ...]:
    """Return what an exception means: "all but the last two" of the set spoken of, or what it names."""
    return spoken[-(part.count or 1) :] if part.refer == "last" else _union(part, standing).refs


def others(spoken: tuple[Ref, ...], standing: Standing) -> tuple[Ref, ...]:
    """Return what stands beside numbered plants in their place: "the rest" after "mites on 12 and 13"."""
    things = [standing.things.get((one.kind, one.key)) for one in spoken if one.kind == "plant" and one.count is None]
    places = {one.place for one in things if one is not None}
    if len(things) != len(spoken) or len(places) != 1 or not (place := places.pop()):
        return ()
    said = {one.key for one in spoken}
    return tuple(
        one.ref for one in standing.within(place) if one.kind != "place" and not (one.kind == "plant" and one.key in said)
    )


def _counted_only(which: Selection, standing: Standing, talk: Talk, now: datetime, current: tuple[Ref, ...]) -> Resolved:
    """Return what "four" means: those of the set spoken of when it has just so many, else an open question."""
    spoken = current or (talk.refs if talk.open_at(now) else ())
    wanted = which.count
    known = total(spoken, standing)
    if spoken and (wanted is None or (known is not None and known in (wanted, which.of))):
        return Resolved(_part(spoken, wanted) if known != wanted else spoken, count=wanted)
    if len(spoken) == 1 and spoken[0].kind in UNNUMBERED and (current or (known is not None and (wanted or 0) < known)):
        # A part of an unnumbered lot has no names to choose from, so there is nothing to ask.
        return Resolved((replace(spoken[0], count=wanted),), count=wanted)
    place = talk.place if talk.open_at(now) else ""
    return Resolved((), open=True, count=wanted, place=place)


def _part(refs: tuple[Ref, ...], count: int | None) -> tuple[Ref, ...]:
    return (replace(refs[0], count=count),) if count is not None else refs


def total(refs: Iterable[Ref], standing: Standing) -> int | None:
    """Return how many plants refs come to; places are not counted beside the plants that stand in them; None if unknown."""
    counts = []
    for ref in refs:
        thing = standing.things.get((ref.kind, ref.key))
        if ref.count is not None:
            counts.append(ref.count)
        elif ref.kind in ("place", "house"):
            continue
        elif ref.kind == "plant":
            counts.append(1 if thing is None or thing.count is None else thing.count)
        elif thing is None or thing.count is None:
            return None
        else:
            counts.append(thing.count)
    return sum(counts) if counts else None


def _union(which: Selection, standing: Standing) -> Resolved:
    """Return the things named, before any count: different fields narrow, values of a field are alternatives."""
    if which.labels:
        fresh = tuple(one for one in which.labels if standing.plant(one) is None)
        return Resolved(tuple(dict.fromkeys(standing.same(Ref("plant", one)) for one in which.labels)), new_labels=fresh)
    if which.nicknames:
        return _nicknamed(which, standing)
    if which.sowings:
        return Resolved(tuple(Ref("sowing", one) for one in which.sowings))
    if which.lots:
        return _in_lots(which, standing)
    if which.places:
        return _in_places(which, standing)
    if which.taxa:
        return _of_taxa(which, standing)
    return _described(which, standing)


def _nicknamed(which: Selection, standing: Standing) -> Resolved:
    plants = [one for one in standing.things.values() if one.kind == "plant" and not one.key.isdigit()]
    owners: dict[str, list[Thing]] = {one.key.lower(): [one] for one in plants}
    for one in standing.things.values():
        if one.nickname:
            owners.setdefault(one.nickname.lower(), []).append(one)
    found = [_here(owners[name]) for one in which.nicknames if (name := one.lower()) in owners]
    refs = tuple(dict.fromkeys(one.ref for held in found for one in held))
    return Resolved(refs, open=not refs, namesakes=any(len(held) > 1 for held in found))


def _here(held: list[Thing]) -> list[Thing]:
    """Return those of some namesakes that live, where any does: a name that was taken over is the living one's."""
    return [one for one in held if one.alive] or held


def _in_lots(which: Selection, standing: Standing) -> Resolved:
    refs: list[Ref] = []
    for words in which.lots:
        lot = standing.lot_of(words)
        refs += _of_lot(lot, which, standing) if lot else [Ref("lot", words)]
    return Resolved(tuple(refs))


def _of_lot(lot: Thing, which: Selection, standing: Standing) -> list[Ref]:
    """Return a lot, with the plants that have numbers since; "4 of the lot" are of those that have none."""
    members = [one.ref for one in standing.plants() if one.kind == "plant" and one.lot == lot.key]
    if not members or (which.count is not None and which.count <= (lot.count or 0)):
        return [lot.ref]
    return [*([] if lot.count == 0 else [lot.ref]), *members]


def _in_places(which: Selection, standing: Standing) -> Resolved:
    refs: list[Ref] = []
    for words in which.places:
        place = place_of(words, standing)
        members = [one for one in standing.within(place) if fits(one, which)]
        if not (which.taxa or which.kind or which.pot_cm or which.state or which.roots):
            refs.append(Ref("place", place))
            members = [one for one in members if one.kind != "taxon" or one.count]
        elif not members and which.taxa:
            refs += [Ref("taxon", f"{one}{AT}{place}") for one in which.taxa]
        elif not members:
            refs.append(Ref("some", f"{_description(which)}{AT}{place}"))
        refs += [one.ref for one in members]
    return Resolved(tuple(dict.fromkeys(refs)), place=place_of(which.places[0], standing))


def place_of(words: str, standing: Standing) -> str:
    """Return the place that words name: its own spelling in the collection, or the words as they are."""
    wanted = words.lower()
    for (kind, key), thing in standing.things.items():
        if kind == "place" and (key.lower() == wanted or wanted in (alias.lower() for alias in thing.aliases)):
            return key
    return words


def circles(standing: Standing, inner: str, outer: str) -> bool:
    """Whether a place would stand in itself, straight or by way of others."""
    return inner.lower() in (one.lower() for one in standing.around(outer))


def fits(thing: Thing, which: Selection) -> bool:
    """Whether a thing is what the other fields of a selection say: genus, pot size, kind, state, roots."""
    tests: list[bool] = []
    if which.taxa:
        tests.append(any(_is_of(thing, one) for one in which.taxa))
    if which.pot_cm:
        tests.append(thing.pot.get("cm") == which.pot_cm)
    if which.kind:
        tests.append(
            thing.tally.get("kind") == which.kind or (which.kind in ("seedlings", "seed_pots") and thing.kind == "sowing")
        )
    if which.state:
        tests.append(_STATES[which.state](thing))
    if which.roots:
        tests.append(thing.roots == which.roots)
    return all(tests)


_STATES: dict[str, Callable[[Thing], bool]] = {
    "quarantine": lambda one: one.isolated_on is not None,
    "new": lambda one: one.isolated_why == "new",
    "treated": lambda one: "treated" in one.last,
    "repotted": lambda one: "repotted" in one.last or "potted" in one.last,
    "shrivelled": lambda one: "present:shrivelled" in one.last,
    "open_case": lambda one: any(key.startswith(("present:", "suspected:")) for key in one.last),
}
_FAMILIES = {"cacti": "Cactaceae", "mesembs": "Aizoaceae"}
_EPIPHYTES = frozenset({"epiphyllum", "hatiora", "rhipsalis", "schlumbergera"})


def _is_of(thing: Thing, taxon: str) -> bool:
    if taxon in _FAMILIES:
        row = genus_row(thing.genus) if thing.genus else None
        return row is not None and row.family == _FAMILIES[taxon]
    if taxon == "epiphytes":
        return thing.genus in _EPIPHYTES
    name = thing.taxon.lower()
    return name == taxon or name.startswith(taxon + " ") or (thing.genus == taxon)


def _of_taxa(which: Selection, standing: Standing) -> Resolved:
    refs: list[Ref] = []
    for taxon in which.taxa:
        held = [one.ref for one in standing.plants() if _is_of(one, taxon) and fits(one, which) and _is_meant(one, which)]
        numbered = [one for one in held if one.kind != "taxon"]
        refs += numbered or held or [Ref("some", f"{taxon} {which.kind}") if which.kind else Ref("taxon", taxon)]
    return Resolved(tuple(dict.fromkeys(refs)))


def ever_of(which: Selection, standing: Standing) -> tuple[Ref, ...]:
    """Return all of the genera, species or lots named that were ever here, the dead too."""
    lots = {lot.key for words in which.lots if (lot := standing.lot_of(words)) is not None}
    return tuple(
        one.ref
        for one in standing.things.values()
        if one.lot in lots or (one.kind == "lot" and one.key in lots) or any(_is_of(one, taxon) for taxon in which.taxa)
    )


def _is_meant(thing: Thing, which: Selection) -> bool:
    """Whether "the rebutias" can mean a thing: grown plants, not a sowing or offsets taken, unless those are asked for."""
    return thing.kind not in ("sowing", "batch") or which.kind is not None


def _described(which: Selection, standing: Standing) -> Resolved:
    if which.words:
        nick = next(
            (one.ref for one in standing.things.values() if one.nickname and one.nickname.lower() in which.words.lower()), None
        )
        return Resolved((nick,) if nick else (), open=nick is None)
    found = sorted(
        (one for one in standing.plants() if fits(one, which)), key=lambda one: (one.came_on or date.min, one.sequence)
    )
    held = tuple(one.ref for one in found)
    if which.kind in _BATCH_KINDS and held:
        held = held[-1:] if which.count or which.of else held
    return Resolved(held or (Ref("some", _description(which)),))


def _description(which: Selection) -> str:
    if which.pot_cm:
        return f"{which.pot_cm:g} cm pots"
    words = which.kind or which.state or which.roots or which.words or "some"
    return {
        "seed_pots": "seed pots",
        "quarantine": "plants in quarantine",
        "new": "new plants",
        "open_case": "plants under treatment",
    }.get(words, words)


def _counted(which: Selection, standing: Standing, found: Resolved) -> Resolved:
    """Narrow to a count: all of them when it fits, else an unnamed part of what holds them."""
    wanted = which.count
    known = total(found.refs, standing)
    if wanted is None and which.fraction and known:
        wanted = round(known * which.fraction)
    if wanted is None or found.open or not found.refs or wanted == known:
        return replace(found, count=wanted)
    if known is not None and wanted > known and found.refs[0].kind in ("place", "lot"):
        labelled = standing.plant(str(wanted))
        if labelled is not None and labelled.ref in found.refs:
            return replace(found, refs=(labelled.ref,), count=None)  # "soaked 12 on bench 1": no twelve stand there, 12 does
        return Resolved((), open=True, count=wanted, place=found.place, holds=known)  # more than there are
    if known is not None and found.refs[0].kind == "place" and any(one.kind == "plant" for one in found.refs):
        return replace(found, refs=(replace(found.refs[0], count=wanted),), open=True, count=wanted)
    more = known is not None and wanted > known and which.taxa and all(_is_one(one) for one in found.refs)
    if not more and (known is None or len(found.refs) == 1 or found.refs[0].kind in ("place", "house")):
        return replace(found, refs=(replace(found.refs[0], count=wanted),), count=wanted)
    return replace(found, refs=(Ref("taxon", which.taxa[0], wanted),) if which.taxa else (), open=True, count=wanted)


def choices(standing: Standing, count: int | None, place: str, act: str = "") -> list[tuple[str, tuple[Ref, ...]]]:
    """Return up to four sets that the open part may mean, with their words: for a watering the driest first, else open cases."""
    groups: dict[str, list[Thing]] = {}
    for one in standing.plants():
        if place and one.place != place:
            continue
        if one.kind in ("lot", "sowing", "batch"):
            groups.setdefault(f"{one.kind}:{one.key}", []).append(one)
        elif one.genus:
            groups.setdefault(f"genus:{one.genus}", []).append(one)
        if one.place and not place:
            groups.setdefault(f"place:{one.place}", []).append(one)
    fitting = [
        (key, held) for key, held in groups.items() if count is None or (total((one.ref for one in held), standing) or 0) >= count
    ]
    ranked = sorted(fitting, key=lambda item: (_misfit(item[1], count, standing), *_ranked_for(act, item[1]), item[0]))
    return [(key, tuple(one.ref for one in held)) for key, held in ranked[:4]]


def _ranked_for(act: str, held: list[Thing]) -> tuple[Any, Any]:
    risk, dry = _at_risk(held), _last_soak(held)
    return (dry, risk) if act in ("watered", "fed", "misted") else (risk, dry)


def _misfit(held: list[Thing], count: int | None, standing: Standing) -> int:
    known = total((one.ref for one in held), standing)
    return 0 if count is None or known == count else 1


def _at_risk(held: list[Thing]) -> int:
    return 0 if any(one.isolated_on is not None or "present:" in "".join(one.last) for one in held) else 1


def _last_soak(held: list[Thing]) -> str:
    return max((one.last.get("watered", "") for one in held), default="")
