"""Winter dormancy of spider mites: when a clean look proves nothing.

Females turn orange, stop feeding and hide as days shorten and nights cool; long days and warmth end it.
"""

from __future__ import annotations

from datetime import date

from bot.care.climate import DayTemperature
from bot.care.daylength import civil_daylength, daylength_trend
from bot.care.sources import Trust

DORMANCY_DAYLENGTH_H = 13.5
DORMANCY_DAYLENGTH_NORTH_H = 14.0
DORMANCY_NORTH_OF_DEG = 55.0
DORMANCY_BELOW_NIGHT_C = 18.0
DORMANCY_LEAST_LATITUDE_DEG = 30.0
WAKING_DAYLENGTH_H = 12.0
WAKING_MEAN_C = 12.0
NIGHT_RISE_SHARE = 0.25

_DIAPAUSE = Trust(
    "project default",
    "inside the range of Ferguson 2009, The impact of fall conditions on spider mites, OMAFRA; Gotoh & Shinkaji 1981, "
    "Jpn. J. Appl. Entomol. Zool. 25(2):113-118 (critical daylength 9.7 to 13.5 h, longer at higher latitude)",
)
TRUST = {
    "DORMANCY_DAYLENGTH_H": _DIAPAUSE,
    "DORMANCY_DAYLENGTH_NORTH_H": Trust("from memory", "longer critical daylength at higher latitude"),
    "DORMANCY_NORTH_OF_DEG": Trust("from memory", "longer critical daylength at higher latitude"),
    "DORMANCY_BELOW_NIGHT_C": _DIAPAUSE,
    "DORMANCY_LEAST_LATITUDE_DEG": Trust("derived", "Gotoh & Shinkaji 1981: no diapause in Kyushu, 31 to 33 N"),
    "WAKING_DAYLENGTH_H": _DIAPAUSE,
    "WAKING_MEAN_C": _DIAPAUSE,
    "NIGHT_RISE_SHARE": Trust("project default", "the night mean lies a quarter of the day's span above the minimum"),
}


def mites_may_be_dormant(day: date, latitude: float | None, temperature: DayTemperature) -> bool:
    """Whether spider mites may be in diapause: short days that shorten and cool nights, until days lengthen and warm."""
    if latitude is None or abs(latitude) < DORMANCY_LEAST_LATITUDE_DEG:
        return False
    hours = civil_daylength(latitude, day)
    north = abs(latitude) > DORMANCY_NORTH_OF_DEG
    night_c = temperature.min_c + NIGHT_RISE_SHARE * (temperature.max_c - temperature.min_c)
    if hours >= (DORMANCY_DAYLENGTH_NORTH_H if north else DORMANCY_DAYLENGTH_H) or night_c >= DORMANCY_BELOW_NIGHT_C:
        return False
    if daylength_trend(latitude, day) == "falling":
        return True
    return not (hours > WAKING_DAYLENGTH_H and temperature.mean_c > WAKING_MEAN_C)
