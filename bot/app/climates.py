"""From the thermometer notes in the standing to the temperatures of each place."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import median
from typing import Any

from bot.care.climate import OFFSET_READINGS, OUTSIDE_TO_HOUSE_C, ClimateReading, PlaceClimate, WorkedDays
from bot.care.due_kept import Kept
from bot.care.due_values import Setting, Temperatures
from bot.care.normals import DEFAULT_LATITUDE, MonthlyNormals, latitude_of_zone
from bot.care.standing import Standing
from bot.store.people import CollectionSettings


def setting_of(standing: Standing, settings: CollectionSettings, today: date, before: Setting | None = None) -> Setting:
    """Return what the computations need beside the standing.

    `before` is the setting of an earlier note or day: its warmth is gone on with where nothing that it rests on has changed,
    and whatever was worked out of that alone.
    """
    latitude, pots = latitude_for(settings), standing.usual_pots()
    known: Weather | None = before.weather if before is not None else None
    weather = known if known is not None and known.holds_for(standing, settings) else Weather(standing, settings, known)
    return Setting(
        today,
        latitude,
        weather.temperatures,
        weather.humidity,
        weather.nights,
        settings,
        pots,
        alike=weather.thermometer_of,
        weather=weather,
        lasting=before.lasting_on(today) if before is not None and weather is known else {},
        kept=before.kept_on(today, latitude, pots) if before is not None else Kept(),
    )


_Entries = Sequence[Mapping[str, Any]]


def going_on(kept: Setting | None, standing: Standing, settings: CollectionSettings, today: date) -> Setting:
    """Return the setting of a day: the one already worked out where neither day, warmth, usual pots nor settings are others."""
    if kept is None or kept.weather is None:
        return setting_of(standing, settings, today)
    same = (kept.today, kept.settings, kept.pots) == (today, settings, standing.usual_pots())
    return kept if same and kept.weather.holds_for(standing, settings) else setting_of(standing, settings, today, kept)


class Weather:
    """The temperatures of each place. A place without a thermometer shares that of what it stands in, else the house's."""

    def __init__(self, standing: Standing, settings: CollectionSettings, before: Weather | None = None) -> None:
        """`before` is the weather of the same collection with other readings: what it read is not read again."""
        self._rests_on = _rests_on(standing, settings)
        self._readings = {key: list(held) for key, held in standing.readings.items()}
        self._around = {key: standing.around(key) for kind, key in standing.things if kind == "place"}
        self._owners = {key.partition("|")[0] for key, held in standing.readings.items() if held}
        self._normals, self._latitude = _normals_of(settings), latitude_for(settings)
        self._floor = heater_of(standing, settings)
        self._read: dict[str, _Read] = before.read_of(self._normals, self._latitude) if before is not None else {}
        self._made: dict[str, PlaceClimate] = {}

    def holds_for(self, standing: Standing, settings: CollectionSettings) -> bool:
        """Whether it is what these come to: the readings, where thermometers stand, and what the settings say of warmth."""
        return self._rests_on == _rests_on(standing, settings) and self._readings == standing.readings

    def read_of(self, normals: MonthlyNormals | None, latitude: float) -> dict[str, _Read]:
        """Return what was read of each thermometer; nothing where normals or latitude are others."""
        return dict(self._read) if (normals, latitude) == (self._normals, self._latitude) else {}

    def thermometer_of(self, place: str) -> str:
        """Return the place whose thermometer tells the warmth of a place; empty where it is the house's."""
        return next((one for one in self._around.get(place, (place,)) if one in self._owners), "") if self._owners else ""

    def temperatures(self, place: str) -> Temperatures:
        """Return the temperatures of each day in a place."""
        return self._climate(place).on

    def humidity(self, place: str, day: date) -> float | None:
        """Return the relative humidity of a place on a day, in percent; None where nobody read it."""
        return self._climate(place).humidity_on(day)

    def nights(self, place: str) -> Callable[[date], float | None]:
        """Return the smoothed night minimum of each day in a place, in °C."""
        climate = self._climate(place)

        def on(day: date) -> float | None:
            known = climate.night_minimum(day)
            return known.min_c if known else None

        return on

    def _climate(self, place: str) -> PlaceClimate:
        name = self.thermometer_of(place)
        if name not in self._made:
            own: _Entries = [one for key, held in self._readings.items() if key.partition("|")[0] == name for one in held]
            # Where nothing was noted for the house as a whole, any place's readings are nearer than a guess.
            read = _Read.of(own or [one for held in self._readings.values() for one in held], self._read.get(name))
            self._read[name] = read
            self._made[name] = PlaceClimate(read.readings, self._normals, self._latitude, self._floor, read.worked)
        return self._made[name]


@dataclass(frozen=True, slots=True)
class _Read:
    """The entries of one thermometer, each as a reading, and what the climate made of single days."""

    entries: _Entries
    readings: list[ClimateReading]
    worked: WorkedDays

    @classmethod
    def of(cls, entries: _Entries, before: _Read | None) -> _Read:
        """Read entries; those at the beginning and at the end that are as they were before are not read again."""
        if before is None:
            return cls(entries, _values(entries), WorkedDays())
        most = min(len(entries), len(before.entries))
        first = next((number for number in range(most) if entries[number] != before.entries[number]), most)
        most -= first
        last = next((number for number in range(most) if entries[-1 - number] != before.entries[-1 - number]), most)
        between = _values(entries[first : len(entries) - last])
        readings = [*before.readings[:first], *between, *before.readings[len(before.readings) - last :]]
        return cls(entries, readings, before.worked)


def _rests_on(standing: Standing, settings: CollectionSettings) -> tuple[Any, ...]:
    """Return what the warmth of places hangs on besides their readings."""
    apart = any(held and not key.startswith("|") for key, held in standing.readings.items())
    stands = {key: one.parent for (kind, key), one in standing.things.items() if kind == "place" and one.parent} if apart else {}
    return _normals_of(settings), latitude_for(settings), settings.floor_c, stands


def _normals_of(settings: CollectionSettings) -> MonthlyNormals | None:
    if not settings.normals:
        return None
    lows, highs = tuple(low for low, _ in settings.normals), tuple(high for _, high in settings.normals)
    return MonthlyNormals(lows, highs, outside=bool(settings.extra.get("normals_outside")))


def latitude_for(settings: CollectionSettings) -> float:
    """Return the latitude that was set, else that of the time zone's city, else a middle one."""
    if settings.latitude is not None:
        return settings.latitude
    city = latitude_of_zone(settings.zone)
    return city[0] if city else DEFAULT_LATITUDE


def _readings(standing: Standing, place: str) -> list[Mapping[str, Any]]:
    return [one for key, held in standing.readings.items() if key.partition("|")[0] == place for one in held]


def heater_of(standing: Standing, settings: CollectionSettings) -> float | None:
    """Return the temperature below which the house is kept from falling, in °C: as set, else the heater's set-point."""
    return settings.floor_c if settings.floor_c is not None else _heater_of(standing)


def house_lift(standing: Standing) -> tuple[float, int]:
    """Return how far the house's nights lie above the forecast for outdoors, in °C, and from how many nights that is known.

    The median of the nights that had a forecast and a reading (the minimum is read on the morning after); with fewer than
    five the project default, and 0 nights.
    """
    own = {one["on"]: float(one["min_c"]) for one in _readings(standing, "") if _measured_night(one)}
    told = {one["on"]: float(one["min_c"]) for one in _readings(standing, "") if one.get("forecast") and "min_c" in one}
    lifts = [own[morning] - low for day, low in told.items() if (morning := _day_after(day)) in own]
    return (median(lifts), len(lifts)) if len(lifts) >= OFFSET_READINGS else (OUTSIDE_TO_HOUSE_C, 0)


def _measured_night(entry: Mapping[str, Any]) -> bool:
    return "min_c" in entry and not entry.get("forecast") and not entry.get("since")


def _day_after(day: str) -> str:
    return (date.fromisoformat(day) + timedelta(days=1)).isoformat()


def _heater_of(standing: Standing) -> float | None:
    said = [(one["on"], one["set_c"]) for held in standing.readings.values() for one in held if one.get("set_c") is not None]
    return float(max(said)[1]) if said else None


def _values(entries: Iterable[Mapping[str, Any]]) -> list[ClimateReading]:
    return [
        ClimateReading(
            day=date.fromisoformat(one["on"]),
            min_c=one.get("min_c"),
            max_c=one.get("max_c"),
            kind="forecast" if one.get("forecast") else "measured",
            since=date.fromisoformat(one["since"]) if one.get("since") else None,
            at_c=one.get("at_c"),
            rh_pct=one.get("rh"),
            outside=bool(one.get("forecast")),
        )
        for one in entries
    ]
