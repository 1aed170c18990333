"""What is said of lots: plants numbered out of them, what they hold, and what became of them."""

from __future__ import annotations

from collections.abc import Sequence

from bot.app.english import phrases
from bot.care.accessions import number_of
from bot.care.events import CareEvent
from bot.care.ledger import Ledger
from bot.care.standing import Standing, Thing

MOST_LOTS = 4
NO_LOTS = "No lot is noted yet. Say how one came: 9 mixed cacti from Hofer, bare root, 45 eur"

BELOW_NOTHING = "A lot cannot hold fewer than none: nothing written. Such as: the barn lot has 5 plants"
FEWER_CAME = "Fewer than none cannot come: nothing written. Say how many: bought 3 lobivias"
ALL_NUMBERED = "No lot here has a plant without a number."


def called(thing: Thing, standing: Standing) -> str:
    """Return a lot, a sowing or a batch as it is called."""
    return phrases.things((thing.ref,), standing)


def split(event: CareEvent, standing: Standing, *, fresh: bool) -> str:
    """Return that plants have got numbers, and how many of the lot have none yet."""
    kind, _, key = str(event.facts["from"]).partition(":")
    labels = [one.key for one in event.refs if one.kind == "plant"]
    source = standing.things.get((kind, key))
    whence = called(source, standing) if source is not None else phrases.lot(key)
    numbers = _numbers(event)
    left = f" {_left(source)}" if fresh and source is not None and source.count is not None else ""
    words = f" ({event.facts['words']})" if event.facts.get("words") else ""
    verb, keep = ("is", "and keeps") if len(labels) == 1 else ("are", "and keep")
    return f"{phrases.numbered(labels)}{words} {verb} from {whence}{numbers} {keep} its history.{left}"


def _numbers(event: CareEvent) -> str:
    first, last = number_of(event, 0), number_of(event, len(event.refs) - 1)
    if not first:
        return ""
    return f" ({first})" if first == last else f" ({first} to {last.rpartition('*')[2]})"


def _left(source: Thing) -> str:
    return f"{source.count} without a number." if source.count else "None is left without a number."


def counted(event: CareEvent, standing: Standing, *, fresh: bool) -> str:
    """Return how many a lot was counted to hold, and how many are missing by the record."""
    ref = event.refs[0]
    thing = standing.things.get((ref.kind, ref.key))
    lacking = next((one["count"] for one in reversed(thing.gone) if one["what"] == "missing"), 0) if thing else 0
    gone = f" {lacking} missing by the record." if fresh and event.facts.get("fewer") and lacking else ""
    return f"{phrases.cap(phrases.lot(ref.key))}: {phrases.count_of(ref.count or 0, 'plant')} counted.{gone}"


def too_many(source: Thing, labels: Sequence[str], standing: Standing) -> str:
    """Return that a lot does not hold as many as were given numbers."""
    holds = phrases.count_of(source.count or 0, "plant") + " without a number"
    return f"{phrases.cap(called(source, standing))} holds {holds}, you gave {len(labels)}: nothing written."


def unequal(said: int, labels: Sequence[str]) -> str:
    """Return that a number of plants and the numbers given do not agree."""
    numbers = f"{phrases.count_of(len(labels), 'number')} ({phrases.numbered(labels)})"
    return f"{phrases.count_of(said, 'plant')}, but {numbers}: nothing written."


def taken(things: Sequence[Thing], source: Thing, standing: Standing) -> str:
    """Return that labels are on other plants, and ask whether these are meant."""
    shown = phrases.joined([_placed(one) for one in things[:3]]) + (f" and {len(things) - 3} more" if len(things) > 3 else "")
    verb, them = ("is", "that the plant") if len(things) == 1 else ("are", "those the plants")
    return f"{shown} {verb} here already. Is {them} from {called(source, standing)}? Nothing written yet."


def _placed(thing: Thing) -> str:
    return phrases.label(thing, thing.key) + (f" {phrases.at(thing.place)}" if thing.place else "")


def same(labels: Sequence[str], source: Thing) -> str:
    """Return the words that say so."""
    verb, plants = ("is", "the same plant") if len(labels) == 1 else ("are", "the same plants")
    return f"{', '.join(labels)} {verb} from {phrases.lot(source.key)}, {plants}"


def own_source(thing: Thing, source: Thing) -> str:
    """Return that a plant came out of another lot already."""
    whence = str(thing.tally.get("split_from", "")).partition(":")[2]
    return f"{thing.key} is from {phrases.lot(whence)} already: nothing written. Wrong? Take that back first."


def run_taken(first: str, clear: str, source: Thing) -> str:
    """Return that a run of numbers meets labels that are on plants, and the next run that is clear."""
    return f"{first} is on a plant already, so nothing is written. The next clear run begins at {clear}."


def number_from(source: Thing, first: str) -> str:
    """Return the words that number a lot from a label on."""
    return f"number {phrases.lot(source.key)} from {first}"


def all_numbered(source: Thing, standing: Standing) -> str:
    """Return that nothing of a lot is left to be numbered."""
    return f"{phrases.cap(phrases.lot(source.key))} has no plant without a number."


def how_many(source: Thing) -> str:
    """Return that a lot's count is not known, so that nobody can tell how many numbers to give."""
    return f"How many {phrases.lot(source.key)} holds is not noted. Say: {phrases.lot(source.key)} has 9 plants"


def which_lot(lots: Sequence[Thing]) -> str:
    """Return the question which lot is meant."""
    return f"Which lot? {_listed(lots)}."


def unknown(words: str, lots: Sequence[Thing]) -> str:
    """Return that no lot is called so, with those that there are and what to say of a new one."""
    called_so = words if words.endswith("lot") else f"{words} lot"
    if not lots:
        return f"I know no {called_so}: nothing written. If it is new, say: the {called_so} has 9 plants"
    return f"I know no {called_so}: nothing written. There is {_listed(lots)}. If it is new, say: the {called_so} has 9 plants"


def _listed(lots: Sequence[Thing]) -> str:
    shown = [f"{phrases.lot(one.key)} ({one.count if one.count is not None else '?'})" for one in lots[:MOST_LOTS]]
    return phrases.joined(shown) + (f" and {len(lots) - MOST_LOTS} more" if len(lots) > MOST_LOTS else "")


def ledger(lot: Thing, found: Ledger) -> list[str]:
    """Return what became of a lot: how many are left, then the sums that make them up."""
    if found.unnumbered is None:
        known = f"{len(found.numbered)} with a number; " if found.numbered else ""
        return [f"{phrases.cap(phrases.lot(lot.key))}: {known}how many it holds is not noted."]
    came = [f"{found.come} came" + (f" of {found.ordered} ordered" if found.ordered is not None else "")] if found.come else []
    came += [f"{found.beyond} more found"] if found.beyond and found.come else [f"{found.beyond} noted"] if found.beyond else []
    gone = ((found.out, "given or sold"), (found.dead, "dead"), (found.missing, "missing"))
    parts = [f"{count} {words}" for count, words in gone if count]
    numbered = f" ({_numbered(found)})" if found.numbered else ""
    first = f"{found.alive} left of {phrases.lot(lot.key)}{numbered}"
    return [f"{first}: {', '.join([*came, *parts])}." if came or parts else f"{first}."]


def _numbered(found: Ledger) -> str:
    labels = phrases.numbered([one.key for one in found.numbered][:12])
    many = labels if len(found.numbered) <= 12 else f"{len(found.numbered)} with a number"
    return f"{many}; {found.unnumbered} without a number" if found.unnumbered else many


NONE_CAME = "None came, so nothing is written. Say it again when they come."


def short(lot: Thing) -> str:
    """Return a lot as a button says it."""
    return phrases.lot(lot.key)


def more_than_ordered(came: int, ordered: int) -> str:
    """Return that more came than were ordered: a slip, or a gift that wants a word."""
    return f"{came} of {ordered} ordered? Nothing written. If more came, leave the order out: got {came} from ..."


def holds_fewer(lot: Thing, held: int, said: int) -> str:
    """Return that a lot does not hold so many."""
    return f"{phrases.cap(phrases.lot(lot.key))} holds {phrases.count_of(held, 'plant')}, not {said}: nothing written."


def label_twice(held: Sequence[Thing], again: Sequence[str]) -> str:
    """Return that a label is on a plant already, and what to do."""
    shown = phrases.joined([f"{_placed(one)}{_gone(one)}" for one in held[:3]] or list(again))
    return f"{shown} {'is' if len(held) < 2 else 'are'} here already: nothing written. Give the new one another number."


def _gone(thing: Thing) -> str:
    return "" if thing.alive else ", dead,"


def card(lot: Thing) -> str:
    """Return how a lot came: how many of how many ordered, their sizes, what was paid; empty for all else."""
    tally, size = lot.tally, lot.tally.get("size_cm")
    came = f"{tally['come']} came" if tally.get("come") else ""
    came += f" of {tally['ordered']} ordered" if came and tally.get("ordered") else ""
    span = "" if not size else f"{size[0]:g} cm" if size[0] == size[1] else f"{size[0]:g} to {size[1]:g} cm"
    paid = f"{lot.currency} {lot.price:g}".strip() if lot.price else ""
    said = ", ".join(one for one in (came, span, paid) if one)
    return f"{said}." if lot.kind == "lot" and said else ""


def origin(plant: Thing) -> str:
    """Return which lot a plant was numbered out of, and in what words, as it stands behind where it came from."""
    kind, _, key = str(plant.tally.get("split_from", "")).partition(":")
    if kind != "lot":
        return ""
    words = plant.tally.get("words")
    return f" ({phrases.lot(key)}, {words})" if words else f" ({phrases.lot(key)})"
