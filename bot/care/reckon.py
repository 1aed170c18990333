"""Any computation by name: `reckon("daylength", {"latitude": "52", "day": "2026-04-05"})`.

Inputs come as typed text; the result holds them as understood, what came out, its range, a short reason and the sources.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

from bot.care.reckon_inputs import Computation, ReckonError, describe, plain, understand
from bot.care.reckon_table import COMPUTATIONS

__all__ = ["Computation", "ReckonError", "ReckonResult", "reckon", "reckon_list", "reckon_names"]


@dataclass(frozen=True, slots=True)
class ReckonResult:
    """What came out of one computation; all values plain enough for JSON."""

    name: str
    inputs: Mapping[str, Any]
    result: Mapping[str, Any]
    range: Mapping[str, Any]
    reason: str
    sources: tuple[str, ...]

    def as_dict(self) -> dict[str, Any]:
        """The result as JSON objects: name, inputs, result, range, reason, sources."""
        return {
            "name": self.name,
            "inputs": dict(self.inputs),
            "result": dict(self.result),
            "range": dict(self.range),
            "reason": self.reason,
            "sources": list(self.sources),
        }

    def as_json(self) -> str:
        """The result as one line of JSON."""
        return json.dumps(self.as_dict(), ensure_ascii=False)

    def as_text(self) -> str:
        """The result in lines: each value, then the reason."""
        lines = [f"{name}: {_shown(value)}" for name, value in self.result.items()]
        return "\n".join([*lines, self.reason] if self.reason else lines)


def reckon(name: str, given: Mapping[str, str]) -> ReckonResult:
    """Run a computation on typed inputs.

    Raises ReckonError, whose message says what is wanted, for an unknown name and for wrong, missing or impossible inputs.
    """
    computation = _find(name)
    values = understand(computation, given)
    try:
        outcome = computation.run(values)
    except ReckonError:
        raise
    except (ValueError, ArithmeticError) as problem:
        raise ReckonError(f"{computation.name}: {problem}") from problem
    return ReckonResult(
        name=computation.name,
        inputs={key: plain(value) for key, value in values.items() if value is not None},
        result={key: plain(value) for key, value in outcome.result.items()},
        range={key: plain(value) for key, value in outcome.range.items()},
        reason=outcome.reason,
        sources=(*computation.sources, *outcome.sources),
    )


def reckon_names() -> tuple[str, ...]:
    """The names of all computations."""
    return tuple(computation.name for computation in COMPUTATIONS)


def reckon_list() -> list[dict[str, Any]]:
    """All computations as plain values: name, what it gives, inputs (name, kind, unit, choices, default), sources."""
    return [
        {
            "name": computation.name,
            "gives": computation.gives,
            "inputs": [
                {
                    "name": one.name,
                    "kind": one.wanted,
                    "unit": one.unit,
                    "choices": list(one.choices),
                    "default": one.default,
                    "required": one.required,
                    "about": one.about,
                    "usage": describe(one),
                }
                for one in computation.inputs
            ],
            "sources": list(computation.sources),
        }
        for computation in COMPUTATIONS
    ]


def _find(name: str) -> Computation:
    wanted = name.strip().lower().replace("_", "-").replace(" ", "-")
    for computation in COMPUTATIONS:
        if computation.name == wanted:
            return computation
    near = get_close_matches(wanted, reckon_names(), 1)
    hint = f"; did you mean {near[0]}?" if near else "."
    known = ", ".join(reckon_names())
    raise ReckonError(f'no computation is called "{name[:40]}"{hint} There are: {known}')


def _shown(value: Any) -> str:
    if isinstance(value, float):
        return f"{value:.4g}" if abs(value) < 1 else f"{value:.2f}".rstrip("0").rstrip(".")
    if isinstance(value, list):
        return ", ".join(_shown(one) for one in value)
    return "no date" if value is None else str(value)
