"""From the thermometer notes in the standing to the temperatures of each place."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import date
from typing import Any

from bot.care.climate import ClimateReading, PlaceClimate
from bot.care.due_values import Setting, Temperatures
from bot.care.normals import DEFAULT_LATITUDE, MonthlyNormals, latitude_of_zone
from bot.care.standing import Standing
from bot.store.people import CollectionSettings


def setting_of(standing: Standing, settings: CollectionSettings, today: date) -> Setting:
    """Return what the computations need beside the standing. Places without readings of their own share the house's."""
    latitude = latitude_for(settings)
    normals = (
        MonthlyNormals(tuple(low for low, _ in settings.normals), tuple(high for _, high in settings.normals))
        if settings.normals
        else None
    )
    floor = settings.floor_c if settings.floor_c is not None else _heater_of(standing)
    climates: dict[str, PlaceClimate] = {}

    def climate(place: str) -> PlaceClimate:
        name = place if _readings(standing, place) else ""
        if name not in climates:
            entries = _readings(standing, name) or _all_readings(standing)
            climates[name] = PlaceClimate(_values(entries), normals, latitude, floor)
        return climates[name]

    def temperatures(place: str) -> Temperatures:
        return climate(place).on

    def humidity(place: str, day: date) -> float | None:
        return climate(place).humidity_on(day)

    def nights(place: str) -> Callable[[date], float | None]:
        def on(day: date) -> float | None:
            known = climate(place).night_minimum(day)
            return known.min_c if known else None

        return on

    return Setting(today, latitude, temperatures, humidity, nights, settings)


def latitude_for(settings: CollectionSettings) -> float:
    """Return the latitude that was set, else that of the time zone's city, else a middle one."""
    if settings.latitude is not None:
        return settings.latitude
    city = latitude_of_zone(settings.zone)
    return city[0] if city else DEFAULT_LATITUDE


def _readings(standing: Standing, place: str) -> list[Mapping[str, Any]]:
    return [one for key, held in standing.readings.items() if key.partition("|")[0] == place for one in held]


def _all_readings(standing: Standing) -> list[Mapping[str, Any]]:
    """Where nothing was noted for the house as a whole, any place's readings are nearer than a guess."""
    return [one for held in standing.readings.values() for one in held]


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
