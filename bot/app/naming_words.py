"""Names in words: in full as on a label, who said so, what it was before, what has none, who stands under another genus."""

from __future__ import annotations

import re

from bot.app.english import named as told
from bot.app.nearest import near
from bot.app.plan import Draft
from bot.app.record_words import LABEL
from bot.app.ruling import named
from bot.care.events import Ref
from bot.care.genera import genus_row, names_of
from bot.care.names import Taxon, parse
from bot.care.standing import Thing
from bot.notes.reader import read
from bot.notes.reading import Selection

_NAMED = re.compile(
    r"(?:(?P<by>[A-Z][\w'-]+) (?:says|thinks|reckons|said|thought)(?: that)? )?"
    rf"(?:re)?(?:named? )?{LABEL}(?:'s| is| was| =|:| to) (?:now |called |named |to )?"
    r"(?:(?P<hedge>maybe|probably|perhaps|possibly|prob|might be|could be|i think) )?"
    r"(?:(?:an?|the) )?(?P<name>[^\W\d].{2,120}?)[! ]*"
)
_STOPPED = re.compile(r"\b(?:s\. ?l|s\. ?s|s\. ?str|sp|spec)\.$")  # what ends in a full stop of its own
_OF_NAMES = frozenset("ssp subsp subspecies var v f fa fo forma cv x sp spp spec species cf aff group gp grp ex".split())
_LIKE = re.compile(
    rf"{LABEL} (?:looks (?:just |very much )?like|is (?:maybe |probably )?the same as|could be the same as|resembles)"
    r" (?:my |the |no\.? ?|#)*(?P<other>[A-Za-z]{0,3}-?\d[\w.-]*)[.! ]*",
    re.IGNORECASE,
)
_BEFORE = re.compile(
    r"(?:what (?:was|were|has|had) (?:the |my )?(?P<what>.+?) (?:been )?(?:called|named|known as)(?: before| earlier| so far)?"
    r"|(?:show(?: me)? )?(?:the |all |old )*(?:names|identifications) (?:of|for) (?:the )?(?P<of>.+?))[?.! ]*",
    re.IGNORECASE,
)
_OPEN = re.compile(
    r"(?:what|which|who)(?: plants| ones)? (?:do i |have i |should i )?(?:still )?(?:have |need |has |got |is |are )?(?:still )?"
    r"(?:to (?:be )?(?:identif(?:y|ied)|name[d]?)|unidentified|not (?:yet )?(?:identified|sure)|without a sure name)[?.! ]*",
    re.IGNORECASE,
)
_WHICH = re.compile(
    r"(?:which|what|list(?: me)?|show(?: me)?)(?: all)?(?: of)?(?: my| the)? (?P<genus>[A-Za-z]+)"
    r"(?: (?:do (?:i|we) have|have (?:i|we) got|are there|(?:i|we) have|are here))?[?.! ]*",
    re.IGNORECASE,
)


def naming_command(text: str, draft: Draft) -> bool:
    """Carry out words about names; False where the text is a note for the reader."""
    said = " ".join(text.split())
    return any(rule(said, draft) for rule in (_like, _before, _open_names, _which, _named_in_full))


def _named_in_full(text: str, draft: Draft) -> bool:
    """Take a name that says more than a species as it was typed: ranks below, cultivar, cross, doubt and field number with it."""
    match = _NAMED.fullmatch(text)
    name = " ".join(match["name"].split()) if match is not None else ""
    name = name if _STOPPED.search(name) else name.rstrip(".")
    taxon = parse(name)
    if match is None or not (_says_more(taxon) or (match["by"] and genus_row(taxon.genus))):
        return False
    if not _nothing_else(name, taxon):
        return False
    facts: dict[str, object] = {"name": name}
    if match["by"]:
        facts["by"] = match["by"]
    event = draft.event(
        "event", "named", (Ref("plant", match["label"]),), draft.view.today, facts | ({"sure": False} if match["hedge"] else {})
    )
    new = () if draft.view.standing.plant(match["label"]) is not None else (match["label"],)
    draft.say("event", event, new_labels=new)
    draft.current = event.refs
    return True


def _says_more(taxon: Taxon) -> bool:
    """Whether a name holds what the reader of notes leaves out, and surely is one."""
    if not taxon.known or (genus_row(taxon.genus) is None and not taxon.species):
        return False
    more = taxon.below or taxon.cultivar or taxon.group or taxon.field_number or taxon.crossed_with or taxon.doubted
    return bool(more or taxon.genus_hybrid or taxon.species_hybrid or taxon.sense or taxon.chimaera)


def _nothing_else(name: str, taxon: Taxon) -> bool:
    """Whether all words belong to the name: "… and needs a pot" is a note of more."""
    known = _words(f"{taxon.printed} {taxon.field_number} {taxon.authors}") | _OF_NAMES | {taxon.genus[:1].lower()}
    return _words(name) <= known


def _words(text: str) -> set[str]:
    return {one for one in re.split(r"[^\w]+", text.lower()) if one}


def _like(text: str, draft: Draft) -> bool:
    """Keep "50 looks like my 15" as an opinion: the name of that plant, in doubt."""
    match = _LIKE.fullmatch(text)
    if match is None:
        return False
    for label in (match["label"], match["other"]):
        if draft.view.standing.plant(label) is None:
            draft.tell(told.unknown(label, near(label, draft.view.standing)))
            return True
    mine, other = draft.view.standing.plant(match["label"]), draft.view.standing.plant(match["other"])
    if mine is None or other is None:
        return False
    if mine is other or not other.taxon:
        draft.tell(told.ITSELF if mine is other else told.NAMELESS.format(key=other.key))
        return True
    facts = {"name": other.taxon, "sure": False, "like": other.key}
    event = draft.event("event", "named", (Ref("plant", match["label"]),), draft.view.today, facts)
    draft.say("event", event)
    draft.current = event.refs
    return True


def _before(text: str, draft: Draft) -> bool:
    """Tell every name that was given to a plant, by whom and when, the newest first."""
    match = _BEFORE.fullmatch(text)
    refs = named(match["what"] or match["of"], draft) if match is not None else ()
    things = [thing for one in refs if (thing := draft.view.standing.things.get((one.kind, one.key))) is not None]
    if not things:
        return False
    draft.tell(*told.opinions(things[0], draft.view.today))
    draft.current = (things[0].ref,)
    return True


def _open_names(text: str, draft: Draft) -> bool:
    """List what has no name, a name in doubt, or one that is not sure of its species."""
    if _OPEN.fullmatch(text) is None:
        return False
    plants = [one for one in draft.view.standing.plants() if one.kind in ("plant", "lot")]
    nameless = [one for one in plants if not one.taxon]
    unsure = [one for one in plants if one.taxon and (not one.names[-1].get("sure", True) or parse(one.taxon).open_term)]
    waiting = [one for one in draft.view.standing.reminders.values() if one.cond and one.act == "inspected"]
    draft.tell(*told.open_names(nameless, unsure, waiting, draft.view.standing))
    draft.current = tuple(one.ref for one in (*nameless, *unsure))
    return True


def _which(text: str, draft: Draft) -> bool:
    """List the plants of a genus, those too that stand under a name which others give it."""
    match = _WHICH.fullmatch(text)
    if match is None:
        return False
    asked = read(f"watered {match['genus']}", draft.view.now.replace(tzinfo=None), draft.view.standing.names()).entries
    which = asked[0].which if len(asked) == 1 else None
    if which is None or which != Selection(taxa=which.taxa) or len(which.taxa) != 1 or " " in which.taxa[0]:
        return False
    genus = which.taxa[0].lower()
    if genus_row(genus) is None:
        return False
    mine = _of(genus, draft)
    others = {
        other: found for other in names_of(genus.capitalize()) if other.lower() != genus and (found := _of(other.lower(), draft))
    }
    draft.tell(*told.of_genus(genus, mine, others, draft.view.standing))
    draft.current = tuple(one.ref for one in mine)
    return True


def _of(genus: str, draft: Draft) -> list[Thing]:
    found = [one for one in draft.view.standing.plants() if one.genus == genus and one.kind in ("plant", "lot", "batch", "taxon")]
    return sorted(found, key=lambda one: (one.kind != "plant", int(one.key) if one.key.isdigit() else 10**9, one.key))
