"""The computations that `reckon` knows by name: thin doors to the modules that do them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from typing import Any

from bot.care import doses, pests, potting
from bot.care.climate import DayTemperature
from bot.care.daylength import civil_daylength, sunrise_sunset
from bot.care.degreedays import CUTOFFS, METHODS, degree_days
from bot.care.drying import (
    MIXES,
    PLANT_SHARE,
    SUN_SHARE,
    TOP_DRESSING,
    WALL_CM,
    WIND_FUNCTION,
    Pot,
    Potted,
    daily_demand,
    days_to_dry,
    last_safe_soak,
    net_radiation_inside,
)
from bot.care.evaporation import (
    dew_point,
    extraterrestrial_radiation,
    saturation_vapour_pressure,
    vapour_pressure_deficit,
)
from bot.care.frost import frost_risk, habit_of_nights
from bot.care.genera import CLASS_FLOOR_C, GROWTH_CLASSES, GenusRow, GrowthClass, genus_row, source_of
from bot.care.normals import MonthlyNormals, house_day_span
from bot.care.propagation import callus, germination
from bot.care.reckon_inputs import Computation, Input, Outcome, ReckonError
from bot.care.rest import rest_state
from bot.care.sources import FAO56

Given = Mapping[str, Any]

_MIN = Input("min", unit="C", about="night minimum")
_MAX = Input("max", unit="C", about="day maximum")
_LATITUDE = Input("latitude", unit="degrees", about="south negative")
_MAYBE_LATITUDE = Input("latitude", unit="degrees", optional=True, about="south negative")
_DAY = Input("day", "day")
_PLACEMENTS = {"free-standing": "free", "single": "free", "pot-to-pot": "crowded", "close": "crowded"}
_POT_INPUTS = (
    Input("pot", unit="cm", about="outer top width"),
    Input("material", "choice", default="plastic", choices=tuple(WALL_CM), also={"terracotta": "clay"}),
    Input("mix", "choice", default="half", choices=tuple(MIXES), also={"coir": "peat", "pumice": "mineral"}),
    Input("light", "choice", default="full", choices=tuple(SUN_SHARE)),
    Input("plant", "choice", default="growing", choices=tuple(PLANT_SHARE)),
    Input("air", "choice", default="normal", choices=tuple(WIND_FUNCTION)),
    Input("cover", "text", default="bare", about="bare, grit or a share"),
    Input("placement", "choice", default="free", choices=("free", "crowded"), also=_PLACEMENTS),
    Input("shape", "choice", default="round", choices=("round", "square")),
)
_ZALOM = (
    "Zalom, Goodell, Wilson, Barnett & Bentley 1983, Degree-Days: The Calculation and Use of Heat Units in Pest Management, "
    "University of California [published]"
)
_DRYING_MODEL = "two-stage water balance after FAO-56 equation 74; class parameters are project defaults"
_PRACTICE = "common practice"


def _degree_days(given: Given) -> Outcome:
    value = degree_days(given["min"], given["max"], given["base"], given["upper"], method=given["method"], cutoff=given["cutoff"])
    return Outcome({"value": value}, reason=f"{value:.2f} degree-days above {given['base']:g} C")


def _steady(given: Given) -> Callable[[date], DayTemperature]:
    if given["min"] > given["max"]:
        raise ReckonError(f"min {given['min']:g} is above max {given['max']:g}: swapped?")
    weather = DayTemperature(given["min"], given["max"])
    return lambda _: weather


def _reinspect(given: Given) -> Outcome:
    row = pests.pest_row(given["pest"].lower().replace(" ", "_").replace("-", "_"))
    if row is None or row.intervals is None:
        known = ", ".join(key for key, one in pests.pest_rows().items() if one.intervals)
        raise ReckonError(f"no degree-days for {given['pest']}: look after 7 and 14 days (common practice); known are {known}")
    due = pests.reinspection(row, given["on"], _steady(given), given["on"], latitude=given["latitude"], horizon_days=400)
    now = row.intervals
    sums = f"{now.retreat_dd:g}, {now.latest_dd:g} and {now.clear_dd:g} degree-days above {now.base_c:g} C"
    reason = sums + ("; too cold for a date: look every 28 days" if due.cold else "")
    ranges = {"retreat": (due.early_look_on, due.retreat_on), "clear": (due.clear_on, due.all_clear_on)}
    result = {"retreat": due.retreat_on, "latest": due.latest_on, "clear": due.clear_on, "all_clear_late": due.all_clear_on}
    return Outcome(result, ranges, reason + ("; low confidence" if row.unsure else ""), row.sources)


def _quarantine(given: Given) -> Outcome:
    release = pests.quarantine_release(given["start"], _steady(given), given["start"], horizon_days=400)
    result = {"release": release.release_on, "days_done": release.days_done_on, "warmth_done": release.warmth_done_on}
    return Outcome(result, reason="the later of 42 days and 500 degree-days above 8 C, and a look at the roots")


def _potted(given: Given) -> Potted:
    cover = {"bare": 1.0, "none": 1.0, "grit": TOP_DRESSING, "top-dressing": TOP_DRESSING}.get(given["cover"].lower())
    if cover is None:
        try:
            cover = float(given["cover"])
        except ValueError:
            raise ReckonError(f"cover is bare, grit or a share from 0 to 1, not {given['cover']}") from None
    if not 0 < cover <= 1:
        raise ReckonError("cover as a share lies above 0 and up to 1")
    pot = Pot(given["pot"], given["material"], given["shape"])
    crowded = given["placement"] == "crowded"
    return Potted(pot, given["mix"], given["plant"], given["air"], given["light"], crowded=crowded, cover=cover)


def _drying(given: Given) -> Outcome:
    net_mj = given["rn"]
    if net_mj is None:
        if given["latitude"] is None or given["day"] is None:
            raise ReckonError("drying wants latitude= and day= for the light, or rn= in MJ/m2/day")
        net_mj = net_radiation_inside(_latitude(given), given["day"].timetuple().tm_yday, given["light"])
    known = days_to_dry(_potted(given), given["min"], given["max"], given["rh"], net_mj, left=given["left"])
    result = {"days": known.days, "low": known.low, "high": known.high, "look": known.look_days}
    reason = f"{known.need_mm:.1f} mm to lose at {known.demand_mm:.2f} mm a day while wet"
    return Outcome(result, {"days": (known.low, known.high)}, reason)


def _last_soak(given: Given) -> Outcome:
    potted, latitude = _potted(given), _latitude(given)
    central, cautious = last_safe_soak(
        potted, given["dry-by"], daily_demand(potted, _weather(given), latitude, lambda _: given["rh"])
    )
    return Outcome({"central": central, "cautious": cautious}, {"soak": (cautious, central)}, "dry on or before the day")


def _weather(given: Given) -> Callable[[date], DayTemperature]:
    """Monthly mean minima where given, else the same minimum and maximum every day."""
    if given["minima"] is None:
        if given["min"] is None or given["max"] is None:
            raise ReckonError("last-soak wants min= and max= in C, or minima= with twelve monthly night minima")
        return _steady(given)
    normals, latitude = MonthlyNormals(given["minima"]), _latitude(given)

    def on(day: date) -> DayTemperature:
        low, _ = normals.on(day, latitude)
        return DayTemperature(low, low + house_day_span(latitude, day), "normal")

    return on


def _latitude(given: Given) -> float:
    latitude: float = given["latitude"]
    if not -90 <= latitude <= 90:
        raise ReckonError(f"latitude {latitude:g} is outside -90 to 90")
    return latitude


def _daylength(given: Given) -> Outcome:
    hours = civil_daylength(given["latitude"], given["day"])
    result: dict[str, Any] = {"hours": hours}
    if given["longitude"] is not None:
        times = sunrise_sunset(given["latitude"], given["longitude"], given["day"])
        result["sunrise"] = times.sunrise.isoformat() if times.sunrise else None
        result["sunset"] = times.sunset.isoformat() if times.sunset else None
    return Outcome(result, reason="sunrise to sunset, upper rim, with refraction")


def _rest(given: Given) -> Outcome:
    row = genus_row(given["genus"]) if given["genus"] else None
    if given["genus"] and row is None and given["class"] is None:
        raise ReckonError(f"{given['genus']} is not in the table: give class={'|'.join(GROWTH_CLASSES)}")
    if row is None and given["class"] is None:
        raise ReckonError("rest wants genus= or class=")
    minima = MonthlyNormals(given["minima"]) if given["minima"] else None
    latitude = _latitude(given)

    def nights(day: date) -> float | None:
        night: float | None = given["night"]
        return minima.on(day, latitude)[0] if minima else night

    state = rest_state(given["day"], latitude, nights, row, given["class"])
    result = {
        "phase": state.phase,
        "water": state.water,
        "feed": state.feed,
        "restart_from": state.restart_from,
        "rest_from": state.rest_from,
        "sign": state.sign,
        "unsure": state.unsure,
    }
    read = "; ".join(source_of(code) for code in row.sources["season"]) if row else ""
    sources = (f"genus row of {row.genus}, confidence {row.confidence}: {read}",) if row else ()
    reason = f"daylength {state.reason.value:.1f} h, class {state.reason.facts['class']}"
    return Outcome(result, {"margin_days": state.margin_days}, reason, sources)


def _vapour_pressure(given: Given) -> Outcome:
    kpa = saturation_vapour_pressure(given["t"])
    if given["rh"] is None:
        return Outcome({"kpa": kpa}, reason="saturated air")
    if not 0 < given["rh"] <= 100:
        raise ReckonError("rh lies above 0 and up to 100 %")
    deficit = vapour_pressure_deficit(given["t"], given["t"], given["rh"])
    result = {"kpa": kpa, "actual_kpa": kpa - deficit, "deficit_kpa": deficit, "dew_point_c": dew_point(kpa - deficit)}
    return Outcome(result, reason=f"{given['rh']:g} % of saturation")


def _radiation(given: Given) -> Outcome:
    day = given["day"].timetuple().tm_yday
    latitude = _latitude(given)
    inside = net_radiation_inside(latitude, day, given["light"])
    return Outcome(
        {"ra_mj_m2_day": extraterrestrial_radiation(latitude, day), "inside_mj_m2_day": inside},
        reason=f"above the air, and net at a plant under glass in {given['light']} light; day {day} of the year",
    )


def _pot(given: Given) -> Outcome:
    choice = potting.pot_for(given["roots"], given["body"], given["root-length"], given["spread"])
    ranges = {"diameter_cm": choice.diameter_range_cm, "depth_cm": choice.depth_range_cm}
    reason = "just wider than the body, deeper than the root" if given["roots"] != "fibrous" else "wider than the roots, shallow"
    return Outcome({"diameter_cm": choice.diameter_cm, "depth_cm": choice.depth_cm, "deep": choice.deep}, ranges, reason)


def _pot_volume(given: Given) -> Outcome:
    litres = potting.pot_volume_litres(given["top"], given["base"], given["height"], given["shape"], given["gap"])
    return Outcome({"litres": litres}, reason="inner sizes, frustum of a cone or pyramid")


def _mix(given: Given) -> Outcome:
    each = given["litres"] if given["litres"] is not None else potting.volume_by_rule(given["pot"]) if given["pot"] else None
    if each is None:
        raise ReckonError("mix wants litres= of one pot, or pot= as its top width in cm")
    batch = potting.batch_litres(given["pots"], each, given["rootball"])
    ratio = given["parts"]
    result: dict[str, Any] = {"litres": batch}
    if ratio:
        result["parts_litres"] = potting.parts_of(batch, ratio)
    return Outcome(result, reason=f"{given['pots']} pots of {each:.2f} l, settling 1.10, waste 1.05")


def _dose(given: Given) -> Outcome:
    label = doses.parse_rate(given["label"]) if given["label"] else None
    made = doses.dose(doses.parse_rate(given["rate"]), doses.parse_litres(given["water"]), given["product"] or "", label)
    return Outcome({made.unit: made.amount, "litres": made.litres}, reason="arithmetic only: the label rules")


def _dilution(given: Given) -> Outcome:
    strong, water = doses.dilution_ml(given["from"], given["to"], given["total"])
    return Outcome({"strong_ml": strong, "water_ml": water}, reason="by volume, made up to the total")


def _frost(given: Given) -> Outcome:
    row = genus_row(given["genus"]) if given["genus"] else None
    floor = _floor(given, row)
    risk = frost_risk(given["night"], floor, given["left"], unsure=bool(row and row.unsure))
    result: dict[str, Any] = {"level": risk.level, "margin_c": risk.margin_c, "floor_c": floor}
    result["raised_by_wet"] = risk.raised_by_wet
    habit = habit_of_nights(floor, given["nights"]) if given["nights"] else None
    if habit:
        result["chance_below_floor"] = habit[0]
    wet = ", wet mix" if risk.raised_by_wet else ""
    return Outcome(result, reason=f"night {given['night']:g} C, dry floor {floor:g} C{wet}")


def _floor(given: Given, row: GenusRow | None) -> float:
    floor: float | None = given["floor"]
    if floor is not None:
        return floor
    kind: GrowthClass | None = given["class"]
    if kind is not None:
        return CLASS_FLOOR_C[kind]
    if row is None:
        raise ReckonError("frost wants floor= in C, or genus= from the table, or class=")
    return row.floor_c


def _germination(given: Given) -> Outcome:
    known = germination(given["up"], given["sown"])
    result = {"percent": known.percent, "low": known.low, "high": known.high}
    return Outcome(result, {"percent": (known.low, known.high)}, f"{known.up} of {known.sown}")


def _callus(given: Given) -> Outcome:
    known = callus(given["width"] * 10, given["t"])
    low, high = known.days
    result = {"days": high, "low": low, "high": high, "root_check_days": known.root_check_days[0]}
    return Outcome(result, {"days": (low, high)}, "half as long again below 15 C" if known.slowed else "by the width of the cut")


COMPUTATIONS: tuple[Computation, ...] = (
    Computation(
        "degree-days",
        "degree-days of one day: value",
        (
            _MIN,
            _MAX,
            Input("base", unit="C", about="lower threshold"),
            Input("upper", unit="C", optional=True, about="none: no cutoff"),
            Input("method", "choice", default="sine", choices=METHODS),
            Input("cutoff", "choice", default="horizontal", choices=CUTOFFS),
        ),
        (_ZALOM, "McMaster & Wilhelm 1997, Agric. For. Meteorol. 87:291-300 [published]"),
        _degree_days,
    ),
    Computation(
        "reinspect",
        "dates after a treatment at steady temperatures: retreat, latest, clear",
        (Input("pest", "text"), Input("on", "date", about="day of the treatment or find"), _MIN, _MAX, _MAYBE_LATITUDE),
        ("intervals: project defaults from published stage sums",),
        _reinspect,
    ),
    Computation(
        "quarantine",
        "release from isolation at steady temperatures: release",
        (Input("start", "date"), _MIN, _MAX),
        (f"{_PRACTICE}: six weeks; degree-days a project default",),
        _quarantine,
    ),
    Computation(
        "drying",
        "days from a soak until dry in steady weather: days, low, high",
        (
            *_POT_INPUTS,
            _MIN,
            _MAX,
            Input("rh", unit="%", optional=True, about="none: dew point at the night minimum"),
            _MAYBE_LATITUDE,
            Input("day", "day", optional=True),
            Input("rn", unit="MJ/m2/day", optional=True, about="overrides light and day"),
            Input("left", default="0.15", about="share of the water left"),
        ),
        (str(FAO56), _DRYING_MODEL),
        _drying,
    ),
    Computation(
        "last-soak",
        "latest soak that is dry in time: central, cautious",
        (
            *_POT_INPUTS,
            Input("dry-by", "date"),
            Input("min", unit="C", optional=True),
            Input("max", unit="C", optional=True),
            Input("minima", "numbers", unit="C", optional=True, about="twelve monthly night minima inside"),
            Input("rh", unit="%", optional=True),
            _LATITUDE,
        ),
        (str(FAO56), _DRYING_MODEL),
        _last_soak,
    ),
    Computation(
        "daylength",
        "hours of daylight, and with a longitude sunrise and sunset in UTC: hours, sunrise, sunset",
        (_LATITUDE, _DAY, Input("longitude", unit="degrees", optional=True, about="west negative")),
        ("low-precision solar series, within 0.6 minutes of the USNO table for Atlanta 2007 [from memory]",),
        _daylength,
    ),
    Computation(
        "rest",
        "how a genus or class stands in its year: phase, water, feed, restart_from, rest_from",
        (
            Input("genus", "text", optional=True),
            Input("class", "choice", optional=True, choices=GROWTH_CLASSES),
            _LATITUDE,
            Input("day", "date"),
            Input("night", unit="C", optional=True, about="night minimum, the same all year"),
            Input("minima", "numbers", unit="C", optional=True, about="twelve monthly night minima inside"),
        ),
        (f"{_PRACTICE}: growers' dates at 51 to 52 N mapped to daylength",),
        _rest,
    ),
    Computation(
        "vapour-pressure",
        "saturation vapour pressure, and with humidity dew point and deficit: kpa",
        (Input("t", unit="C"), Input("rh", unit="%", optional=True)),
        (f"{FAO56}, equation 11",),
        _vapour_pressure,
    ),
    Computation(
        "radiation",
        "radiation above the air and net at a plant under glass: ra_mj_m2_day, inside_mj_m2_day",
        (_LATITUDE, _DAY, Input("light", "choice", default="full", choices=tuple(SUN_SHARE))),
        (f"{FAO56}, equation 21", "under glass: project default"),
        _radiation,
    ),
    Computation(
        "pot",
        "the pot a plant asks for: diameter_cm, depth_cm",
        (
            Input("body", unit="cm", optional=True, about="width of the body"),
            Input("roots", "choice", default="fibrous", choices=("fibrous", "tap", "tuber")),
            Input("root-length", unit="cm", optional=True),
            Input("spread", unit="cm", optional=True, about="of the roots"),
        ),
        (_PRACTICE,),
        _pot,
    ),
    Computation(
        "pot-volume",
        "what a pot holds: litres",
        (
            Input("top", unit="cm", about="inner"),
            Input("base", unit="cm", about="inner"),
            Input("height", unit="cm", about="inner"),
            Input("shape", "choice", default="round", choices=("round", "square")),
            Input("gap", unit="cm", default="0", about="below the rim"),
        ),
        ("frustum of a cone or pyramid [derived]",),
        _pot_volume,
    ),
    Computation(
        "mix",
        "mix for a batch of pots, and each part: litres, parts_litres",
        (
            Input("pots", "count"),
            Input("litres", unit="l", optional=True, about="of one pot"),
            Input("pot", unit="cm", optional=True, about="top width, by the rule of thumb"),
            Input("rootball", unit="l", default="0"),
            Input("parts", "numbers", optional=True, about="like 2:1:1"),
        ),
        (f"{_PRACTICE}: settling 5 to 20 %", "Hortico (Lavan), pot-size table [published]"),
        _mix,
    ),
    Computation(
        "dose",
        "what a rate makes of the water: ml (or g)",
        (
            Input("rate", "text", about='like 2ml/l, "1 in 200", 2%'),
            Input("water", "text", about="like 7l"),
            Input("product", "text", optional=True),
            Input("label", "text", optional=True, about="the label's highest rate"),
        ),
        ("arithmetic; the label is the law",),
        _dose,
    ),
    Computation(
        "dilution",
        "strong liquid and water for a weaker one: strong_ml, water_ml",
        (
            Input("from", unit="%", about="strength you have"),
            Input("to", unit="%", about="strength you want"),
            Input("total", unit="ml", default="1000"),
        ),
        ("arithmetic [derived]",),
        _dilution,
    ),
    Computation(
        "frost",
        "what a night means to a plant: level, margin_c",
        (
            Input("night", unit="C", about="minimum expected"),
            Input("floor", unit="C", optional=True, about="of the dry plant"),
            Input("genus", "text", optional=True),
            Input("class", "choice", optional=True, choices=GROWTH_CLASSES),
            Input("left", optional=True, about="share of water left in the pot, 0 to 1"),
            Input("nights", "numbers", unit="C", optional=True, about="last minima, for the habit"),
        ),
        ("project default: warn 2 C above the floor, alarm at it, one level higher when wet",),
        _frost,
    ),
    Computation(
        "germination",
        "share of the seed that is up, with its 95 % interval: percent, low, high",
        (Input("up", "count"), Input("sown", "count")),
        ("Wilson 1927, J. Am. Stat. Assoc. 22:209-212 [published]",),
        _germination,
    ),
    Computation(
        "callus",
        "days that a cut should dry: days, low, high",
        (Input("width", unit="cm", about="of the cut"), Input("t", unit="C", optional=True, about="mean")),
        (f"{_PRACTICE}: growers' days by the width of the cut",),
        _callus,
    ),
)
