"""The details of an event: product, dose, sizes, mix, prices, people, destinations, causes."""

from __future__ import annotations

from typing import Any

from bot.notes.amounts import Amount
from bot.notes.clauses import Clause
from bot.notes.items import Item
from bot.notes.languages import listed
from bot.notes.reading import PESTS
from bot.notes.selections import Said
from bot.notes.subjects import Phrase
from bot.notes.talk import Talk

CAUSES = frozenset(listed("spoken")["causes"])  # why plants die, where it is no sign


def read_details(clause: Clause, act: str, details: dict[str, Any]) -> None:
    """Read product, dose, strength, sizes, mix, minutes, course, money from the items of a clause."""
    for one in clause.elements():
        if not one.used and (one.family in _READERS or one.family == "times" or one.low in EACH) and isinstance(one, Item):
            _detail(one, clause, act, details)
    for one in clause.every("act"):
        if one is not clause.head and one.meaning == act:
            details.update({key: value for key, value in one.more.items() if key not in details})
            one.used = True
    _potsizes(clause, act, details)
    how = details.get("how")
    if (
        act == "treated"
        and how is None
        and clause.head is not None
        and clause.head.low in ("drench", "drenched", "dip", "dipped")
    ):
        details["how"] = "drench"
    if act == "treated" and clause.head is not None and clause.head.meaning == "watered":
        details["how"] = "drench" if clause.head.low.startswith("drench") else "dip"


def _detail(one: Item, clause: Clause, act: str, details: dict[str, Any]) -> None:
    reader = _READERS.get(one.family, _each)
    if reader(one, clause, act, details):
        one.used = True


def _product(one: Item, _: Clause, act: str, details: dict[str, Any]) -> bool:
    if act not in ("treated", "washed", "cleaned", "fed"):
        return False
    details.setdefault("product", {"maths": "meths", "moths": "meths", "ip a": "ipa", "i p a": "ipa"}.get(one.low, one.low))
    return True


def _dose(one: Item, _: Clause, __: str, details: dict[str, Any]) -> bool:
    details["dose"] = one.value if one.value is not None else one.low
    return True


def _strength(one: Item, _: Clause, act: str, details: dict[str, Any]) -> bool:
    if act in ("fed", "watered", "treated"):
        details["strength"] = float(one.meaning)
        return True
    return False


def _mix(one: Item, _: Clause, act: str, details: dict[str, Any]) -> bool:
    if one.family == "mixratio":
        details["mix" if act in ("mixed", "potted", "repotted") else "dose"] = f"{details.get('mix', '')} {one.value}".strip()
        return True
    if act not in ("potted", "repotted", "top_dressed", "mixed", "pricked_out", "sown", "divided", "rooted"):
        return False
    word = one.low.removesuffix(" mix").removesuffix(" compost") if one.low not in ("mix", "compost") else ""
    word = one.more.get("named", word)
    if word:
        details["mix"] = f"{details.get('mix', '')} {word}".strip()
    return True


def _pot(one: Item, _: Clause, act: str, details: dict[str, Any]) -> bool:
    if act not in ("potted", "repotted", "pricked_out"):
        return False
    if one.family == "sizes":
        details["from_pot_cm"], details["pot_cm"] = one.value
    else:
        details["pot"] = one.low
    return True


def _step(one: Item, clause: Clause, act: str, details: dict[str, Any]) -> bool:
    if one.family == "course":
        details["course"] = one.value
    elif one.family == "ordinal":
        if act in ("treated", "fed"):
            _course(one, clause, details)
        return False
    elif act in ("treated", "fed") and 0 < one.value[0] <= one.value[1] < 10:
        details["course"] = f"{int(one.value[0])}/{int(one.value[1])}"
    else:
        return False
    return True


def _quantity(one: Item, clause: Clause, act: str, details: dict[str, Any]) -> bool:
    if act == "acquired" and one.means("amount", "cm") and _of_a_pot(one, clause):
        details["pot_cm"] = one.value.value
        return True
    return _amount(one, act, details)


def _state(one: Item, _: Clause, act: str, details: dict[str, Any]) -> bool:
    if act not in ("acquired", "given"):
        return False
    if one.family == "condition":
        details["state"] = one.meaning
    elif one.value is not None and not float(one.value).is_integer():
        details["price"] = float(one.value)
    else:
        return False
    return True


def _why(one: Item, _: Clause, act: str, details: dict[str, Any]) -> bool:
    if act == "died":
        details["cause"] = one.low
    return act == "died"


EACH = frozenset(("each", "apiece", "a piece", "ea", "each one"))


def _each(one: Item, _: Clause, __: str, details: dict[str, Any]) -> bool:
    if one.low in EACH and ("ml" in details or "price" in details):
        details["each"] = True
        return True
    return one.family == "times"


def batch_behind(clause: Clause, items: list[Item], act: str, details: dict[str, Any]) -> None:
    """Take "…, batch A4711" that stands behind the clause as the number on the bottle of its product."""
    if "product" not in details or "batch" in details or clause.head is None:
        return
    here = clause.head.start
    code = next((one for one in items if one.family == "batchcode" and not one.used and one.start > here), None)
    if code is not None and _batch(code, clause, act, details):
        code.used = True


def _batch(one: Item, _: Clause, act: str, details: dict[str, Any]) -> bool:
    if act not in ("treated", "fed", "washed", "cleaned"):
        return False
    details["batch"] = one.value
    return True


_READERS = {
    "batchcode": _batch,
    "product": _product, "dose": _dose, "strength": _strength, "mixratio": _mix, "mix": _mix, "pot": _pot, "sizes": _pot,
    "course": _step,
    "ordinal": _step, "ratio": _step, "amount": _quantity, "condition": _state, "number": _state, "why": _why,
}  # fmt: skip


def _course(one: Item, clause: Clause, details: dict[str, Any]) -> None:
    items = list(clause.elements())
    i = items.index(one)
    nxt = items[i + 1 : i + 3]
    if (
        len(nxt) == 2
        and isinstance(nxt[0], Item)
        and nxt[0].means("prep", "of")
        and (isinstance(nxt[1], Phrase) or (isinstance(nxt[1], Item) and nxt[1].family == "number"))
    ):
        total = nxt[1].fields.get("labels", (None,))[0] if isinstance(nxt[1], Phrase) else str(int(nxt[1].value))
        total = total or str(nxt[1].fields.get("count")) if isinstance(nxt[1], Phrase) else total
        details["course"] = f"{one.value}/{total}"
        one.used = nxt[1].used = True


def _amount(one: Item, act: str, details: dict[str, Any]) -> bool:
    value = one.value
    if one.meaning == "money":
        details["price"], details["currency"] = value.value, value.unit
        return True
    if not isinstance(value, Amount):
        return False
    if value.unit == "ml" and act in ("watered", "fed", "wetted", "misted"):
        details["ml"] = value.value
    elif value.unit == "l" and act in ("watered", "fed", "mixed", "misted", "treated"):
        if act in ("watered", "misted"):
            details["ml"] = value.value * 1000
        else:
            details["litres"] = value.value
    elif value.unit == "ml" and act == "treated":
        details["dose"] = value.typed
    elif value.unit == "minutes":
        details["minutes"] = value.value
    elif value.unit == "cm" and act in ("potted", "repotted", "pricked_out"):
        details["pot_cm"] = value.value
    elif value.unit == "percent":
        if act == "fed":
            details["strength"] = value.value / 100
        elif act == "treated":
            details["dose"] = value.typed
        else:
            return False
    elif value.unit in ("sachet", "drops", "tsp", "tbsp", "capful", "ppm", "g"):
        details["dose"] = value.typed
    else:
        return False
    return True


def _of_a_pot(one: Item, clause: Clause) -> bool:
    """Return whether a size is that of the pot a plant came in: "7 cm pot", and not how wide the plant is."""
    elements = clause.elements()
    behind = next((other for other in elements if other.start > one.start), None)
    return behind is not None and behind.low in ("pot", "pots")


def _potsizes(clause: Clause, act: str, details: dict[str, Any]) -> None:
    """Take "into 9s", "in a 9 cm pot" as the new pot and not as a set."""
    if act not in ("potted", "repotted", "pricked_out"):
        return
    head = clause.head
    for one in clause.elements():
        if not isinstance(one, Phrase) or one.used:
            continue
        if (
            "pot_cm" in one.fields
            and len(one.fields) == 1
            and (one.prep in ("to", "on") or (head is not None and one.start > head.start and len(clause.phrases()) > 1))
        ):
            details["pot_cm"] = one.fields["pot_cm"]
            one.used = True
        elif one.prep == "to" and one.bare and int(one.fields["labels"][0]) < 40:
            details["pot_cm"] = float(one.fields["labels"][0])
            one.used = True


def name_of(clause: Clause, talk: Talk, details: dict[str, Any]) -> None:
    """Take what follows "is", "isnt … its", "turned out to be" as the name, as typed."""
    head = clause.head
    assert head is not None
    behind = clause.after
    comma = next((n for n, one in enumerate(behind) if one.family == "comma"), len(behind))
    if any(isinstance(one, Phrase) and "taxa" in one.fields for one in behind[:comma]):
        behind = behind[:comma]  # "is a turbinicarpus, who am i to argue"
    negated = next(
        (n for n, one in enumerate(behind) if n and (one.family == "neg" or (isinstance(one, Phrase) and one.out))), None
    )
    for one in behind[negated:] if negated is not None else ():
        one.used = True  # "echinopsis, not lobivia"
    after = [
        one
        for one in behind[:negated]
        if (isinstance(one, Phrase) and "taxa" in one.fields)
        or (isinstance(one, Item) and one.family == "word" and len(one.low) > 3)
    ]
    if after:
        last = after[-1]
        name = talk.text[last.start : last.end].removeprefix("to ").removeprefix("as ")
        details.setdefault("name", name.removeprefix("a ").removeprefix("an "))
        for one in after:
            one.used = True


def _seeds(clause: Clause, act: str, phrases: list[Phrase]) -> None:
    """Keep "seeds only" as words: what went was not plants."""
    if act in ("given", "offered") and any(isinstance(one, Item) and one.low in ("seed", "seeds") for one in clause.elements()):
        for one in phrases[:1]:
            one.fields.setdefault("words", "seeds")


def put_kinds(clause: Clause, act: str, phrases: list[Phrase], details: dict[str, Any]) -> None:
    """Put counts and kinds where the contract wants them: offsets with their parent, seeds sown, seeds up of those sown."""
    _seeds(clause, act, phrases)
    if act in ("treated", "fed"):
        for one in phrases:
            if set(one.fields) == {"count", "of"} and len(phrases) > 1 and one.fields["count"] <= one.fields["of"] < 10:
                details["course"] = f"{one.fields['count']}/{one.fields['of']}"
                one.used = True
    elif act == "sown":
        _sown(clause, phrases, details)
    elif act == "offsets_taken" and not any(one.fields.get("kind") == "offsets" for one in phrases):
        for one in phrases[:1]:
            one.fields.setdefault("kind", "offsets")
    elif act == "cutting_taken" and clause.head is not None:
        kind = next((kind for kind, said in CUT_AS.items() if said & set(clause.head.low.split())), None)
        for one in phrases[:1]:
            if kind is not None and not any(other.fields.get("kind") for other in phrases):
                one.fields["kind"] = kind
    elif act in ("rooted", "united", "failed"):
        for item in clause.every("ratio"):
            item.used = True
            count = {"count": int(item.value[0]), "of": int(item.value[1])}
            if phrases:
                phrases[-1].fields.update(count)
            else:
                details["_ratio"] = count
    elif act == "germinated":
        _up_of(clause, phrases, details)


CUT_AS = {kind: frozenset(listed("terse")[f"cut_as {kind}"]) for kind in ("leaves", "cuttings")}


def _sown(clause: Clause, phrases: list[Phrase], details: dict[str, Any]) -> None:
    named = any("sowings" in one.fields or "taxa" in one.fields for one in phrases)
    seeds = any(one.low in ("seed", "seeds") for one in clause.every("word"))
    for one in phrases:
        if one.bare and one.prep is None and "sown" not in details and (named or seeds):
            details["sown"] = int(one.fields.pop("labels")[0])
            one.bare = False
        if one.fields.get("count") is not None and "sown" not in details:
            details["sown"] = one.fields.pop("count")


TOTALS = tuple(listed("spoken")["totals"])


def _up_of(clause: Clause, phrases: list[Phrase], details: dict[str, Any]) -> None:
    """Read "8 of 25", "12/25" as up of sown, and take the total where an increment is said too."""
    for one in phrases:
        if one.fields.get("of") is not None:
            details["sown"] = one.fields.pop("of")
    elements = clause.elements()
    total = next((n for n, one in enumerate(elements) if isinstance(one, Item) and one.low in TOTALS), len(elements))
    if {"more", "now"} <= {one.low for one in elements if isinstance(one, Item)}:
        total = 0
    counts = [one for one in elements[total:] if isinstance(one, Phrase) and (one.bare or set(one.fields) <= {"count", "refer"})]
    for one in phrases if counts else ():
        if one is not counts[-1]:
            one.fields.pop("count", None)
            one.used = one.used or one.bare
    for item in clause.every("ratio"):
        item.used = True
        details["sown"], details["total"] = int(item.value[1]), True
        named = [one for one in phrases if one.fields.keys() & {"sowings", "taxa", "places", "words"}]
        if named:
            named[-1].fields["count"] = int(item.value[0])


ROOTED = frozenset(("unpotted", "repotted", "potted", "washed", "root_pruned"))


def roots_behind(act: str, said: Said, details: dict[str, Any]) -> None:
    """Take "repotted 91, long tap root" as the roots it has, and not as a set of its own."""
    if act in ROOTED and len(said.sets) > 1 and said.sets[-1].keys() == {"roots"}:
        details["roots"] = said.sets.pop()["roots"]


def roots_only(clause: Clause, act: str, said: Said) -> None:
    """Read "wilma's roots: drying" as the roots of the lot."""
    if (
        act == "set_to_dry"
        and said.sets
        and "kind" not in said.sets[0]
        and any(one.low in ("roots", "rts") for one in clause.every("part"))
    ):
        said.sets[0]["kind"] = "roots"


def destinations(act: str, said: Said, details: dict[str, Any]) -> None:
    for phrase in said.to:
        fields = phrase.fields
        if act in ("grafted", "named"):
            if act == "grafted":
                details["name"] = (fields.get("taxa") or fields["labels"])[0]
            continue
        place = fields.get("places", (None,))[0] or fields.get("words")
        if place is not None and act != "divided":
            details["to"] = place
        if "pot_cm" in fields:
            details["pot_cm"] = fields["pot_cm"]


def cause_of(clause: Clause, act: str, details: dict[str, Any], talk: Talk) -> None:
    if act not in ("died", "discarded"):
        return
    for one in clause.elements():
        if isinstance(one, Item) and one.family == "sign" and not one.used:
            details["cause"] = one.meaning
            one.used = True
        elif isinstance(one, Item) and one.low in CAUSES and "cause" not in details:
            details["cause"] = one.low
            one.used = True
    if clause.head is not None and clause.head.low in ("dead on arrival", "doa"):
        details["cause"] = "dead on arrival"
    last = talk.last
    if (
        "cause" not in details
        and act == "died"
        and last is not None
        and last.type == "finding"
        and last.status != "absent"
        and (
            last.sign in PESTS
            or last.sign in ("rot", "damping_off", "soft", "grey_mould", "cold_mark", "scorch", "chewed", "dead_roots")
        )
    ):
        details["cause"] = last.sign


def people_of(clause: Clause, act: str, people: list[Item], details: dict[str, Any], said: Said, talk: Talk) -> None:
    """Read the people of a clause: from whom, to whom, by whom, or whose lot it is."""
    for person in people:
        person.used = True
        before = _before(person, clause)
        if before is not None and before.family == "prep":
            before.used = True
        lot = next((key for key in talk.names.names.lots if key.lower() == person.meaning), None)
        owns = (person.form == "possessive" or clause.topic) and act != "given" and not (act == "acquired" and not clause.topic)
        if lot is not None and (owns or act not in ("given", "offered", "acquired", "named", "labelled")):
            said.whole = said.whole or (bool(owns) and act not in ("died", "discarded", "missing", "released"))
            if said.sets:
                said.sets[0].setdefault("lots", (lot,))
            else:
                said.sets.append({"lots": (lot,)})
        else:
            details[{"given": "to", "offered": "to", "acquired": "from"}.get(act, "by")] = person.meaning
    if act == "acquired" and not clause.topic:
        _source(said, details)


def _source(said: Said, details: dict[str, Any]) -> None:
    if said.sets and "lots" in said.sets[-1] and "from" not in details and not details.get("_topic"):
        lot = said.sets[-1].pop("lots")[0]
        details["from"] = lot
    said.sets = [one for one in said.sets if one]
    for phrase in said.source:
        fields = phrase.fields
        if "lots" in fields:
            details.setdefault("from", fields["lots"][0])
        elif "places" in fields:
            details.setdefault("from", fields["places"][0])
        elif "words" in fields:
            details.setdefault("from", fields["words"])


def _before(one: Item, clause: Clause) -> Item | None:
    items = [e for e in clause.elements() if isinstance(e, Item)]
    i = items.index(one)
    return items[i - 1] if i else None
