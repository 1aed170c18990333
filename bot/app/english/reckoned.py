"""What a computation asked for by name or as a dose comes to, in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

LABEL_RULES = "I only calculate: the label rate wins."
DOSE_WANTED = "Give me rate and water, such as: 2 ml/l for 7 l."


def names(listed: Sequence[Mapping[str, Any]]) -> list[str]:
    """Return the names of the computations in one line, for a chat."""
    return [
        f"I can reckon: {', '.join(str(one['name']) for one in listed)}.",
        "Such as: reckon pot-volume top=9 base=6.5 height=8",
    ]


def result(made: Mapping[str, Any]) -> list[str]:
    """Return the result of a computation for a chat: values with their range, the reason, the first source."""
    values = made["result"]
    parts = [f"{name.replace('_', ' ')} {_value(value)}" for name, value in values.items() if value is not None]
    lines = ["; ".join(parts) + "."] if parts else ["No date within reach."]
    lines[0] = lines[0][:1].upper() + lines[0][1:]
    if made["reason"]:
        lines.append(f"{made['reason'][:1].upper()}{made['reason'][1:]}.")
    return lines + [f"Source: {source}" for source in made["sources"][:1]]


def _value(value: Any) -> str:
    if isinstance(value, float):
        return f"{value:.4g}" if abs(value) < 1 else f"{value:.2f}".rstrip("0").rstrip(".")
    return ", ".join(_value(one) for one in value) if isinstance(value, list) else str(value)


def dose(made: Mapping[str, Any]) -> str:
    """Return a worked dose, or why there is none."""
    if "refused" in made:
        what = {"systemic": "systemic insecticides", "peroxide": "peroxide", "essential oil": "essential oils"}
        return f"I give no dose for {what[str(made['refused'])]}: the label and your local rules decide."
    if "above_label" in made:
        return f"{str(made['above_label'])[:1].upper()}{str(made['above_label'])[1:]}."
    if "wrong" in made:
        return f"{str(made['wrong'])[:1].upper()}{str(made['wrong'])[1:]}. {DOSE_WANTED}"
    if "strong_ml" in made:
        return (
            f"{made['strong_ml']:.0f} ml of the {made['from']:g} % and {made['water_ml']:.0f} ml of water "
            f"for {_litres(made['total_ml'] / 1000)} at {made['to']:g} %. No flame or heater near."
        )
    if "grams" in made:
        return f"{_amount(made['grams'], 'g')} for {_litres(made['litres'])} ({made['ppm']:g} ppm N at {made['nitrogen']:g} % N)."
    return f"{_amount(made['amount'], made['unit'])} for {_litres(made['litres'])} ({made['rate']}). {LABEL_RULES}"


def _amount(value: float, unit: str) -> str:
    return f"{value:.3g} {unit}" if value < 1000 else f"{value / 1000:.3g} {'l' if unit == 'ml' else 'kg'}"


def _litres(value: float) -> str:
    return f"{value:g} l" if value >= 1 else f"{1000 * value:g} ml"
