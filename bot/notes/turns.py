"""Turns of phrase: words that say something other than they do alone, by what stands a few words off.

Run over the items of a note with the rules of `spoken`; which words call which rule is in `spoken.csv` ("turn ...").
"""

from __future__ import annotations

from collections.abc import Sequence

from bot.notes.items import Item
from bot.notes.languages import listed
from bot.notes.neighbours import SEPARATORS, Rule, begins, clause_at, family_at, low_at
from bot.notes.reading import PESTS

_WORDS = {key: frozenset(words) for key, words in listed("spoken").items()}
LEAST_LABEL = 10  # project default: below, a number beside a loss may be how many
LEAST_COUNTED = 2  # a number from here on with a verb in the singular is one plant's label
BATCHES = ("cuttings", "offsets", "leaves", "grafts")


def _silence(*items: Item) -> None:
    for one in items:
        one.family, one.used = "stop", True


def _keep(*items: Item) -> None:
    """Leave words as a remark, on purpose."""
    for one in items:
        one.family, one.kept = "word", True


def _ends(items: Sequence[Item], i: int) -> bool:
    return family_at(items, i) in ("", *SEPARATORS, "query")


def _forgot(items: Sequence[Item], i: int) -> None:
    """Take "forgot: repotted 77 last week" as said late, and not as left undone."""
    behind = items[i + 2 : i + 5]
    if family_at(items, i + 1) in SEPARATORS and any(one.family == "act" and one.form == "past" for one in behind):
        _silence(items[i])


def _mine(items: Sequence[Item], i: int) -> None:
    """Take "in march i split the sedum", "i put 12 on the sill" as done: a verb whose past is written like its base."""
    act = items[i + 1] if i + 1 < len(items) else None
    if act is not None and act.family == "act" and act.form == "base" and act.low.split()[0] in _WORDS["same_past"]:
        act.form = "past"


def _sat(items: Sequence[Item], i: int) -> None:
    """Take "sat the cuttings on the rack" as put there, and not as saturday."""
    named = family_at(items, i + 1) == "det" and family_at(items, i + 2) in (
        "kind",
        "taxon",
        "nickname",
        "plants",
        "lot",
        "refer",
    )
    placed = named and any(one.family in ("prep", "act") for one in items[i + 3 : i + 6])
    if items[i].family != "date" or not placed:
        return
    if any(one.family == "act" for one in clause_at(items, i)):
        _silence(items[i])
    else:
        items[i].family, items[i].meaning, items[i].form, items[i].low = "act", "moved", "past", "put"


def _too_soon(items: Sequence[Item], i: int) -> None:
    """Take "91 split, watered too soon" as the cause of it, and not as water given today."""
    if family_at(items, i - 1) == "act" and items[i - 1].form == "past" and any(one.family == "sign" for one in items[: i - 1]):
        _keep(items[i - 1], items[i])


def _to_somebody(items: Sequence[Item], i: int) -> None:
    """Take "gave the spare ario to wilma" as given, and not as offered."""
    spare = items[i + 1] if i + 1 < len(items) else None
    to = next((k for k in range(i + 2, min(i + 6, len(items))) if items[k].means("prep", "to")), None)
    if spare is None or not spare.means("act", "offered") or to is None or family_at(items, to + 1) != "person":
        return
    items[i].family, items[i].meaning, items[i].form = "act", "given", "past"
    _silence(spare)


def _singular(items: Sequence[Item], i: int) -> None:
    """Take the number before "is", "has", "looks" as one plant's label: "41 is fine"."""
    number = items[i - 1] if i else None
    counts = number is not None and number.family == "number" and number.meaning == "digits"
    if not counts or number is None or not begins(items, i - 1) or not (number.value or 0) >= LEAST_COUNTED:
        return
    grave = any(one.means("act", "died", "discarded", "given", "missing") for one in clause_at(items, i))
    if not grave or (number.value or 0) >= LEAST_LABEL:
        number.meaning = "label"


def _back(items: Sequence[Item], i: int) -> None:
    """Take "the blue one is back" as found again; a pest that is back was never a plant."""
    verb = items[i - 1] if i else None
    seen = any(one.family in ("sign", "act") for one in clause_at(items, i))
    if verb is not None and verb.low in _WORDS["copula"] and _ends(items, i + 1) and not seen and i > 1:
        items[i].family, items[i].meaning, items[i].form = "act", "found_alive", "past"
        _silence(verb)


def _in_by(items: Sequence[Item], i: int) -> None:
    """Take "everything back in by friday" as a move that is planned."""
    if low_at(items, i + 1) in _WORDS["deadline"] and family_at(items, i + 2) == "date":
        items[i].family, items[i].meaning, items[i].form = "act", "moved", "base"


def _at_rest(items: Sequence[Item], i: int) -> None:
    if low_at(items, i - 1) in _WORDS["at_rest"]:
        items[i].family, items[i].meaning = "sign", "resting"
        _silence(items[i - 1])


def _no_roots(items: Sequence[Item], i: int) -> None:
    """Take "4 cuttings, no roots" as not rooted yet, and not as roots that died."""
    young = any(one.means("kind", *BATCHES) or one.means("act", "acquired", "offsets_taken", "cutting_taken") for one in items)
    if young and items[i].means("sign", "dead_roots"):
        _keep(items[i])


def _one_in(items: Sequence[Item], i: int) -> None:
    """Take "1 in 3 germinated" as a share."""
    ends = family_at(items, i + 2) in ("act", "sign", "light")
    numbers = [items[k] for k in (i - 1, i + 1) if 0 <= k < len(items) and items[k].family == "number"]
    if len(numbers) < 2 or not ends or not begins(items, i - 1):
        return
    part, whole = (float(one.value or 0) for one in numbers)
    if 0 < part < whole <= 20:
        numbers[0].family, numbers[0].value = "fraction", round(part / whole, 3)
        _silence(items[i], numbers[1])


def _off(items: Sequence[Item], i: int) -> None:
    """Take "9 off duchess, 5 rooted" as offsets taken; "2 off bench 1" is no plant's."""
    counted = family_at(items, i - 1) == "number" and begins(items, i - 1)
    parent = family_at(items, i + 1) == "nickname" or (family_at(items, i + 1) == "det" and family_at(items, i + 2) == "taxon")
    if counted and parent and not any(one.family == "act" for one in clause_at(items, i)):
        items[i].family, items[i].meaning, items[i].form = "act", "offsets_taken", "past"


def _of_grafts(items: Sequence[Item], i: int) -> None:
    """Take "2 grafts took, 1 came off", "grafts: 4 took" as united and failed."""
    if any(one.means("kind", "grafts") or one.means("act", "grafted") for one in items[:i]):
        failed = items[i].low in _WORDS["came_away"]
        if failed and low_at(items, i + 1) in _WORDS["off_it"]:
            _silence(items[i + 1])
        elif failed or not (_ends(items, i + 1) or family_at(items, i + 1) == "number"):
            return
        items[i].family, items[i].meaning, items[i].form = "act", "failed" if failed else "united", "past"


def _over(items: Sequence[Item], i: int) -> None:
    """Take "flowers over on the rebutias" as flowers that are gone."""
    flowers = items[i - 1] if i else None
    if (
        flowers is not None
        and flowers.means("sign", "flowering", "budding")
        and (_ends(items, i + 1) or family_at(items, i + 1) == "prep")
    ):
        flowers.more = {**flowers.more, "status": "cleared"}
        _silence(items[i])


def _scraped(items: Sequence[Item], i: int) -> None:
    """Take "one scale on 41, scraped it off", "scraped the mealy off 41" as pests taken off by hand."""
    it = any(one.family == "sign" and one.meaning in PESTS for one in items[:i]) and family_at(items, i + 1) == "pron"
    pest = next((one for one in items[i + 1 : i + 4] if one.family == "sign"), None)
    product = any(one.family == "product" for one in clause_at(items, i))
    if (it or (pest is not None and pest.meaning in PESTS)) and not product and items[i].family in ("act", "word"):
        items[i].family, items[i].meaning, items[i].form, items[i].more = "act", "treated", "past", {"how": "hand"}


def _next_up(items: Sequence[Item], i: int) -> None:
    """Take "pot bound 63, next size up in spring" as a plan."""
    if any(one.family == "date" for one in items[i + 1 : i + 4]) and begins(items, i):
        items[i].form = "base"


def _no_water(items: Sequence[Item], i: int) -> None:
    """Take "unless it warms up no water" as an order to keep dry, though a condition stands before it."""
    if items[i].family == "stop" and items[i].sense("nowater") and any(one.family == "cond" for one in items[:i]):
        items[i].become("nowater")
        items[i].used = False


def _few(items: Sequence[Item], i: int) -> None:
    """Take "mites down to a few on tray 3" as insects, and not as plants."""
    pest = any(one.family == "sign" and one.meaning in PESTS for one in clause_at(items, i) if one.start < items[i].start)
    if pest and (_ends(items, i + 1) or family_at(items, i + 1) == "prep"):
        _silence(items[i])


def _below(items: Sequence[Item], i: int) -> None:
    """Take "rot from below" as where it came from, and not as a watering."""
    if family_at(items, i - 1) == "sign":
        _keep(items[i])


def _got(items: Sequence[Item], i: int) -> None:
    """Take "the cold got two melos" as what they died of."""
    cause = items[i - 1] if i else None
    if cause is not None and cause.low in _WORDS["killers"] and family_at(items, i + 1) in ("det", "number", "taxon", "nickname"):
        items[i].family, items[i].meaning, items[i].form = "act", "died", "past"
        items[i].more = {"cause": cause.low}
        _silence(cause)


def _to_go(items: Sequence[Item], i: int) -> None:
    """Take "first of three, 2 to go" as what is left of a course."""
    if family_at(items, i - 1) == "number" and _ends(items, i + 1):
        _keep(items[i - 1], items[i])


def _when_done(items: Sequence[Item], i: int) -> None:
    """Take "a pup came off 203 when i moved it" as how it came, and not as a condition."""
    act = next((k for k in (i + 1, i + 2) if family_at(items, k) == "act" and items[k].form == "past"), None)
    if act is not None and any(one.family == "act" for one in items[:i]):
        _keep(*items[i : act + 1])


def _from_to(items: Sequence[Item], i: int) -> None:
    """Take "41 from a 9 to an 11" as the sizes of its pots."""
    if not any(one.family in ("number", "nickname", "taxon", "pron", "plants") for one in items[max(0, i - 3) : i]):
        return
    if family_at(items, i + 1) in ("range", "sizes") and max(items[i + 1].value) <= LARGEST_POT_CM:
        _sizes(items, i, items[i + 1].value, i + 1)
        return
    numbers = [k for k in range(i + 1, min(i + 6, len(items))) if items[k].family in ("number", "potsize")]
    between = items[i + 1 : numbers[1]] if len(numbers) > 1 else ()
    sized = between and all(one.family in ("det", "prep", "number", "potsize") for one in between)
    sizes = [items[k].value for k in numbers[:2]]
    if not sized or not any(one.low in _WORDS["up_to"] for one in between):
        return
    if not all(isinstance(one, int | float) and 4 <= one <= LARGEST_POT_CM for one in sizes):
        return
    _sizes(items, i, (float(sizes[0]), float(sizes[1])), numbers[1])


def _sizes(items: Sequence[Item], i: int, sizes: tuple[float, float], last: int) -> None:
    for one in items[max(0, i - 2) : i]:
        if one.means("act", "moved", "potted") or one.low in _WORDS["went_up"]:
            _silence(one)
        elif one.family == "number":
            one.meaning = "label"
    items[i].family, items[i].value, items[i].meaning = "sizes", sizes, "cm"
    _silence(*items[i + 1 : last + 1])


LARGEST_POT_CM = 40  # project default: a number beyond is no pot


def _daily(items: Sequence[Item], i: int) -> None:
    """Take "check 41 daily" as every day."""
    if any(one.family == "act" and one.form == "base" for one in items[:i]):
        items[i].family, items[i].value = "every", _DAYS[items[i].low]


_DAYS = {word: int(row.removeprefix("every_")) for row, words in _WORDS.items() if row.startswith("every_") for word in words}


def _nameless(items: Sequence[Item], i: int) -> None:
    """Take "freebie from pia, no name" as how it came."""
    if family_at(items, i - 1) == "neg" and begins(items, i - 1) and any(one.family == "act" for one in items[:i]):
        _keep(items[i - 1], items[i])


def _pieces(items: Sequence[Item], i: int) -> None:
    """Take "cut 3 arms off the colonel" as cuttings."""
    k = i + 2 if family_at(items, i + 1) in ("number", "det") else i + 1
    if low_at(items, k) in _WORDS["pieces"] and low_at(items, k + 1) in _WORDS["away_from"]:
        items[i].family, items[i].meaning, items[i].form = "act", "cutting_taken", "past"
        items[k].family, items[k].meaning = "kind", "cuttings"
        items[k + 1].family, items[k + 1].meaning = "prep", "from"


def _put_on(items: Sequence[Item], i: int) -> None:
    """Take "41 put on 2 cm" as growth."""
    if low_at(items, i + 1) in _WORDS["put_on"] and family_at(items, i + 2) == "amount" and items[i + 2].meaning == "cm":
        items[i].family, items[i].meaning = "sign", "growing"
        _keep(*items[i + 1 : i + 3])


def _on_the_pest(items: Sequence[Item], i: int) -> None:
    """Take "alcohol on the mealy on 203" as a treatment and a find."""
    k = i + 2 if family_at(items, i + 1) == "det" else i + 1
    pest = items[k] if k < len(items) else None
    led = i and items[i - 1].family == "product" and not any(one.family == "act" for one in items[:i])
    if led and pest is not None and pest.family == "sign" and pest.meaning in PESTS:
        items[i].family, items[i].meaning, items[i].form = "act", "treated", "past"


def _for_the_season(items: Sequence[Item], i: int) -> None:
    """Take "shading off for the winter" as how long, and not as plants."""
    led = family_at(items, i - 1) == "det" and low_at(items, i - 2) in _WORDS["how_long"]
    lived = family_at(items, i - 1) == "det" and family_at(items, i - 2) == "act" and not items[i - 2].means("act", "acquired")
    if led and _ends(items, i + 1):
        _silence(*items[i - 2 : i + 1])
    elif lived and _ends(items, i + 1):
        _silence(*items[i - 1 : i + 1])


def _none_given(items: Sequence[Item], i: int) -> None:
    """Take "tray 5 watered, tray 6 nothing" as left out, and not as a look."""
    named = family_at(items, i - 1) in ("place", "taxon", "nickname", "lot") and _ends(items, i + 1)
    given = any(one.means("act", "watered", "fed", "misted") for one in items[:i])
    if named and given and not any(one.family == "sign" or one.means("act", "inspected", "treated") for one in items[:i]):
        items[i].family, items[i].meaning = "skipped", "skipped"


def _batch_of(items: Sequence[Item], i: int) -> None:
    """Take "new batch of grit mix, 20 l" as mix that was made."""
    k = i + 2 if family_at(items, i + 1) == "prep" else i + 1
    if family_at(items, k) == "mix" and not any(one.family == "act" for one in items[:i]):
        items[i].family, items[i].meaning, items[i].form = "act", "mixed", "past"
        _silence(*items[i + 1 : k], *(one for one in items[:i] if one.family in ("state", "adj", "det")))


def _bleached(items: Sequence[Item], i: int) -> None:
    """Take "bleached on the south side" as scorch, and "bleached the trays" as cleaning."""
    if items[i].sense("sign") and (family_at(items, i + 1) == "prep" or _ends(items, i + 1)):
        items[i].become("sign")


def _stands(items: Sequence[Item], i: int) -> None:
    """Take "tray 6 is on the kitchen sill now" as where it was put."""
    place = next((one for one in items[i + 1 : i + 4] if one.family == "place"), None)
    subject = items[i - 1] if i else None
    named = subject is not None and subject.family in ("place", "taxon", "nickname", "number", "lot")
    last = items[-1].low in _WORDS["from_now"] or low_at(items, i + 1) in _WORDS["from_now"]
    other = any(one.family in ("act", "sign", "query", "q") and one is not items[i] for one in items)
    if named and place is not None and family_at(items, i + 1) in ("prep", "stop") and last and not other:
        items[i].family, items[i].meaning, items[i].form, items[i].low = "act", "moved", "past", "put"
        if subject is not None and subject.family == "number":
            subject.meaning = "label"


def _topic(items: Sequence[Item], i: int) -> None:
    """Take the dash of "tray 3 - mites, tray 4 - clean" as a colon: what stands before it is what it is said of."""
    first = i
    while first and items[first - 1].family in SUBJECT:
        first -= 1
    if first < i and begins(items, first) and items[i].family == "dash" and not _ends(items, i + 1):
        items[i].family = "colon"


SUBJECT = frozenset(
    ("place", "number", "taxon", "nickname", "lot", "sowing", "range", "kind", "det", "adj", "numbered", "somewhere")
)


def _drench(items: Sequence[Item], i: int) -> None:
    """Take "if the mealy is still there i will drench it" as a treatment."""
    pest = any(one.family == "sign" and one.meaning in PESTS and not one.more.get("status") for one in items[:i])
    if pest and items[i].means("act", "watered"):
        items[i].meaning, items[i].more = "treated", {"how": "drench"}


def _turned(items: Sequence[Item], i: int) -> None:
    """Take "turned brown at the base" as how it looks, and not as a plant that was turned."""
    if family_at(items, i + 1) in ("adj", "sign") and (
        _ends(items, i + 2) or family_at(items, i + 2) in ("prep", "date", "part")
    ):
        items[i].family, items[i].meaning = "light", "found"


def _missing(items: Sequence[Item], i: int) -> None:
    """Take "turned up: the missing 36" as which, and not as missing now."""
    if family_at(items, i - 1) == "det" and family_at(items, i + 1) in ("number", "taxon", "plants", "nickname", "label"):
        items[i].family, items[i].meaning = "adj", "-"


def _from_day(items: Sequence[Item], i: int) -> None:
    """Take "enough rest, water from monday" as planned."""
    act = items[i - 1] if i else None
    if family_at(items, i + 1) == "date" and act is not None and act.family == "act" and act.form != "past":
        act.form = "base"
        _silence(items[i])


def _scale_back(items: Sequence[Item], i: int) -> None:
    """Take "scale back the feed" as an act that is not known, and not as an insect."""
    if low_at(items, i + 1) in _WORDS["turn _back"] and items[i].family in ("sign", "unclear") and begins(items, i):
        items[i].family = "word"


def _seed_tray(items: Sequence[Item], i: int) -> None:
    """Take "soaked the seed trays" as trays that were watered, and not as seed that was soaked."""
    if family_at(items, i + 1) in ("numbered", "somewhere", "plants", "pot") or low_at(items, i + 1) in _WORDS["seed_trays"]:
        items[i].meaning, items[i].more = "watered", {"how": "soak"}
        items[i + 1].family, items[i + 1].meaning = "kind", "seed_pots"


def _but_not(items: Sequence[Item], i: int) -> None:
    """Take "watered but not fed" as a feed that was left out."""
    if family_at(items, i + 1) == "act" and items[i + 1].form == "past":
        items[i].family, items[i].meaning = "neg", "undone"


def _the_sun(items: Sequence[Item], i: int) -> None:
    """Take "the sun scorched 12" as what did it, and not as where it stands."""
    led = i - 1 if family_at(items, i - 1) == "det" else i
    if begins(items, led) and items[i].family != "date" and family_at(items, i + 1) in ("sign", "act"):
        _silence(*items[led : i + 1])


def _out(items: Sequence[Item], i: int) -> None:
    """Take "aloes out for the summer", "melos back in" as a move."""
    named = i and items[i - 1].family in ("taxon", "nickname", "lot") and begins(items, i - 1)
    if named and all(one.used or one.family in ("date", "break", "stop") for one in items[i + 1 :]):
        items[i].family, items[i].meaning, items[i].form = "act", "moved", "past"


def _unpacked(items: Sequence[Item], i: int) -> None:
    """Take "unpacked the parcel: 3 parodias" as plants that came in."""
    if begins(items, i) and any(one.low in _WORDS["parcels"] for one in items[i + 1 : i + 3]):
        items[i].family, items[i].meaning, items[i].form = "act", "acquired", "past"
        _silence(*items[i + 1 : next((k for k in range(i + 1, len(items)) if items[k].family in SEPARATORS), i + 1) + 1])


def _came_away(items: Sequence[Item], i: int) -> None:
    """Take "5 offsets came away" as offsets that are off, and not as plants that came in."""
    away = next((one for one in items[i : i + 2] if _WORDS["away"] & set(one.low.split())), None)
    if away is not None and any(one.means("kind", "offsets") for one in clause_at(items, i)):
        _silence(away)
        items[i].family, items[i].meaning, items[i].form, items[i].more = "act", "offsets_taken", "past", {}


def _potted_dry(items: Sequence[Item], i: int) -> None:
    """Take "77 potted dry", "repotted 63 dry" as how it was potted, and not as a pot that has dried."""
    k = i - 2 if family_at(items, i - 1) in ("number", "nickname", "taxon") else i - 1
    if k >= 0 and items[k].means("act", "potted", "repotted") and _ends(items, i + 1):
        _keep(items[i])


def _hose(items: Sequence[Item], i: int) -> None:
    """Take "new hose at last" as a thing."""
    if family_at(items, i - 1) in ("det", "adj", "state"):
        _keep(items[i])


_RULES: tuple[Rule, ...] = (
    _forgot,
    _mine,
    _sat,
    _too_soon,
    _to_somebody,
    _singular,
    _back,
    _in_by,
    _at_rest,
    _no_roots,
    _one_in,
    _off,
    _of_grafts,
    _over,
    _scraped,
    _next_up,
    _no_water,
    _few,
    _below,
    _got,
    _to_go,
    _when_done,
    _from_to,
    _daily,
    _nameless,
    _pieces,
    _put_on,
    _on_the_pest,
    _for_the_season,
    _none_given,
    _batch_of,
    _bleached,
    _stands,
    _topic,
    _drench,
    _turned,
    _missing,
    _from_day,
    _scale_back,
    _seed_tray,
    _but_not,
    _the_sun,
    _out,
    _unpacked,
    _came_away,
    _potted_dry,
    _hose,
)
_CALLED = {rule.__name__: rule for rule in _RULES}
BY_WORD: dict[str, tuple[Rule, ...]] = {}
for _row, _forms in _WORDS.items():
    if _row.startswith("turn "):
        BY_WORD |= {form: (*BY_WORD.get(form, ()), _CALLED[_row.removeprefix("turn ")]) for form in _forms}
