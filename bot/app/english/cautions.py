"""Safety lines, one each, said before the first use of a treatment. They are no legal or medical advice."""

LINES = {
    "alcohol": "Alcohol burns: ventilate, no flame, heater or spark, gloves. Try one plant and shade it for 2 days.",
    "oil": "Oil: not below 10 or above 29 °C, not on dry resting plants, shade until dry. The label wins.",
    "soap": "Soap: only on plants full of water, out of the sun; it takes the bloom off blue skin. The label wins.",
    "pesticide": "Only products allowed where you live, at the label rate; gloves and eyes covered.",
    "homemade": "Home-made sprays can be against local rules and burn plants; a permitted product with a label is safer.",
    "sap": "Euphorbia sap burns eyes and skin: goggles, gloves, rinse the knife. In an eye: water at once, then a doctor.",
    "heater": "Gas or paraffin heater: fresh air, and never sleep beside it.",
    "border": "Across a border plants may need papers (plant health, CITES): check both countries' authorities first.",
    "predators": "Released predators may need a licence where you live: check first.",
}
