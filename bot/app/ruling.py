"""The grower's standing word on plants: "my lithops rest till may", "this one takes full sun", "conos are winter growers"."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

from bot.app.plan import Draft
from bot.care.daylength import daylength_trend
from bot.care.events import Ref
from bot.care.genera import genus_row
from bot.care.standing import AT
from bot.notes.reader import read
from bot.notes.reading import Selection

# Where only the end of a rest is said (project defaults): dry winters from October, dry summers from May, in the north.
WINTER_REST_BEGINS = 10
SUMMER_REST_BEGINS = 5
WARMEST_FLOOR_C = 18.0  # no succulent asks for warmer nights: beyond it another number was meant
_MONTHS = {name: number for number, name in enumerate("jan feb mar apr may jun jul aug sep oct nov dec".split(), 1)}
_MONTH = (
    r"(?:(?:the )?(?P<{0}part>start|beginning|middle|mid|end|early|late)(?:[ -]of)?[ -])?(?:the )?"
    r"(?P<{0}>jan(?:uary)?|feb(?:ruary)?|mar(?:ch)?|apr(?:il)?|may|june?|july?|aug(?:ust)?|sept?(?:ember)?"
    r"|oct(?:ober)?|nov(?:ember)?|dec(?:ember)?)"
)
_SUBJECT = r"(?:(?:all )?(?:of )?(?:my|the|our) )?(?P<what>[\w#' -]+?)"
_ALWAYS = r"(?:(?:will|should|must|always|do|does|need to|have to|all) )*"
_EVERY = r"(?: (?:every|each) year| as a rule| always| here)?[.!]?"
_UNTIL = r"(?:till|til|until|up to|to|through|thru|-)"
_SEASONS = {"spring": (3, 4, 5), "summer": (6, 7, 8), "autumn": (9, 10, 11), "fall": (9, 10, 11), "winter": (12, 1, 2)}
_CLASSES = {
    "winter": "winter",
    "cool season": "winter",
    "summer": "summer",
    "spring and autumn": "opportunistic",
    "spring/autumn": "opportunistic",
    "opportunistic": "opportunistic",
    "tropical": "tropical",
}
LIGHT_WORDS = {
    "full sun": "full_sun",
    "sun": "full_sun",
    "all the sun": "full_sun",
    "sun all day": "full_sun",
    "midsummer shade": "bright_shade_midsummer",
    "bright shade": "bright_shade_midsummer",
    "light shade": "bright_shade_midsummer",
    "part shade": "part_shade",
    "half shade": "part_shade",
    "shade": "part_shade",
}
_TAKES = r"(?:can (?:take|stand|have)|takes?|likes?|wants?|needs?|stands?|gets?)"
_ONE_OF = frozenset({"this one", "this", "it", "that one", "that", "he", "she"})
_SPOKEN_OF = _ONE_OF | frozenset({"these", "those", "they", "them"})
_NUMBER = r"(?P<c>-?\d+(?:[.,]\d+)?) ?(?:°? ?c|degrees?(?: c)?)?"


def rule_of(text: str) -> tuple[str, dict[str, Any]] | None:
    """Return whom a standing word is about and what it says; None for any other text.

    What it says is one of `{"class"}`, `{"light"}`, `{"floor_c"}`, `{"months"}`, or `{"from"?, "until"}`: months that the
    rest still lacks its begin for.
    """
    low = " ".join(text.lower().replace("\N{RIGHT SINGLE QUOTATION MARK}", "'").split())
    for pattern, make in _PATTERNS:
        match = pattern.fullmatch(low)
        said = make(match) if match else None
        if match and said is not None:
            return match["what"].strip(), said
    return None


def _span(match: re.Match[str]) -> dict[str, Any] | None:
    groups = match.groupdict()
    until = _MONTHS[groups["b"][:3]]
    last = until if groups["bpart"] in ("end", "late") else (until - 2) % 12 + 1
    if not groups.get("a"):
        return {"until": last}
    first = _MONTHS[groups["a"][:3]]
    # "from November to March" names both months as rest; "till the start of" does not.
    last = (until - 2) % 12 + 1 if groups["bpart"] in ("start", "beginning", "early") or " till " in match[0] else until
    first = first % 12 + 1 if groups["apart"] in ("end", "late") else first
    return {"months": _run(first, last)}


def _season(match: re.Match[str]) -> dict[str, Any] | None:
    return {"season": match["season"]}


def _class(match: re.Match[str]) -> dict[str, Any] | None:
    return {"class": _CLASSES[match["kind"]]}


def _no_rest(_: re.Match[str]) -> dict[str, Any] | None:
    return {"months": []}


def _light(match: re.Match[str]) -> dict[str, Any] | None:
    return {"light": LIGHT_WORDS[match["light"]]}


def _floor(match: re.Match[str]) -> dict[str, Any] | None:
    value = float(match["c"].replace(",", "."))
    return {"floor_c": value} if -30 <= value <= WARMEST_FLOOR_C else None


_REST = rf"{_ALWAYS}(?:rests?|sleeps?|stays? dry)"
_FLOOR = "(?:can take|takes?|can stand|stands?|survives?|(?:is|are) (?:hardy|fine) to) (?:down to )?"
_PATTERNS: tuple[tuple[re.Pattern[str], Callable[[re.Match[str]], dict[str, Any] | None]], ...] = tuple(
    (re.compile(f"{pattern}{_EVERY}"), make)
    for pattern, make in (
        (rf"{_SUBJECT} {_REST} from {_MONTH.format('a')} {_UNTIL} {_MONTH.format('b')}", _span),
        (rf"{_SUBJECT} {_REST} {_UNTIL} {_MONTH.format('b')}", _span),
        (rf"{_SUBJECT} {_REST} in (?:the )?(?P<season>summer|winter|spring|autumn|fall)", _season),
        (rf"(?:never|don't|do not) water {_SUBJECT} in (?:the )?(?P<season>summer|winter)", _season),
        (rf"{_SUBJECT} (?:never|do(?:es)?n't|do(?:es)? not) (?:rests?|sleeps?|need a rest)", _no_rest),
        (rf"{_SUBJECT} (?:are|is) (?:a |all )?(?P<kind>{'|'.join(_CLASSES)})[ -]?(?:growers?|growing|plants?)", _class),
        (rf"{_SUBJECT} {_ALWAYS}grows? in (?:the )?(?P<kind>winter|summer|spring and autumn)", _class),
        (rf"{_SUBJECT} {_TAKES} (?P<light>{'|'.join(LIGHT_WORDS)})", _light),
        (rf"{_SUBJECT} (?:must )?(?:never|not) (?:go(?:es)? )?(?:below|under|colder than) {_NUMBER}", _floor),
        (rf"(?:keep|hold) {_SUBJECT} above {_NUMBER}", _floor),
        (rf"{_SUBJECT} {_FLOOR}{_NUMBER}(?: (?:if|when) dry| dry)?", _floor),
    )
)


def _run(first: int, last: int) -> list[int]:
    months = [first]
    while months[-1] != last:
        months.append(months[-1] % 12 + 1)
    return months


def rule_event(text: str, draft: Draft) -> bool:
    """Write a standing word to the log; False where the text is none, or nobody can tell what it is about."""
    found = rule_of(text)
    if found is None:
        return False
    words, said = found
    refs = named(words, draft)
    if not refs and words in _SPOKEN_OF:
        draft.say("answer", about="rule_for_which", words=text.lower().strip().partition(words)[2].strip())
        return True
    if not refs:
        return False
    facts = _months_of(said, refs, draft)
    draft.say("ruled", draft.event("ruled", "", refs, draft.view.today, facts))
    return True


def named(words: str, draft: Draft) -> tuple[Ref, ...]:
    """Return what words for plants mean: a genus as such, else the plants, lots or places; nothing where nobody can tell."""
    view = draft.view
    if words in _SPOKEN_OF:
        refs = view.talk.refs if view.talk.open_at(view.now) else ()
        if words in _ONE_OF and len(refs) != 1:
            return ()  # "this one" of a set that was spoken of: nobody can tell which
    else:
        reading = read(f"watered {words}", view.now.replace(tzinfo=None), view.standing.names(), language=view.settings.language)
        which = next((one.which for one in reading.entries if one.act == "watered" and one.which), None)
        if which is None or len(reading.entries) != 1:
            return ()
        if which == Selection(taxa=which.taxa) and which.taxa:
            return tuple(Ref("taxon", one.lower()) for one in which.taxa)
        if (which.words or "").isdigit() and view.standing.plant(str(which.words)) is not None:
            which = Selection(labels=(str(which.words),))
        if which == Selection(count=which.count) and view.standing.plant(str(which.count)) is not None:
            which = Selection(labels=(str(which.count),))
        refs = draft.which(which).refs
    plain = (Ref("taxon", one.key.partition(AT)[0].lower()) if one.kind == "taxon" else Ref(one.kind, one.key) for one in refs)
    return tuple(dict.fromkeys(one for one in plain if one.kind not in ("some", "house")))


def _months_of(said: Mapping[str, Any], refs: tuple[Ref, ...], draft: Draft) -> dict[str, Any]:
    south = draft.view.setting.latitude < 0
    if "season" in said:
        months = _SEASONS[said["season"]]
        return {"months": [(month + 5) % 12 + 1 for month in months] if south else list(months)}
    if "until" in said:
        return {"months": _run(_begin(refs, said["until"], draft), said["until"])}
    return dict(said)


def _begin(refs: tuple[Ref, ...], until: int, draft: Draft) -> int:
    """The month in which a rest begins of which only the end is said: that of the genus, else the usual one of its season."""
    standing, latitude = draft.view.standing, draft.view.setting.latitude
    genera = [ref.key if ref.kind == "taxon" else getattr(standing.things.get((ref.kind, ref.key)), "genus", "") for ref in refs]
    row = next((row for one in genera if one and (row := genus_row(one))), None)
    months = row.rest_months(latitude) if row else frozenset()
    starts = [month for month in sorted(months) if (month - 2) % 12 + 1 not in months]
    if len(starts) == 1 and starts[0] != until % 12 + 1:
        return starts[0]
    through_winter = daylength_trend(latitude, draft.view.today.replace(month=until, day=15)) == "rising"
    north = WINTER_REST_BEGINS if through_winter else SUMMER_REST_BEGINS
    return north if latitude >= 0 else (north + 5) % 12 + 1
