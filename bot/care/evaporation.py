"""Evaporation: vapour pressure, radiation and the combination equation, numbered as in FAO-56.

Source of every equation here: Allen, Pereira, Raes & Smith 1998, Crop evapotranspiration, FAO Irrigation and Drainage
Paper 56. Temperatures in Celsius, pressures in kPa, radiation in MJ/m2/day, evaporation in mm/day.
"""

from __future__ import annotations

import math
from functools import lru_cache

from bot.care.daylength import declination_fao, sunset_hour_angle
from bot.care.sources import FAO56, Trust

PSYCHROMETRIC_KPA_PER_C = 0.0665
SOLAR_CONSTANT_MJ_MIN = 0.0820
STEFAN_BOLTZMANN_MJ = 4.903e-9
ALBEDO_SHARE_KEPT = 0.77
LATENT_HEAT_MJ_PER_MM = 2.45

TRUST = {
    "PSYCHROMETRIC_KPA_PER_C": Trust("derived", "FAO-56 equation 8 at 100 kPa"),
    "SOLAR_CONSTANT_MJ_MIN": FAO56,
    "STEFAN_BOLTZMANN_MJ": FAO56,
    "ALBEDO_SHARE_KEPT": FAO56,
    "LATENT_HEAT_MJ_PER_MM": FAO56,
}


def air_pressure(altitude_m: float) -> float:
    """Air pressure at an altitude (equation 7)."""
    return float(101.3 * ((293 - 0.0065 * altitude_m) / 293) ** 5.26)


def psychrometric_constant(pressure_kpa: float) -> float:
    """Psychrometric constant in kPa per Celsius (equation 8)."""
    return 0.665e-3 * pressure_kpa


def saturation_vapour_pressure(temperature_c: float) -> float:
    """Vapour pressure of saturated air (equation 11)."""
    return 0.6108 * math.exp(17.27 * temperature_c / (temperature_c + 237.3))


def mean_saturation_vapour_pressure(min_c: float, max_c: float) -> float:
    """Saturation vapour pressure of a day, the mean of its ends (equation 12)."""
    return (saturation_vapour_pressure(min_c) + saturation_vapour_pressure(max_c)) / 2


def vapour_pressure_slope(temperature_c: float) -> float:
    """Slope of the saturation curve in kPa per Celsius (equation 13)."""
    return 4098 * saturation_vapour_pressure(temperature_c) / (temperature_c + 237.3) ** 2


def vapour_pressure_from_bulbs(wet_c: float, dry_c: float, pressure_kpa: float, coefficient: float = 0.000662) -> float:
    """Vapour pressure of the air from a ventilated wet and dry bulb (equation 15)."""
    return saturation_vapour_pressure(wet_c) - coefficient * pressure_kpa * (dry_c - wet_c)


def vapour_pressure_from_humidities(min_c: float, max_c: float, rh_min_pct: float, rh_max_pct: float) -> float:
    """Vapour pressure of a day from its lowest and highest relative humidity (equation 17)."""
    return (saturation_vapour_pressure(min_c) * rh_max_pct + saturation_vapour_pressure(max_c) * rh_min_pct) / 200


def actual_vapour_pressure(min_c: float, max_c: float, rh_pct: float | None) -> float:
    """Vapour pressure of a day from its mean relative humidity (19); unknown: the night reaches its dew point (48)."""
    if rh_pct is None:
        return saturation_vapour_pressure(min_c)
    return rh_pct / 100 * mean_saturation_vapour_pressure(min_c, max_c)


def vapour_pressure_deficit(min_c: float, max_c: float, rh_pct: float | None) -> float:
    """How much vapour pressure the day's air lacks to saturation, in kPa."""
    return mean_saturation_vapour_pressure(min_c, max_c) - actual_vapour_pressure(min_c, max_c, rh_pct)


def dew_point(vapour_pressure_kpa: float) -> float:
    """Temperature at which this vapour pressure saturates the air (equation 11 turned round).

    Raises ValueError for a pressure that is not positive.
    """
    if vapour_pressure_kpa <= 0:
        raise ValueError("vapour pressure must be above zero")
    g = math.log(vapour_pressure_kpa / 0.6108)
    return 237.3 * g / (17.27 - g)


def inverse_relative_distance(day_of_year: int) -> float:
    """Inverse relative distance of earth and sun (equation 23)."""
    return 1 + 0.033 * math.cos(2 * math.pi * day_of_year / 365)


@lru_cache(maxsize=2 * 366)  # a year at a latitude or two: every pot of a collection asks for the same days
def extraterrestrial_radiation(latitude: float, day_of_year: int) -> float:
    """Radiation above the air (equation 21), 0 in the polar night."""
    phi, declination = math.radians(latitude), declination_fao(day_of_year)
    angle = sunset_hour_angle(latitude, day_of_year)
    height = angle * math.sin(phi) * math.sin(declination) + math.cos(phi) * math.cos(declination) * math.sin(angle)
    return max(0.0, 24 * 60 / math.pi * SOLAR_CONSTANT_MJ_MIN * inverse_relative_distance(day_of_year) * height)


def solar_radiation(sunshine_h: float, daylength_h: float, ra_mj: float) -> float:
    """Solar radiation from hours of sunshine (equation 35)."""
    return (0.25 + 0.50 * sunshine_h / daylength_h) * ra_mj


def solar_radiation_from_span(min_c: float, max_c: float, ra_mj: float, coefficient: float = 0.16) -> float:
    """Solar radiation from a day's span of temperature (equation 50)."""
    return coefficient * math.sqrt(max_c - min_c) * ra_mj


def clear_sky_radiation(altitude_m: float, ra_mj: float) -> float:
    """Solar radiation under a clear sky (equation 37)."""
    return (0.75 + 2e-5 * altitude_m) * ra_mj


def net_longwave_radiation(min_c: float, max_c: float, vapour_pressure_kpa: float, rs_mj: float, rso_mj: float) -> float:
    """Net outgoing longwave radiation (equation 39)."""
    emitted = STEFAN_BOLTZMANN_MJ * ((max_c + 273.16) ** 4 + (min_c + 273.16) ** 4) / 2
    return emitted * (0.34 - 0.14 * math.sqrt(vapour_pressure_kpa)) * (1.35 * rs_mj / rso_mj - 0.35)


def net_radiation(rs_mj: float, rnl_mj: float) -> float:
    """Net radiation outdoors over grass (equations 38 and 40)."""
    return ALBEDO_SHARE_KEPT * rs_mj - rnl_mj


def wind_at_two_metres(speed_m_s: float, height_m: float) -> float:
    """Wind speed at 2 m from a speed measured at another height (equation 47)."""
    return speed_m_s * 4.87 / math.log(67.8 * height_m - 5.42)


def reference_evaporation(
    min_c: float, max_c: float, vapour_pressure_kpa: float, net_mj: float, wind_m_s: float, pressure_kpa: float
) -> float:
    """Evaporation of a reference grass outdoors (Penman-Monteith, equation 6, no heat into the ground)."""
    mean_c = (min_c + max_c) / 2
    slope, gamma = vapour_pressure_slope(mean_c), psychrometric_constant(pressure_kpa)
    deficit = mean_saturation_vapour_pressure(min_c, max_c) - vapour_pressure_kpa
    wind = gamma * 900 / (mean_c + 273) * wind_m_s * deficit
    return (0.408 * slope * net_mj + wind) / (slope + gamma * (1 + 0.34 * wind_m_s))


def hargreaves_evaporation(min_c: float, max_c: float, mean_c: float, ra_mj: float) -> float:
    """Reference evaporation from temperatures alone (Hargreaves, equation 52)."""
    return 0.0023 * (mean_c + 17.8) * math.sqrt(max_c - min_c) * 0.408 * ra_mj


def aerodynamic_term(min_c: float, max_c: float, rh_pct: float | None, wind_function: float) -> float:
    """What dry moving air takes from a wet surface, in mm/day, without any sun (Penman's combination form).

    `wind_function` in mm/day/kPa. Even saturated air takes a fiftieth of the saturation pressure, so that nothing stays
    wet for ever (project default).
    """
    slope = vapour_pressure_slope((min_c + max_c) / 2)
    saturated = mean_saturation_vapour_pressure(min_c, max_c)
    deficit = max(saturated - actual_vapour_pressure(min_c, max_c, rh_pct), 0.02 * saturated)
    return PSYCHROMETRIC_KPA_PER_C / (slope + PSYCHROMETRIC_KPA_PER_C) * wind_function * deficit


def radiation_term(min_c: float, max_c: float, net_mj: float) -> float:
    """What sun and sky evaporate from a wet surface, in mm/day, without any wind (Penman's combination form)."""
    slope = vapour_pressure_slope((min_c + max_c) / 2)
    return slope / (slope + PSYCHROMETRIC_KPA_PER_C) * net_mj / LATENT_HEAT_MJ_PER_MM


def total_evaporable_water(field_capacity: float, wilting_point: float, depth_m: float) -> float:
    """Water in mm that a layer can lose by evaporation (equation 73)."""
    return 1000 * (field_capacity - 0.5 * wilting_point) * depth_m


def evaporation_reduction(tew_mm: float, rew_mm: float, depletion_mm: float) -> float:
    """Share of the demand (0 to 1) that a drying surface still meets (equation 74)."""
    if depletion_mm <= rew_mm:
        return 1.0
    return max(0.0, (tew_mm - depletion_mm) / (tew_mm - rew_mm))
