"""What a note says: the values of the reading contract, and their JSON form.

A reading is a pure function of the text, the moment, the time zone and the names the grower uses. Fields that the note
does not say are left out. The vocabulary of acts, signs and questions stands in `ACTS`, `SIGNS` and `ABOUTS`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from datetime import date, datetime
from typing import TYPE_CHECKING, Any

DECISIONS = ("log", "log_ask", "ask", "remind", "fix", "answer", "do")
ASKS = ("which", "act", "count", "when", "who", "product", "cause", "sign", "rule", "where")
STATUSES = ("present", "suspected", "absent", "cleared")
ACTS = frozenset(
    """watered fed misted wetted damped_down rest_started rest_ended inspected treated isolated released unpotted washed
    root_pruned set_to_dry potted repotted top_dressed divided mixed moved turned shaded unshaded covered uncovered heated
    vented cleaned offsets_taken cutting_taken grafted united sown germinated pricked_out rooted failed pollinated
    seed_harvested seed_soaked acquired given offered died discarded missing found_alive labelled label_lost named
    photographed""".split()
)
PESTS = frozenset(
    """spider_mite flat_mite mealybug root_mealybug scale_insect aphid thrips fungus_gnat vine_weevil whitefly slug
    caterpillar ant rodent nematode pest""".split()
)
SIGNS = PESTS | frozenset(
    """webbing honeydew bronzing scarring rot soft damping_off grey_mould fungal_spot scorch etiolated shrivelled split_skin
    cold_mark reddened yellowing bud_drop stalled dead_roots coiled_roots pot_bound crested oedema broken chewed algae
    budding flowering fruiting growing plump pupping resting healthy roots_healthy mix_dry mix_damp""".split()
)
ABOUTS = frozenset(
    """due last_done done_since list count where card source losses germination dose climate flowering journal swap_list
    may_water wet_in_frost not_since rooted wishes lineage rest_check outcome dry_time sprayed""".split()
)
REQUESTS = frozenset("share revoke teach done later drop why set away export labels picture".split())
FIXES = frozenset("undo count which when act value product place add".split())
MEASURES = frozenset("height diameter root_length weight heads offsets trap_count days_to_dry water_temp".split())


@dataclass(frozen=True)
class Selection:
    """Which plants the words name. Values within a field are alternatives, different fields narrow.

    What was not said stands in the class alone, not in each selection; so it is for an entry.
    """

    labels: tuple[str, ...] = ()
    nicknames: tuple[str, ...] = ()
    taxa: tuple[str, ...] = ()
    places: tuple[str, ...] = ()
    lots: tuple[str, ...] = ()
    sowings: tuple[str, ...] = ()
    roots: str | None = None
    pot_cm: float | None = None
    kind: str | None = None
    words: str | None = None
    refer: str | None = None
    state: str | None = None
    count: int | None = None
    of: int | None = None
    approx: bool = False
    fraction: float | None = None
    excluded: tuple[Selection, ...] = ()

    if not TYPE_CHECKING:

        def __init__(self, **said: Any) -> None:
            if not said.keys() <= _OF_SELECTION:
                raise TypeError(f"no field of a selection: {sorted(said.keys() - _OF_SELECTION)}")
            self.__dict__.update(said)

    def plain(self) -> bool:
        """Return True only where at most one field is said."""
        return len(self.__dict__) < 2

    def changed(self, **values: Any) -> Selection:
        """Return the selection with other values."""
        made = object.__new__(Selection)
        made.__dict__.update(self.__dict__, **values)
        return made

    def to_json(self) -> dict[str, Any]:
        """Return the selection as plain JSON values, without what was not said."""
        out: dict[str, Any] = {}
        said = self.__dict__
        for name in _SELECTED if len(said) > 1 else said:
            value = said.get(name)
            if value is None or value is False or value == () or name == "excluded":
                continue
            out[name] = list(value) if isinstance(value, tuple) else value
        if self.excluded:
            taken = [one.to_json() for one in self.excluded]
            out["except"] = taken[0] if len(taken) == 1 else taken
        return out

    @classmethod
    def from_json(cls, given: Mapping[str, Any]) -> Selection:
        """Return the selection that `to_json` wrote."""
        values: dict[str, Any] = {
            key: tuple(one) if isinstance(one, list) else one for key, one in given.items() if key != "except"
        }
        taken = given.get("except", [])
        excluded = tuple(cls.from_json(one) for one in (taken if isinstance(taken, list) else [taken]))
        return cls(**values, excluded=excluded)


_OF_SELECTION = frozenset(one.name for one in fields(Selection))
_SELECTED = tuple(one.name for one in fields(Selection) if one.name != "excluded")  # asked for of every entry


@dataclass(frozen=True)
class Entry:
    """One fact, plan, question, correction or request of a note; see the reading contract in DEVELOPERS.md.

    `span` is where in the text it was found (start, end); it is for explaining and never part of the JSON form.
    """

    type: str
    act: str | None = None
    sign: str | None = None
    status: str | None = None
    of: str | None = None
    about: str | None = None
    what: str | None = None
    do: str | None = None
    which: Selection | None = None
    when: date | None = None
    approx: bool = False
    sure: bool = True
    details: Mapping[str, Any] = field(default_factory=dict)
    why: str | None = None
    value: float | None = None
    low: float | None = None
    high: float | None = None
    unit: str | None = None
    min_c: float | None = None
    max_c: float | None = None
    at_c: float | None = None
    set_c: float | None = None
    rh: float | None = None
    place: str | None = None
    forecast: bool = False
    since: date | None = None
    until: date | None = None
    cond: str | None = None
    text: str | None = None
    due: date | datetime | None = None
    cancel: bool = False
    snooze: bool = False
    every_days: int | None = None
    to: Any = None
    field: str | None = None
    numbers: tuple[int, ...] = ()
    span: tuple[int, int] = (0, 0)

    if not TYPE_CHECKING:

        def __init__(self, *type_: str, **said: Any) -> None:
            if not said.keys() <= _OF_ENTRY:
                raise TypeError(f"no field of an entry: {sorted(said.keys() - _OF_ENTRY)}")
            held = self.__dict__
            if type_:
                (held["type"],) = type_
            held.update(said)
            if "details" not in said:
                held["details"] = {}

    def changed(self, **values: Any) -> Entry:
        """Return the entry with other values; what `dataclasses.replace` does, without asking each field."""
        made = object.__new__(Entry)
        made.__dict__.update(self.__dict__, **values)
        return made

    def to_json(self) -> dict[str, Any]:
        """Return the entry as plain JSON values, without what was not said."""
        out: dict[str, Any] = {}
        for name in _TOLD:
            value = self.__dict__.get(name)
            if value is None or value is False or value in ((), {}):
                continue
            out[name] = _plain(value)
        if not self.sure:
            out["sure"] = False
        return out

    @classmethod
    def from_json(cls, given: Mapping[str, Any]) -> Entry:
        """Return the entry that `to_json` wrote."""
        values = dict(given)
        for name in ("when", "since", "until", "due"):
            if name in values:
                values[name] = _moment(values[name])
        if values.get("which") is not None:
            values["which"] = Selection.from_json(values["which"])
        values["numbers"] = tuple(values.get("numbers", ()))
        return cls(**values)


_OF_ENTRY = frozenset(one.name for one in fields(Entry))
_TOLD = tuple(one.name for one in fields(Entry) if one.name not in ("span", "sure"))


@dataclass(frozen=True, slots=True)
class Reading:
    """What one note says, and whether it can be written as it stands."""

    decision: str
    ask: str | None = None
    entries: tuple[Entry, ...] = ()
    answers: bool = False  # the text answered the open question: the entries are the old note's, with the gap filled

    def to_json(self) -> dict[str, Any]:
        """Return `decision`, `ask` and `entries` as plain JSON values."""
        return {"decision": self.decision, "ask": self.ask, "entries": [one.to_json() for one in self.entries]}

    @classmethod
    def from_json(cls, given: Mapping[str, Any]) -> Reading:
        """Return the reading that `to_json` wrote."""
        return cls(given["decision"], given.get("ask"), tuple(Entry.from_json(one) for one in given["entries"]))


@dataclass(frozen=True, slots=True)
class Question:
    """The open question that a text may answer: the note it was about, and what was asked."""

    text: str
    ask: str


def _plain(value: Any) -> Any:
    if isinstance(value, Selection):
        return value.to_json()
    if isinstance(value, datetime):
        return value.isoformat(timespec="minutes")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, tuple):
        return list(value)
    return dict(value) if isinstance(value, Mapping) else value


def _moment(text: str) -> date | datetime:
    return datetime.fromisoformat(text) if "T" in text else date.fromisoformat(text)
