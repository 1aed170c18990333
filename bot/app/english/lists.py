"""Lists of what is due, and the morning message."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from bot.app.english import phrases
from bot.app.english.reasons import in_short
from bot.app.groups import Group, shown_in_the_morning
from bot.care.events import CareEvent
from bot.care.standing import Standing

MOST_LINES = 5


def line(group: Group, number: int, standing: Standing, today: date) -> str:
    """Return one numbered line: what, on which plants, since or from when, and why in a few words."""
    first = group.dues[0]
    if group.kind == "reminder":
        return f"{number}. {reminder(group, standing)}{_since(group, today)}"
    what = phrases.things(group.refs, standing, with_place=False)
    place = f" {phrases.at(group.place)}" if group.place and group.place not in what else ""
    why = in_short(first, today)
    return f"{number}. {phrases.due(group.kind, first.about)}: {what}{place}{_since(group, today)}" + (f" ({why})" if why else "")


def in_a_calendar(group: Group, standing: Standing) -> tuple[str, str]:
    """Return the words of a line without its dates, which the calendar shows itself, and why in a few words."""
    first = group.dues[0]
    if group.kind == "reminder":
        return phrases.cap(reminder(group, standing)), ""
    what = phrases.things(group.refs, standing, with_place=False)
    place = f" {phrases.at(group.place)}" if group.place and group.place not in what else ""
    return phrases.cap(f"{phrases.due(group.kind, first.about)}: {what}{place}"), in_short(first, first.on)


def asked_for(event: CareEvent, standing: Standing) -> str:
    """Return what a reminder is to say: the grower's words, or the act and the plants."""
    facts = event.facts
    if facts.get("text"):
        return str(facts["text"])
    what = phrases.things(event.refs, standing) if event.refs else str(facts.get("words", ""))
    words = f"{VERBS.get(str(facts.get('act')), '')} {what}".strip() if facts.get("act") else what
    return f"{words}, {facts['cond']}" if facts.get("cond") else words


def reminder(group: Group, standing: Standing, *, bare: bool = False) -> str:
    """Return a reminder in the grower's own words where there are any, without its condition where that is `bare`."""
    first = group.dues[0]
    words = str(first.why.get("text", ""))
    if not words:
        what = phrases.things(first.refs, standing) if first.refs else str(first.why.get("words", ""))
        words = (
            f"{VERBS.get(first.about, first.about.replace('_', ' '))} {what}".strip()
            if first.about
            else what or "you asked to be reminded"
        )
    cond = first.why.get("cond")
    return f"{words}, {cond}" if cond and not bare and str(cond) not in words else words


VERBS = {
    "watered": "water",
    "fed": "feed",
    "inspected": "look over",
    "treated": "treat",
    "released": "out of quarantine:",
    "repotted": "repot",
    "potted": "pot",
    "washed": "wash",
    "moved": "move",
    "sown": "sow",
    "misted": "mist",
    "unpotted": "unpot",
    "shaded": "shading",
    "covered": "cover",
    "labelled": "label",
    "photographed": "photograph",
    "pricked_out": "prick out",
    "offsets_taken": "take offsets of",
    "cutting_taken": "take a cutting of",
    "turned": "turn",
    "heated": "heater",
    "vented": "vents",
    "cleaned": "clean",
    "set_to_dry": "dry",
    "isolated": "set apart",
    "given": "give",
    "grafted": "graft",
    "rest_started": "rest:",
    "rest_ended": "end rest:",
    "pollinated": "pollinate",
    "divided": "divide",
    "top_dressed": "top-dress",
}


def _since(group: Group, today: date) -> str:
    if group.on < today:
        return f", since {phrases.day(group.on, today)}"
    return "" if group.on == today else f", {phrases.day(group.on, today)}"


def due_list(groups: Sequence[Group], standing: Standing, today: date, most: int = MOST_LINES) -> list[str]:
    """Return the lines of a list and, where it was cut, how many more there are."""
    lines = [line(group, number, standing, today) for number, group in enumerate(groups[:most], 1)]
    if len(groups) > most:
        lines.append(f"{len(groups) - most} more: say “more”")
    return lines


def more(numbered: Sequence[tuple[int, Group]], left: int, standing: Standing, today: date) -> list[str]:
    """Return the lines that a list goes on with."""
    lines = [line(group, number, standing, today) for number, group in numbered]
    return lines + ([f"{left} more: say “more”"] if left else []) if lines else ["That was all."]


def morning(groups: Sequence[Group], open_notes: Sequence[str], standing: Standing, today: date) -> str:
    """Return the morning message of a day."""
    overdue = sum(1 for one in groups if one.on < today)
    parts = [f"{len(groups) - overdue} today"] if len(groups) > overdue else []
    parts += [f"{overdue} overdue"] if overdue else []
    title = f"{today:%A} {today.day} {today:%B}"
    lines = [f"{title}: {', '.join(parts)}." if parts else f"{title}."]
    lines += due_list(groups, standing, today, shown_in_the_morning(groups, today))
    lines += [f"Still open: “{text}”" for text in open_notes[:2]]
    return "\n".join(lines)
