"""From the thermometer notes in the standing to the temperatures of each place."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import date, timedelta
from functools import cache
from statistics import median
from typing import Any

from bot.care.climate import OFFSET_READINGS, OUTSIDE_TO_HOUSE_C, ClimateReading, PlaceClimate
from bot.care.due_values import Setting, Temperatures
from bot.care.normals import DEFAULT_LATITUDE, MonthlyNormals, latitude_of_zone
from bot.care.standing import Standing
from bot.store.people import CollectionSettings


def setting_of(standing: Standing, settings: CollectionSettings, today: date) -> Setting:
    """Return what the computations need beside the standing. Places without readings of their own share the house's."""
    latitude = latitude_for(settings)
    normals = (
        MonthlyNormals(
            tuple(low for low, _ in settings.normals),
            tuple(high for _, high in settings.normals),
            outside=bool(settings.extra.get("normals_outside")),
        )
        if settings.normals
        else None
    )
    floor = heater_of(standing, settings)

    @cache
    def of_readings(name: str) -> PlaceClimate:
        entries = _readings(standing, name) or _all_readings(standing)
        return PlaceClimate(_values(entries), normals, latitude, floor)

    @cache
    def climate(place: str) -> PlaceClimate:
        return of_readings(next((one for one in standing.around(place) if _readings(standing, one)), ""))

    def temperatures(place: str) -> Temperatures:
        return climate(place).on

    def humidity(place: str, day: date) -> float | None:
        return climate(place).humidity_on(day)

    def nights(place: str) -> Callable[[date], float | None]:
        def on(day: date) -> float | None:
            known = climate(place).night_minimum(day)
            return known.min_c if known else None

        return on

    return Setting(today, latitude, temperatures, humidity, nights, settings, standing.usual_pots())


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
