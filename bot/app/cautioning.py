"""Which safety lines a note brings: each topic once, and again when its trigger recurs after thirty days.

A line comes with the first use of a treatment, with the plan to use it, and with the question how much to take.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from datetime import date, timedelta

from bot.app.plan import View
from bot.care.events import CareEvent
from bot.care.frost import HEAT_WARN_C
from bot.care.genera import genus_row
from bot.care.law import is_border
from bot.care.seasons import said_on
from bot.care.standing import PARTNER, Standing

AGAIN_AFTER = timedelta(days=30)
MOST_AT_ONCE = 2
ASKED_ONCE = frozenset({"unsure", "record", "toxic"})  # for a genus or a product once for good
FIRST_USE = "|"  # joins a topic and the product whose first use it stands before
DRINK_ABOVE_C = 30.0  # common practice for whoever works under glass
_PRODUCTS = {
    "systemic": re.compile(r"systemic|imidacloprid|acetamiprid|thiacloprid|thiamethoxam|dinotefuran|flupyradifurone"),
    "alcohol": re.compile(r"\b(ipa|alcohol|spirits?|meths|isopropyl|surgical)\b"),
    "oil": re.compile(r"\b(oils?|neem|sulphur and oil)\b"),
    "sulphur": re.compile(r"\b(sulphur|sulfur|diatom\w*|kieselgu?hr|talc)\b"),
    "homemade": re.compile(r"washing[ -]?up|garlic|tobacco|nicotine|detergent|\bdish\b|home[ -]?made|chilli"),
    "soap": re.compile(r"\bsoaps?\b"),
    "bait": re.compile(r"\b(pellets?|baits?|poison|traps?|metaldehyde)\b"),
}
_SAP_GENERA = frozenset({"euphorbia", "pedilanthus", "monadenium", "jatropha"})
_GLOCHID_GENERA = frozenset(
    {"opuntia", "cylindropuntia", "tephrocactus", "austrocylindropuntia", "cumulopuntia", "maihueniopsis"}
)
_TOXIC_GENERA = frozenset({"adenium", "pachypodium", "kalanchoe", "cotyledon", "tylecodon", "aloe", "crassula"})
_BARBED_GENERA = frozenset({"ferocactus", "echinocactus", "kroenleinia", "cereus", "trichocereus", "pachycereus", "agave"})
_CUTTING_ACTS = frozenset({"cutting_taken", "root_pruned", "grafted", "divided", "offsets_taken"})
_HANDLING_ACTS = frozenset({"unpotted", "repotted", "potted", "washed", "divided"})
_ABROAD = re.compile(
    r"\b(abroad|overseas|customs|phyto\w*|cites|across the border|to the (eu|uk|us|usa))\b"
    r"|\b(post|posted|posting|send|sending|sent|mail\w*|swap\w*|sell(ing)?|sold|parcel|import\w*|export\w*)\b.*\b(to|from|in|with)\b.*"
    r"\b(germany|france|holland|netherlands|belgium|spain|italy|portugal|austria|switzerland|poland|czech\w*|denmark|sweden|norway"
    r"|ireland|usa|america|canada|mexico|australia|new zealand|japan|south africa|brazil|argentina|chile|peru|china|thailand)\b"
)
_NEAR = re.compile(r"\b(cats?|dogs?|puppy|kittens?|pets?|rabbits?|tortoises?|(grand)?child(ren)?|kids?|toddlers?|bab(y|ies))\b")
# What only the words of the note tell.
_WORDS = {
    "ill": re.compile(
        r"\b(cat|dog|pet|rabbit|child|kid|toddler|baby|son|daughter)\b.*\b(ate|eaten|chew\w*|swallow\w*|bit|licked|sick)\b"
        r"|\bsap\b.*\beyes?\b|\bin (my|his|her|the) eyes?\b|\bswallow(ed)?\b"
    ),
    "puncture": re.compile(
        r"\b(spines?|thorns?|glochids?)\b.*\b(in|into|stuck)\b.*\b(finger|thumb|hand|knuckle|joint|knee|foot|arm|me|skin)\b"
        r"|\b(stabbed|pricked|spiked) (my|myself|me)\b"
    ),
    "border": _ABROAD,
    "cites": _ABROAD,
    "post": re.compile(r"\b(posted|posting|in the post|by post|mailed|parcel)\b"),
    "wild": re.compile(r"\b(wild[ -]?(collected|dug|plants?)|from habitat|dug up|collected in)\b"),
    "orange_mites": re.compile(r"\borange\b.*\bmites?\b|\bmites?\b.*\borange\b"),
    "legionella": re.compile(
        r"\b(hose(s|pipe)?|hosed|water butts?|butts?|rain barrel)\b"
        r"|\b(pot|pots|potted|potting|repot\w*|mix(ed|ing)?)\b.*"
        r"\b(indoors|inside|kitchen|living room|bathroom|in the house|at the table)\b"
    ),
    "lifting": re.compile(
        r"\b(step)?ladders?\b|\b(lift(ed|ing)?|carr(y|ied|ying)|heaved)\b.*"
        r"\b(pot|pots|tub|tubs|staging|bags?|kg|heavy|big|stone|slabs?)\b"
        r"|\b(pane|panes|reglaz\w*|glazing)\b|\b(clean\w*|wash\w*|broke\w*|crack\w*|replac\w*)\b.*\bglass\b"
    ),
    "shared_place": re.compile(
        r"\b(shar(e|ed|ing)|publish\w*|post(ed|ing)?|send|sent|tell|told|give|gave)\b.*"
        r"\b(field numbers?|localit(y|ies)|coordinates|gps|habitat site|where (it|they) grows?)\b"
    ),
    "shared_list": re.compile(r"\bshar(e|ed|ing)\b.*\b(list|collection|stock|page|plants)\b|\bswap ?list\b"),
    "electric": re.compile(r"\b(electric|fan) heater\b|\bpropagator\b|\bheat(ing)? mat\b"),
}
_HEATER = re.compile(r"\b(paraffin|gas|kerosene|propane|butane)\b")


def cautions_for(
    events: Iterable[CareEvent],
    standing: Standing,
    view: View,
    product: str = "",
    country: str = "",
) -> list[str]:
    """Return the topics to be said now, the gravest first; `standing` is how things stand after the note.

    `product` is what a question about a dose names, `country` where the collection stands. A topic may hold the product whose
    first use it stands before ("pesticide|bug clear").
    """
    events, said, today, text = list(events), view.talk.cautioned, view.today, view.text
    asked = [
        *_over_a_border(events, standing, country),
        *_of_words(text.lower()),
        *(topic for event in events for topic in _topics(event, standing)),
        *_of_product(product),
    ]
    asked += [*_toxic_near(events, standing, text.lower()), *_unsure_genera(events, standing)]
    if any(one.what == "acquired" for one in events) and not any(one.what == "given" for one in events):
        asked = [one for one in asked if one != "post"]  # how to pack is for what goes
    if _at_home(events, standing, country):
        asked = [one for one in asked if one not in ("border", "cites")]
    topics: list[str] = []
    for topic in asked:
        if topic not in topics and not _said_lately(topic, said, today):
            topics.append(topic)
    return topics[:MOST_AT_ONCE]


def _partners_country(event: CareEvent, standing: Standing) -> str:
    whom = str(event.facts.get("to") or event.facts.get("from") or "").lower()
    return str(standing.rules.get(f"{PARTNER}{whom}", {}).get("country", "")) if whom else ""


def _over_a_border(events: Iterable[CareEvent], standing: Standing, country: str) -> Iterator[str]:
    """The papers of a border, where plants go to or come from somebody who is known to live behind one."""
    for event in events:
        if event.what in ("given", "offered", "acquired") and is_border(country, _partners_country(event, standing)):
            yield from ("border", "cites")


def _at_home(events: Iterable[CareEvent], standing: Standing, country: str) -> bool:
    """Whether the plants of a note stay within the borders, so that no word in it brings their papers up."""
    given = [one for one in events if one.what in ("given", "offered", "acquired")]
    return bool(given) and all(is_border(country, _partners_country(one, standing)) is False for one in given)


def _said_lately(topic: str, said: Mapping[str, str], today: date) -> bool:
    base = topic.partition(FIRST_USE)[0]
    if base in ASKED_ONCE and topic in said:
        return True  # asked once for good
    same = [day for key, day in said.items() if key == topic]
    alike = [day for key, day in said.items() if key.partition(FIRST_USE)[0] == base]
    if any(day == today.isoformat() for day in alike):
        return True  # at most once a day for a topic
    return any(today - date.fromisoformat(day) < AGAIN_AFTER for day in same)


def _unsure_genera(events: Iterable[CareEvent], standing: Standing) -> Iterator[str]:
    """Genera that the table knows from memory only, when plants of them come in or are named: the grower is asked once."""
    for event in events:
        for ref in event.refs if event.what in ("named", "acquired") else ():
            thing = standing.things.get((ref.kind, ref.key))
            row = genus_row(thing.genus) if thing is not None and thing.genus else None
            if thing is not None and row is not None and row.unsure and not said_on(standing.rule_for(thing)):
                yield f"unsure{FIRST_USE}{thing.genus}"


def _toxic_near(events: Iterable[CareEvent], standing: Standing, text: str) -> Iterator[str]:
    """Genera that poison who eats them: when they come in, and whenever pets or children are spoken of beside them."""
    words = {word for one in re.findall(r"[a-z]+", text) for word in (one, one.removesuffix("s"))}
    spoken = {one for one in _TOXIC_GENERA if one in words}
    for event in events:
        things = (standing.things.get((ref.kind, ref.key)) for ref in event.refs)
        mine = {thing.genus.lower() for thing in things if thing is not None and thing.genus} & _TOXIC_GENERA
        spoken |= mine
        if event.what in ("named", "acquired"):
            yield from (f"toxic{FIRST_USE}{genus}" for genus in sorted(mine))
    if _NEAR.search(text):
        yield from (f"pets{FIRST_USE}{genus}" for genus in sorted(spoken))


def _of_words(text: str) -> Iterator[str]:
    yield from (topic for topic, pattern in _WORDS.items() if pattern.search(text))
    if _HEATER.search(text) and re.search(r"\b(heater|stove|lamp)\b", text):
        yield "heater"


def _topics(event: CareEvent, standing: Standing) -> Iterator[str]:
    if event.kind == "reminder" and event.what == "treated":
        yield from _of_product(str(event.facts.get("text", "")))
        return
    if event.kind == "climate":
        yield from _of_heat(event)
    if event.kind != "event":
        return
    product = str(event.facts.get("product", "")).lower()
    if event.what == "treated":
        yield from _of_treatment(event, product)
    elif event.what == "washed" and "minutes" not in event.facts:
        yield "timer"
    elif event.what == "heated" and _HEATER.search(product):
        yield "heater"
    elif event.what in ("mixed", "top_dressed"):
        yield "dust"
    else:
        yield from _of_plants(event, {thing.genus for ref in event.refs if (thing := standing.things.get((ref.kind, ref.key)))})


def _of_heat(event: CareEvent) -> Iterator[str]:
    highest = event.facts.get("max_c", event.facts.get("at_c", 0))
    if highest >= HEAT_WARN_C:
        yield "hot"
    elif highest > DRINK_ABOVE_C:
        yield "drink"


def _of_plants(event: CareEvent, genera: set[str]) -> Iterator[str]:
    if event.what in _CUTTING_ACTS:
        yield "sap" if genera & _SAP_GENERA else "knife"
    if event.what in _HANDLING_ACTS | _CUTTING_ACTS:
        if genera & _GLOCHID_GENERA:
            yield "glochids"
        elif genera & _BARBED_GENERA:
            yield "spines"


def _of_treatment(event: CareEvent, product: str) -> Iterator[str]:
    how = str(event.facts.get("how", ""))
    if how == "predators":
        yield "predators"
        return
    named = [topic for topic in _of_product(product) if not topic.startswith("pesticide")]
    if named:
        yield from named
    elif how == "dust":
        yield "sulphur"
    elif how in ("spray", "drench", "dip", ""):
        yield f"pesticide{FIRST_USE}{product}" if product else "pesticide"
    if product and how in ("spray", "drench", "dip") and not event.facts.get("dose"):
        yield f"record{FIRST_USE}{product}"


def _of_product(product: str) -> Iterator[str]:
    low = product.lower()
    named = [topic for topic, pattern in _PRODUCTS.items() if pattern.search(low)]
    if "homemade" in named and "soap" in named:
        named.remove("soap")
    yield from named
    if low and not named and re.search(r"spray|insecticide|pesticide|fungicide|miticide|acaricide", low):
        yield f"pesticide{FIRST_USE}{low}"
