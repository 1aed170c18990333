"""Labels asked for in words: "labels for bench 2", "labels for 12 to 15 on sticks", and the card that a label's code opens."""

from __future__ import annotations

import base64
import re

from bot.app.english import paper
from bot.app.plan import Draft, Plan, View
from bot.app.sharing_talk import START
from bot.care.names import parse
from bot.care.standing import Standing, Thing
from bot.notes.reader import read
from bot.notes.reading import Reading
from bot.sharing.files import attached
from bot.sharing.labels import FORMATS, SMALLEST_MODULE_MM, Format, Label, format_of, module_mm, recipe_of
from bot.store import marks
from bot.store.database import Connection

MOST = 500  # more take seconds to set; a bench at a time is what one prints
PLANT = "p_"  # before the number in a link that opens a plant's card; the number in URL-safe base64 where it needs it
PLAIN, CODED = "n", "b"
_SIZE = re.compile(r"\b(\d{2,3}(?:\.\d)?) ?(?:x|by) ?(\d{1,3}(?:\.\d)?) ?(?:mm)?\b")
_OF_PAPER = re.compile(
    r",? ?\b(?:on|as|in|of) (?:small |pot |plant |stick )*(?:sticks?|labels?|size)\b|,? ?\b\d+ ?(?:x|by) ?\d+(?: ?mm)?\b",
    re.IGNORECASE,
)
_SENT = re.compile(r"\s*(?:please )?(?:send|give|make|show)(?: me| us)? (?:some |the )?(?=labels? )", re.IGNORECASE)
_WORDS = {"stick": "stick", "sticks": "stick", "small": "small", "tiny": "small"}


def labels_asked(conn: Connection, reading: Reading, view: View, role: str | None) -> Plan | None:
    """Return the plan of words that ask for labels; None where they ask for something else."""
    entry = next((one for one in reading.entries if one.type == "request" and one.do == "labels"), None)
    if entry is None and _SENT.match(view.text):  # "send me labels for 12" would be a gift
        asked = read(_SENT.sub("", view.text), view.now.replace(tzinfo=None), view.standing.names()).entries
        entry = next((one for one in asked if one.type == "request" and one.do == "labels"), None)
    if entry is None or role not in ("owner", "helper"):
        return None
    draft = Draft(view, "do", None)
    words = _OF_PAPER.sub("", view.text)
    if words != view.text:  # "on sticks" is no place
        asked = read(words, view.now.replace(tzinfo=None), view.standing.names()).entries
        entry = next((one for one in asked if one.type == "request" and one.do == "labels"), entry)
    found = (
        draft.which(entry.which).refs if entry.which else tuple(one.ref for one in view.standing.plants() if one.kind == "plant")
    )
    things = [one for ref in found if (one := view.standing.things.get((ref.kind, ref.key))) is not None]
    plants = [one for one in _plants(things, view.standing) if one.alive]
    form = _format(view.text.lower())
    if isinstance(form, str):
        draft.tell(form)
    elif not plants:
        draft.tell(paper.NO_LABELS)
    elif len(plants) > MOST:
        draft.tell(paper.TOO_MANY.format(most=MOST))
    else:
        _attach(draft, plants, form, _start(conn))
    return draft.done()


def _plants(things: list[Thing], standing: Standing) -> list[Thing]:
    """Return the single plants among things; for a place or a lot those that stand in it or came with it."""
    out: dict[str, Thing] = {}
    for one in things:
        inside = [one] if one.kind == "plant" else []
        if one.kind == "place":
            inside = [other for other in standing.within(one.key) if other.kind == "plant"]
        elif one.kind == "lot":
            inside = [other for other in standing.plants() if other.lot == one.key and other.kind == "plant"]
        out |= {other.key: other for other in inside}
    return [out[key] for key in sorted(out, key=_in_order)]


def _in_order(key: str) -> tuple[int, str]:
    return (int(key), "") if key.isdigit() else (10**9, key)


def _format(text: str) -> Format | str:
    size = _SIZE.search(text)
    if size is None:
        return FORMATS[next((_WORDS[word] for word in text.split() if word in _WORDS), "sheet")]
    try:
        return format_of(f"{size[1]}x{size[2]}")
    except ValueError as problem:
        return f"{str(problem)[:1].upper()}{str(problem)[1:]}."


def _start(conn: Connection) -> str:
    names = marks.names_marked(conn, START)
    return names[0].removeprefix(START) if names else ""


def _attach(draft: Draft, plants: list[Thing], form: Format, start: str) -> None:
    labels = [label_of(one, start) for one in plants]
    draft.files.append(attached("labels.pdf", "labels", **recipe_of(labels, form)))
    fine = bool(start) and min(module_mm(one.link, form) for one in labels[:1]) < SMALLEST_MODULE_MM
    draft.tell(*paper.labels(len(labels), form, fine=fine, codes=bool(start)))


def label_of(thing: Thing, start: str) -> Label:
    """Return what a plant's label says; `start` is what its code's link begins with, empty where no bot can be opened."""
    number = str(thing.tally.get("field_number", "")) or parse(thing.taxon).field_number
    link = f"{start}{payload(thing.key)}" if start else ""
    return Label(thing.key, thing.taxon or thing.nickname, number, link, thing.accession)


def payload(key: str) -> str:
    """Return what a link hands the bot to open the card of a plant: at most 64 of A to Z, a to z, 0 to 9, _ and -."""
    if re.fullmatch(r"[A-Za-z0-9-]{1,50}", key):
        return f"{PLANT}{PLAIN}{key}"
    return f"{PLANT}{CODED}{base64.urlsafe_b64encode(key.encode()).decode().rstrip('=')}"[:64]


def plant_opened(text: str) -> str | None:
    """Return the number of the plant whose code was scanned; None for any other message."""
    said = text.strip().removeprefix("/start ").strip()
    if not text.startswith("/start ") or not said.startswith(PLANT) or len(said) <= len(PLANT) + 1:
        return None
    kind, key = said[len(PLANT)], said[len(PLANT) + 1 :]
    if kind == PLAIN:
        return key
    try:
        return base64.b64decode(key + "=" * (-len(key) % 4), altchars=b"-_", validate=True).decode()
    except ValueError:
        return None
