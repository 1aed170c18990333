"""Readings in words: a plain rendering for a person, and the exact one-line form that the corpora are written in."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from bot.notes.reading import Entry, Reading, Selection

_KEYS = ("act", "sign", "about", "of", "what", "do")
_STATUS = {"absent": "no {}", "cleared": "{} gone", "suspected": "{} suspected"}
_FRACTIONS = {0.5: "half of", 0.25: "a quarter of", 0.75: "three quarters of"}
_VERBS = {"rest_started": "rest started", "rest_ended": "rest ended", "set_to_dry": "set to dry", "label_lost": "label lost"}


def line(reading: Reading) -> str:
    """Return one exact line: "log | event watered @places=bench 2 how=soak | …"; remarks stand as "remark: words"."""
    head = reading.decision + (f"/{reading.ask}" if reading.ask else "")
    return " | ".join([head, *(entry_line(one) for one in reading.entries)])


def entry_line(entry: Entry) -> str:
    """Return one entry of the exact line: "event watered @places=bench 2 how=soak"."""
    fields = entry.to_json()
    kind = fields.pop("type")
    if kind == "remark":
        return f"remark: {fields.get('text', '')}"
    key = next((fields.pop(name) for name in _KEYS if name in fields), "")
    parts = [f"{kind} {key}".strip()]
    which = fields.pop("which", None)
    if which:
        parts += [f"@{name}={_value(value)}" for name, value in which.items()]
    details: Mapping[str, Any] = fields.pop("details", {})
    parts += [f"{name}={_value(value)}" for name, value in {**fields, **details}.items()]
    return " ".join(parts)


def _value(value: Any) -> str:
    if isinstance(value, list):
        return "; ".join(_value(one) for one in value)
    if isinstance(value, dict):
        return "(" + " ".join(f"{name}={_value(one)}" for name, one in value.items()) + ")"
    if isinstance(value, float):
        return f"{value:g}"
    return str(value)


def render(reading: Reading) -> str:
    """Return the reading for a person, one entry a line, and what is asked."""
    lines = [words(one) for one in reading.entries]
    if reading.ask:
        lines.append(f"asks: {reading.ask}")
    return "\n".join(lines)


def words(entry: Entry) -> str:
    """Return what one entry says, for a person."""
    about = next((getattr(entry, name) for name in _KEYS if getattr(entry, name)), "")
    verb = _VERBS.get(about, about.replace("_", " "))
    plants = selection(entry.which)
    parts = {
        "event": f"{verb} {plants}",
        "skip": f"did not do: {verb} {plants}",
        "finding": f"{_STATUS.get(str(entry.status), '{}').format(verb)} {plants}",
        "measure": f"{verb} {_measured(entry)} {entry.unit or ''} {plants}",
        "climate": "climate "
        + " ".join(
            f"{name} {_value(getattr(entry, name))}"
            for name in ("min_c", "max_c", "at_c", "set_c", "rh")
            if getattr(entry, name) is not None
        ),
        "hold": f"no water {'till ' + entry.until.isoformat() if entry.until else entry.cond or ''} {plants}",
        "reminder": f"remind: {verb or entry.text or ''} {plants} {entry.due or entry.cond or ''}",
        "question": f"asks {verb} {plants}",
        "fix": f"correct {verb} {_target(entry.to)}",
        "request": f"request {verb} {' '.join(str(n) for n in entry.numbers)} {entry.text or ''}",
        "remark": f"note: {entry.text or ''}",
    }
    said = " ".join(parts[entry.type].split())
    if entry.when is not None:
        said += f" on {entry.when.isoformat()}"
    return said + (" (about)" if entry.approx else "") + ("" if entry.sure else " (not sure)")


def _measured(entry: Entry) -> str:
    if entry.value is not None:
        return _value(entry.value)
    return f"{entry.low:g}-{entry.high:g}" if entry.low is not None and entry.high is not None else ""


def _target(to: Any) -> str:
    if to is None:
        return ""
    return selection(to) if isinstance(to, Selection) else _value(to)


def selection(which: Selection | None) -> str:
    """Return a selection in words: "5 of 7 rebutia in tray 3 except 41"."""
    if which is None:
        return ""
    parts = [
        which.refer or "",
        _FRACTIONS.get(which.fraction, f"{which.fraction:g} of") if which.fraction else "",
        str(which.count) if which.count is not None else "",
        f"of {which.of}" if which.of else "",
    ]
    parts += [
        which.state or "",
        which.roots or "",
        ", ".join(which.labels),
        ", ".join(which.nicknames),
        ", ".join(which.taxa),
        which.kind or "",
    ]
    within = "" if which.fraction else "in "
    parts += [f"{within}{', '.join(which.places)}" if which.places else "", ", ".join(which.lots), ", ".join(which.sowings)]
    parts += [f"in {which.pot_cm:g} cm pots" if which.pot_cm else "", which.words or ""]
    said = " ".join(part for part in parts if part)
    if which.excluded:
        said += " except " + " and ".join(selection(one) for one in which.excluded)
    return said
