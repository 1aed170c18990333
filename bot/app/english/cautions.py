"""Safety lines, one each, said before the first use of a treatment. They are no legal or medical advice."""

LINES = {
    "alcohol": "Alcohol burns: ventilate, no flame, heater or spark, gloves. Try one plant and shade it for 2 days.",
    "oil": "Oil: not below 10 or above 29 °C, not on dry resting plants, shade until dry. The label wins.",
    "soap": "Soap: only on plants full of water, out of the sun; it takes the bloom off blue skin. The label wins.",
    "sulphur": "Dusts: mask, do not breathe them, sweep up wet. No oil for 2 to 4 weeks after sulphur.",
    "systemic": "Systemic: gloves, long sleeves, not near food, flowers away from bees. Label and local rules decide.",
    "pesticide": "Only products allowed where you live, at the label rate; gloves and eyes covered.",
    "homemade": "Home-made sprays can be against local rules and burn plants; a permitted product with a label is safer.",
    "bait": "Pellets, baits and traps: out of reach of pets, children and birds.",
    "sap": "Euphorbia sap burns eyes and skin: goggles, gloves, rinse the knife. In an eye: water at once, then a doctor.",
    "knife": "Cut away from you, and clean the blade between plants.",
    "dust": "Dry mix and grit: dampen them, wear a mask; ventilate, and wash your hands after.",
    "timer": "In the bath 10 to 15 minutes. For a timer say “take them out in 15 min”.",
    "spines": "Big spines: gloves, tongs, eyes covered. A spine in an eye or a joint is for the doctor.",
    "glochids": "Glochids: do not rub or wet them; tweezers, then a dried film of white glue.",
    "puncture": "Wash it, think of tetanus. In a joint, or a lump that does not heal: a doctor, and say “cactus”.",
    "ill": "I can't advise on illness: emergency number, poison line or vet, with the plant's name. In an eye: water at once.",
    "heater": "Gas or paraffin heater: fresh air, and never sleep beside it.",
    "electric": "Electric heat: a safety switch (RCD or GFCI), splash-proof, off before you hose.",
    "hot": "From 38 °C under glass: air and shade at once, look for scorch in 3 days; and drink.",
    "border": "Across a border plants usually need papers (plant health), gifts and seed too: ask both countries first.",
    "cites": "CITES: nearly all cacti, succulent Euphorbia, most Aloe, Pachypodium; seed in part. See its current list.",
    "post": "Sent by post: dry, bare-root, labelled, frost-free weeks. In the EU it may need a plant passport: check first.",
    "wild": "Wild-collected: keep the papers with it; I leave it off what others see.",
    "orange_mites": "Orange mites may be a predator (Phytoseiulus) or resting spider mites: look twice before you treat.",
    "legionella": "Damp mix, hoses and butts can carry Legionella: ventilate, wash your hands, drain hoses, clean butts.",
    "lifting": "Glass, ladders, heavy pots: gloves, two hands, someone by the ladder.",
    "drink": "Above 30 °C: drink, and do the heavy work early or late.",
    "shared_place": "Keep exact wild places to yourself: poachers read lists too. A district is enough.",
    "shared_list": "Before others see a list: no prices, partners, addresses, positions or wild places; nothing in quarantine.",
    "predators": "Released predators may need a licence where you live: check first.",
}


UNSURE = (
    "What I have on {genus} is from memory only. When do they rest? "
    "Say “{plural} are winter growers” or “{plural} rest till april”."
)


TOXIC = "{genus} is toxic if eaten: out of reach of pets and children. If eaten: vet or poison line, with the plant's name."
RECORD = (
    "I keep {product} with its date and place; note its rate and batch once: “{product} is batch 4711”. "
    "“Label says max 2 ml/l for {product}” and I refuse a dose above it."
)
_ABOUT = {"toxic": TOXIC, "pets": TOXIC, "record": RECORD, "unsure": UNSURE}


def line(topic: str) -> str:
    """Return the line of a topic, which may hold a product or a genus after a bar."""
    base, _, about = topic.partition("|")
    if base not in _ABOUT:
        return LINES[base]
    plural = about if about.endswith("s") else f"{about}s"
    return _ABOUT[base].format(genus=about.capitalize(), plural=plural, product=about)
