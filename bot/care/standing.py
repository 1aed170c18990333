"""How everything stands: the fold of the care log into one state per thing, and that state as rows.

A thing is a plant, a lot, a sowing, a batch of offsets or cuttings, a place, the unnumbered plants of a genus, or the house.
`Standing` is what the log comes to at its last event; it is rebuilt from the log to the same rows (`Standing.rows`).
"""

from __future__ import annotations

from collections.abc import ItemsView, Iterable, Iterator, Mapping, Sequence, ValuesView
from dataclasses import dataclass, field, fields
from datetime import date, timedelta
from operator import attrgetter
from typing import Any

from bot.care.events import Ref, refs_from_json, refs_to_json
from bot.care.known_names import Names
from bot.care.mixes import PARTS
from bot.care.names import genus_of
from bot.care.sources import PROJECT_DEFAULT

ALIVE = "alive"
_DATES = frozenset(
    "first_on came_on soaked_on isolated_on bare_on potted_on rest_on rest_ended_on opened_on day0 closed_on on due".split()
)
KEPT, LABEL, BATCH, REPEATING, PARTNER = "kept:", "label:", "batch:", "repeating:", "partner:"  # how the key of a rule begins
DONE_EARLY = timedelta(days=3)  # what was asked for Friday and done on Wednesday is done
TRUST = {"DONE_EARLY": PROJECT_DEFAULT}
OTHER_NUMBERS = "other_accessions"  # in the tally of a plant that was on record twice
AT = " @ "  # joins a genus and a place in the key of unnumbered plants: "rebutia @ tray 3"


Row = dict[str, Any]
Rows = Mapping[tuple[str, str], Row]


@dataclass(slots=True)
class Thing:
    """One plant or group of plants, or a place, as it stands.

    `count` is how many are alive (None: nobody said); `last` maps an act to the ISO date of its last time; `bare_count`
    counts those still without a pot; `settling` lists potted plants that wait for their first water as
    `{"on", "count", "roots", "how"}`; `hold` is `{"until", "cond"}`; `tally` keeps what a sowing or batch counts.
    """

    kind: str
    key: str
    count: int | None = None
    status: str = ALIVE
    came_on: date | None = None
    came_from: str = ""
    price: float | None = None
    currency: str = ""
    names: list[dict[str, Any]] = field(default_factory=list)
    nickname: str = ""
    aliases: list[str] = field(default_factory=list)
    place: str = ""
    lot: str = ""
    parent: str = ""  # "plant:9"; of a cross the seed parent
    pollen: str = ""  # of a cross the pollen parent
    pot: dict[str, Any] = field(default_factory=dict)
    roots: str = ""
    last: dict[str, str] = field(default_factory=dict)
    soaked_on: date | None = None
    soak: dict[str, Any] = field(default_factory=dict)
    isolated_on: date | None = None
    isolated_why: str = ""
    clean_looks: list[str] = field(default_factory=list)
    bare_on: date | None = None
    bare_count: int | None = None
    cut: str = ""
    settling: list[dict[str, Any]] = field(default_factory=list)
    potted_on: date | None = None
    rest_on: date | None = None
    rest_ended_on: date | None = None
    hold: dict[str, Any] = field(default_factory=dict)
    tally: dict[str, Any] = field(default_factory=dict)
    follow: list[dict[str, Any]] = field(default_factory=list)
    first_on: date | None = None  # the first day on which an event is about it
    gone: list[dict[str, Any]] = field(default_factory=list)  # what left it, in order: {"on", "what", "count", "cause"?}
    partly: dict[str, dict[str, Any]] = field(default_factory=dict)  # what was noted for a part: {"on", "count", "whole"?}
    accession: str = ""  # "2026.0012", a single plant of it "2026.0012*A"
    sequence: int = 0  # of the event that brought it, where it came by an event: the order of things of one day

    @property
    def ref(self) -> Ref:
        """The reference that names this thing whole."""
        return Ref(self.kind, self.key)

    @property
    def parents(self) -> tuple[str, ...]:
        """What it comes from, the seed parent first: one, two or none."""
        return tuple(one for one in (self.parent, self.pollen) if one)

    @property
    def taxon(self) -> str:
        """The name that counts now, as typed; empty when nobody named it."""
        return str(self.names[-1]["name"]) if self.names else ""

    @property
    def genus(self) -> str:
        """The genus in lower case, as far as the name is sure of it; the first word of a name that begins with none."""
        return genus_of(self.taxon) if self.names else ""

    @property
    def alive(self) -> bool:
        """Whether some of it is still in the grower's hands."""
        return self.status == ALIVE and self.count != 0


@dataclass(slots=True)
class Case:
    """One find that is being followed: a sign on a set of plants, from its first sight to two clean looks."""

    key: str
    sign: str
    refs: tuple[Ref, ...]
    opened_on: date
    day0: date
    sequence: int = 0  # of the event that opened it: the order of cases of one day
    suspected: bool = False
    finds: list[str] = field(default_factory=list)
    treatments: list[dict[str, Any]] = field(default_factory=list)
    clean_looks: list[str] = field(default_factory=list)
    counts: list[list[Any]] = field(default_factory=list)  # [ISO date, how many were seen], a clean look as 0
    closed_on: date | None = None

    @property
    def open(self) -> bool:
        """Whether it is still followed."""
        return self.closed_on is None


@dataclass(slots=True)
class Reminder:
    """Something the grower asked to be told: an act or words, on a date or under a condition."""

    key: str
    on: date
    due: date | None = None
    at: str = ""
    act: str = ""
    text: str = ""
    cond: str = ""
    words: str = ""
    refs: tuple[Ref, ...] = ()
    every_days: int | None = None
    awaits: list[str] = field(default_factory=list)  # signs and acts of which any makes it due
    genus: str = ""  # all that are of it on the day, not only those known when it was said
    order: bool = False  # said of an order, by its key, that is late by then: it ends with the order

    def counts_from(self) -> date:
        """The first day on which the act itself counts as what was asked for: a little before it is due."""
        assert self.due is not None
        return self.due - min(DONE_EARLY, timedelta(days=(self.every_days or 2 * DONE_EARLY.days) // 2))


class Watched(dict[tuple[str, str], Thing]):
    """Things that remember which of them were asked for: only those can have changed (`fold_on`)."""

    def __init__(self, things: Mapping[tuple[str, str], Thing]) -> None:
        """Begin with nothing asked for."""
        super().__init__(things)
        self.asked: set[tuple[str, str]] = set()
        self.all_asked = False

    def __getitem__(self, key: tuple[str, str]) -> Thing:
        """Return a thing, and remember that it was asked for."""
        self.asked.add(key)
        return super().__getitem__(key)

    def __setitem__(self, key: tuple[str, str], thing: Thing) -> None:
        """Put a thing, and remember it."""
        self.asked.add(key)
        super().__setitem__(key, thing)

    def get(self, key: tuple[str, str], default: Any = None) -> Any:
        """Return a thing or the default, and remember that it was asked for."""
        self.asked.add(key)
        return super().get(key, default)

    def values(self) -> ValuesView[Thing]:  # type: ignore[override]
        """Return all things: any of them may be changed by who asked."""
        self.all_asked = True
        return super().values()

    def items(self) -> ItemsView[tuple[str, str], Thing]:  # type: ignore[override]
        """Return all things by their keys: any of them may be changed by who asked."""
        self.all_asked = True
        return super().items()

    def seen(self) -> Iterable[Thing]:
        """Return all things to be looked at and not to be changed."""
        return super().values()


@dataclass(slots=True)
class Standing:
    """The whole state of one collection."""

    things: dict[tuple[str, str], Thing] = field(default_factory=dict)
    cases: dict[str, Case] = field(default_factory=dict)
    reminders: dict[str, Reminder] = field(default_factory=dict)
    readings: dict[str, list[dict[str, Any]]] = field(default_factory=dict)  # "place|year" to thermometer entries by date
    handled: dict[str, dict[str, Any]] = field(default_factory=dict)  # due key to what the grower said: done, dropped, later
    people: dict[str, str] = field(default_factory=dict)
    rules: dict[str, dict[str, Any]] = field(default_factory=dict)  # "kind:key" to the grower's standing word, with its day
    wishes: dict[str, dict[str, Any]] = field(default_factory=dict)  # `wish_key` to {"who", "name", "on", "sequence"}
    mixes: dict[str, dict[str, Any]] = field(default_factory=dict)  # `mix_key` to {"said", "parts", "percent", "on"}
    dry_reports: list[dict[str, Any]] = field(default_factory=list)  # what was said of soaked pots: dry, damp, already dry
    genera: tuple[int, dict[str, list[Thing]]] | None = field(default=None, compare=False, repr=False)  # see `by_genus`
    known: tuple[tuple[int, ...], Names] | None = field(default=None, compare=False, repr=False)  # see `names`
    touched: set[tuple[str, str]] | None = field(default=None, compare=False, repr=False)  # since `rows`; None: any thing
    made: dict[tuple[str, str], tuple[Any, Row]] = field(default_factory=dict, compare=False, repr=False)  # see `_row_of`
    merged: dict[str, str] = field(default_factory=dict)  # label of a record that ended to that of the plant it is
    accessions: dict[str, int] = field(default_factory=dict)  # numbers ever given, see `care.accessions.remember`
    last_on: date = date.min  # the latest day folded: an earlier event asks for a fold from the start
    last_sequence: int = 0

    def thing(self, kind: str, key: str) -> Thing:
        """Return the thing, made on its first mention."""
        found = self.things.get((kind, key))
        if found is None:
            found = self.things[(kind, key)] = Thing(kind, key, count=1 if kind == "plant" else None)
            if kind == "taxon":
                name, _, found.place = key.partition(AT)
                found.names = [{"name": name}]
        return found

    def same(self, ref: Ref) -> Ref:
        """Return what a ref means: of a plant that turned out to be another, that one."""
        other = self.merged.get(ref.key) if self.merged and ref.kind == "plant" else None
        return ref if other is None else Ref("plant", other, ref.count)

    def meant(self, refs: Iterable[Ref]) -> tuple[Ref, ...]:
        """Return what refs mean, each once where records were made one."""
        return tuple(dict.fromkeys(self.same(one) for one in refs)) if self.merged else tuple(refs)

    def plant(self, label: str) -> Thing | None:
        """Return the plant that a label leads to, or None."""
        return self.things.get(("plant", self.merged.get(label, label)))

    def plants(self) -> Iterable[Thing]:
        """Yield what is alive and can be cared for: plants, lots, sowings, batches and unnumbered plants."""
        return (one for one in self.things.values() if one.kind not in ("place", "house") and one.alive)

    def asked_for(self, reminder: Reminder) -> tuple[Ref, ...]:
        """Return what a reminder is about today: a genus means every plant of it, those that came since too."""
        if not reminder.genus:
            return reminder.refs
        return tuple(one.ref for one in self.plants() if one.genus == reminder.genus) or reminder.refs

    def still_asked(self, reminder: Reminder) -> tuple[Ref, ...]:
        """Return what of that has not had the act yet: of a place the place alone, of plants those that live."""
        asked = self.asked_for(reminder)
        if not reminder.act or reminder.due is None:
            return asked
        since = reminder.counts_from().isoformat()
        places = tuple(ref for ref in asked if ref.kind == "place")
        return tuple(ref for ref in places or asked if not self._needs_no_more(ref, reminder.act, since))

    def _needs_no_more(self, ref: Ref, act: str, since: str) -> bool:
        thing = self.things.get((ref.kind, ref.key))
        return thing is not None and (not thing.alive or thing.last.get(act, "") >= since)

    def by_genus(self) -> Mapping[str, Sequence[Thing]]:
        """Return all plants, lots and the like by their genus, dead ones too; those without a name are left out.

        Kept until a name may have changed (`fold` forgets it then) or something new came: ten years have many cold nights.
        To be looked at: a fold that changes one of them says so (`changing`).
        """
        if self.genera is None or self.genera[0] != len(self.things):
            found: dict[str, list[Thing]] = {}
            for one in self.seen():
                if one.names and one.kind not in ("place", "house") and (genus := one.genus):
                    found.setdefault(genus, []).append(one)
            self.genera = (len(self.things), found)
        return self.genera[1]

    def at(self, place: str) -> list[Thing]:
        """Return the living things that stand in a place."""
        found = [one for one in self.seen() if one.place == place and one.alive and one.kind not in ("place", "house")]
        if isinstance(self.things, Watched):
            self.things.asked.update((one.kind, one.key) for one in found)
        return found

    def changing(self, thing: Thing) -> Thing:
        """Return a thing that a fold is about to change and has not asked for by its key."""
        if isinstance(self.things, Watched):
            self.things.asked.add((thing.kind, thing.key))
        return thing

    def seen(self) -> Iterable[Thing]:
        """Return all things for who looks at them and changes none."""
        return self.things.seen() if isinstance(self.things, Watched) else self.things.values()

    def around(self, place: str) -> list[str]:
        """Return a place and what it stands in, from the inside out."""
        found: list[str] = []
        while place and place not in found:
            found.append(place)
            thing = self.things.get(("place", place))
            place = thing.parent if thing else ""
        return found

    def within(self, place: str) -> list[Thing]:
        """Return the living things that stand in a place or in what stands in it."""
        nested = {key for kind, key in self.things if kind == "place" and place in self.around(key)} | {place}
        return [one for one in self.plants() if one.place in nested]

    def usual_pots(self) -> dict[str, dict[str, Any]]:
        """Return what is usual for pots in each place, with the place it was said of and the day; what stands in it shares it."""
        said = {
            key.partition(":")[2]: {**rule["pot"], "place": key.partition(":")[2], "since": rule["said"]["pot"]}
            for key, rule in self.rules.items()
            if key.startswith("place:") and rule.get("pot")
        }
        if not said:
            return {}
        return {key: usual for kind, key in self.things if kind == "place" and (usual := self._usual_in(key, said))}

    def _usual_in(self, place: str, said: dict[str, dict[str, Any]]) -> dict[str, Any]:
        found: dict[str, Any] = {}
        for one in self.around(place):
            found = laid_over(said.get(one, {}), found)
        return found

    def rule_for(self, thing: Thing) -> dict[str, Any]:
        """Return the grower's standing word for a thing: `class`, `months`, `light`, `floor_c` as far as said.

        `said` maps each to the ISO date of that word. The word on a plant overrules that on its lot, its place and its genus.
        """
        found: dict[str, Any] = {}
        for key in (f"taxon:{thing.genus}", f"place:{thing.place}", f"lot:{thing.lot}", f"{thing.kind}:{thing.key}"):
            rule = self.rules.get(key)
            if rule:
                found = found | rule | {"said": {**found.get("said", {}), **rule["said"]}}
        return found

    def with_recipe(self, pot: Mapping[str, Any]) -> dict[str, Any]:
        """Return what is said of a pot with the recipe of its mix as that stands now, where the mix has one."""
        mix = self.mixes.get(mix_key(str(pot.get("mix", ""))))
        recipe = {key: mix[key] for key in ("parts", "percent", "on") if key in mix} if mix else {}
        return {**pot, **({"recipe": recipe} if recipe else {})}

    def lot_of(self, words: str) -> Thing | None:
        """Return the lot of that key or other wording."""
        wanted = words.lower()
        lots = (one for (kind, _), one in self.things.items() if kind == "lot")
        return next((one for one in lots if wanted in (one.key.lower(), *one.aliases)), None)

    def names(self) -> Names:
        """Return the names that this collection knows; kept as `by_genus` is."""
        counts = (len(self.things), len(self.people), len(self.merged), len(self.mixes))
        if self.known is None or self.known[0] != counts:
            self.known = (counts, self._names())
        return self.known[1]

    def _names(self) -> Names:
        plants = [(key, one) for (kind, key), one in self.things.items() if kind == "plant"]
        numbers = [int(key) for key in (*(key for key, _ in plants), *self.merged) if key.isdigit()]
        nicknames = {
            key: key for key, _ in plants if not key.isdigit() and any(one.isdigit() for one in key)
        }  # "K-17b", as written
        nicknames |= {key: into for key, into in self.merged.items() if not key.isdigit()}
        others = [(kind, key, one) for (kind, key), one in self.things.items() if kind != "plant"]
        return Names(
            places=tuple(key for kind, key, _ in others if kind == "place"),
            nicknames=nicknames | {one.nickname: key for key, one in plants if one.nickname},
            lots={key: tuple(one.aliases) for kind, key, one in others if kind == "lot"},
            people=tuple(self.people.values()),
            sowings=tuple(key for kind, key, _ in others if kind == "sowing"),
            labels=(min(numbers), max(numbers)) if numbers else None,
            genera=self._genera(),
            mixes={one["said"]: key for key, one in self.mixes.items()},
        )

    def _genera(self) -> tuple[str, ...]:
        names = {str(one.names[-1]["name"]) for one in self.things.values() if one.names}
        return tuple(sorted({genus for one in names if (genus := genus_of(one))}))

    def rows(self, before: Rows | None = None) -> dict[tuple[str, str], Row]:
        """Return the state as rows of plain JSON values, by (kind, key); what stands as in `before` is the very row of it."""
        old: Rows = {} if before is None else before
        touched, made = self.touched, self.made
        out: dict[tuple[str, str], Row] = {
            key: self._row_of(key, one, old) if touched is None or key in touched else made[key][1]
            for key, one in self.things.items()
        }
        self.touched = set()
        out |= {(name := ("case", key)): self._row_of(name, one, old) for key, one in self.cases.items()}
        out |= {(name := ("reminder", key)): self._row_of(name, one, old) for key, one in self.reminders.items()}
        for name, row in self._other_rows():
            out[name] = kept if (kept := old.get(name)) == row else row
        return out

    def _other_rows(self) -> Iterator[tuple[tuple[str, str], Row]]:
        yield from ((("readings", key), {"readings": list(one)}) for key, one in self.readings.items())
        yield from ((("handled", key), dict(one)) for key, one in self.handled.items())
        yield from ((("person", key), {"name": one}) for key, one in self.people.items())
        yield from ((("rule", key), _apart(one)) for key, one in self.rules.items())
        yield from ((("wish", key), dict(one)) for key, one in self.wishes.items())
        yield from ((("mix", key), _apart(one)) for key, one in self.mixes.items())
        yield from ((("merged", key), {"into": one}) for key, one in self.merged.items())
        if self.dry_reports:
            yield ("learning", ""), {"reports": list(self.dry_reports)}
        if (self.last_on, self.last_sequence) != (date.min, 0) or self.accessions:
            folded: Row = {"last_on": self.last_on.isoformat(), "last_sequence": self.last_sequence}
            yield ("fold", ""), folded | ({"accessions": dict(self.accessions)} if self.accessions else {})

    def as_in(self, old: Rows, now: Rows) -> Standing:
        """Return the state that earlier rows wrote, `now` being the rows of this one. What stands as it did is not made anew.

        The new state goes on with the very things that did not change; once it has been folded on, `give_back`.
        """
        new = Standing.from_rows({key: row for key, row in old.items() if now.get(key) is not row or key not in self.things})
        held = ((key, new.things.get(key) or self.things.get(key)) for key in old)
        new.things = {key: thing for key, thing in held if thing is not None}
        new.made = dict(self.made)
        return new

    def give_back(self, rows: Rows, other: Standing, changed: Iterable[tuple[str, str]]) -> None:
        """Stand as `rows` say, whatever another state that went on with things of this one has made of them since."""
        for key in changed:
            thing = self.things.get(key)
            if thing is not None and other.things.get(key) is thing:
                self.things[key] = Thing(**_values(rows[key]))
        self.genera = self.touched = None

    def row_of(self, key: tuple[str, str]) -> Row:
        """Return the row of one thing, as `rows` gives it."""
        return _row(self.things[key], None)

    def _row_of(self, key: tuple[str, str], held: Thing | Case | Reminder, before: Rows) -> Row:
        """Return the row of a thing, case or reminder: the one made last time where no value of it has changed since."""
        values, made = _HELD[type(held)](held), self.made.get(key)
        if made is None or made[0] != values:
            made = self.made[key] = (tuple(_apart(one) for one in values), _row(held, before.get(key)))
        return made[1]

    @classmethod
    def from_rows(cls, rows: Mapping[tuple[str, str], Mapping[str, Any]]) -> Standing:
        """Return the state that `rows` wrote."""
        new = cls()
        for (kind, key), row in rows.items():
            if kind == "fold":
                new.last_on, new.last_sequence = date.fromisoformat(row["last_on"]), row["last_sequence"]
                new.accessions = dict(row.get("accessions", {}))
            elif kind == "case":
                new.cases[key] = Case(**_values(row))
            elif kind == "reminder":
                new.reminders[key] = Reminder(**_values(row))
            elif kind == "readings":
                new.readings[key] = list(row["readings"])
            elif kind == "handled":
                new.handled[key] = dict(row)
            elif kind == "rule":
                new.rules[key] = _apart(dict(row))
            elif kind == "wish":
                new.wishes[key] = dict(row)
            elif kind == "mix":
                new.mixes[key] = _apart(dict(row))
            elif kind == "merged":
                new.merged[key] = row["into"]
            elif kind == "learning":
                new.dry_reports = list(row["reports"])
            elif kind == "person":
                new.people[key] = row["name"]
            else:
                new.things[(kind, key)] = Thing(**_values(row))
        return new


def wish_key(who: str, name: str) -> str:
    """Return the key of a wish: the same name wished for by the same person is one wish."""
    return f"{who.lower()}|{name.lower()}"


def mix_key(name: str) -> str:
    """Return the key of a mix: "the gritty mix" is gritty; "loam mix" keeps the word, since loam alone is a material."""
    low = " ".join(name.lower().split())
    for article in ("the ", "my ", "our "):
        low = low.removeprefix(article)
    bare = low.removesuffix(" mix")
    return low if bare in PARTS else bare


def laid_over(under: Mapping[str, Any], over: Mapping[str, Any]) -> dict[str, Any]:
    """Return what is known of a pot, the later word over the earlier: a mix comes with its own recipe or with none."""
    kept = {key: one for key, one in under.items() if key != "recipe"} if "mix" in over else under
    return {**kept, **over}


_NAMES = {one: tuple(field.name for field in fields(one)) for one in (Thing, Case, Reminder)}
_HELD = {one: attrgetter(*names) for one, names in _NAMES.items()}
_AS_IT_IS = frozenset({str, int, float, bool, list, dict})


def _row(value: Thing | Case | Reminder, before: Row | None) -> Row:
    """Return what is set of a thing as JSON values. Every row of a collection is looked at with each note: it must be quick."""
    kind = type(value)
    out = {
        name: held if type(held) in _AS_IT_IS else _plain(held)
        for name, held in zip(_NAMES[kind], _HELD[kind](value), strict=True)
        if held or _counts(name, held)
    }
    return before if before is not None and before == out else {name: _apart(held) for name, held in out.items()}


def _counts(name: str, held: Any) -> bool:
    """Whether an empty value says something: nothing left of a count does, no refs do; no word and no day do not."""
    return name in ("kind", "key") or held == () or (name != "sequence" and held is not False and held == 0)


def _plain(held: Any) -> Any:
    return held.isoformat() if isinstance(held, date) else refs_to_json(held)


def _apart(held: Any) -> Any:
    """Return JSON values that share no list or mapping: what was written must not change with the state that goes on."""
    if isinstance(held, dict):
        return {key: _apart(one) for key, one in held.items()}
    return [_apart(one) for one in held] if isinstance(held, list) else held


def _values(row: Mapping[str, Any]) -> dict[str, Any]:
    values: dict[str, Any] = {
        key: _apart(held) if type(held) in (list, dict) else date.fromisoformat(held) if key in _DATES and held else held
        for key, held in row.items()
    }
    if "refs" in values:
        values["refs"] = refs_from_json(values["refs"])
    return values
