"""The law as a caution: "is 12 on cites", "i live in Germany", "Anna lives in the UK"."""

from __future__ import annotations

import re
from dataclasses import replace

from bot.app.english import record
from bot.app.plan import Draft
from bot.app.ruling import named
from bot.care.events import Ref
from bot.care.law import appendix_of, country_of
from bot.store.people import CollectionSettings

COUNTRY = "country"  # in the extra settings: where the collection stands
_ASKED = re.compile(
    r"(?:is|are) (?:the |my )?(?P<what>.+?) (?:on|under|in|listed (?:on|by|under)) (?:the )?cites(?: list| appendices)?[?.! ]*"
    r"|(?:what(?:'?s| is) the )?cites(?: status| appendix)? (?:of|for) (?:the |my )?(?P<of>.+?)[?.! ]*"
    r"|(?:which|what)(?: of my| of the)? ?(?:plants |ones )?(?:are|is) (?:on|under) cites(?P<all>)[?.! ]*",
    re.IGNORECASE,
)
_HERE = re.compile(
    r"(?:i|we) live in (?P<country>[A-Za-z .]{2,40}?)[.! ]*|(?:set )?(?:my )?country(?: is)? (?P<set>[A-Za-z .]{2,40}?)[.! ]*",
    re.IGNORECASE,
)
_THERE = re.compile(r"(?P<who>[A-Z][\w'-]{1,30}) (?:lives|is living) in (?P<country>[A-Za-z .]{2,40}?)[.! ]*")


def country(settings: CollectionSettings) -> str:
    """Return the country in which a collection stands, as its owner said it; empty where nobody did."""
    return str(settings.extra.get(COUNTRY, ""))


def law_command(text: str, draft: Draft) -> bool:
    """Answer about the convention, or keep a country; False where the text is a note for the reader."""
    said = " ".join(text.split())
    return any(rule(said, draft) for rule in (_asked, _here, _there))


def _asked(text: str, draft: Draft) -> bool:
    match = _ASKED.fullmatch(text)
    if match is None:
        return False
    words = match["what"] or match["of"]
    standing = draft.view.standing
    refs = named(words, draft) if words else tuple(one.ref for one in standing.plants() if one.alive and one.taxon)
    names = _names(refs, draft) or ([words] if words else [])
    if not names:
        return False
    draft.say("answer", about="cites", found=tuple((name, appendix_of(name)) for name in names))
    return True


def _names(refs: tuple[Ref, ...], draft: Draft) -> list[str]:
    """Return the names of what is meant, each once; a genus as such by its own name."""
    found: dict[str, None] = {}
    for ref in refs:
        thing = draft.view.standing.things.get((ref.kind, ref.key))
        if thing is not None and thing.taxon:
            found[thing.taxon] = None
        elif ref.kind == "taxon":
            found[ref.key.capitalize()] = None
    return list(found)


def _here(text: str, draft: Draft) -> bool:
    match = _HERE.fullmatch(text)
    lives = country_of(match["country"] or match["set"]) if match else ""
    if not lives:
        return False  # "i live in hope"
    before = draft.view.settings
    draft.settings = replace(before, extra={**before.extra, COUNTRY: lives})
    draft.tell(record.YOU_ARE_IN.format(country=lives.title()))
    return True


def _there(text: str, draft: Draft) -> bool:
    match = _THERE.fullmatch(text)
    lives = country_of(match["country"]) if match else ""
    if match is None or not lives:
        return False
    event = draft.event("ruled", "partner", (), draft.view.today, {"person": match["who"], "country": lives})
    draft.say("ruled", event)
    return True
