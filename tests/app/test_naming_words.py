"""Names in words: in full, by whom, before, in doubt, and under the genus that others use."""

from __future__ import annotations

import pytest

from tests.app.bench import Bench


@pytest.mark.parametrize("name", [
    "Haworthia emelyae var. comptoniana 'Moonlight'", "Conophytum cf. minimum SB 1234", "Gymnocalycium sp. STO 88",
    "x Gasteraloe beguinii", "Echeveria agavoides x E. colorata", "Schlumbergera x buckleyi", "Lobivia aff. ferox",
    "Lithops lesliei subsp. lesliei var. hornii C015", "Mammillaria plumosa s.l.",
    "Crassula ovata 'Gollum'", "Lobivia cv. Red Rim",
])  # fmt: skip
def test_a_name_in_full_is_kept_to_the_letter(bench: Bench, name: str) -> None:
    said = bench.type(f"12 is {name}")
    assert said.written == ["named"]
    assert said.events[0].facts["name"] == name
    assert bench.standing.things[("plant", "12")].taxon == name


@pytest.mark.parametrize("words", [
    "12 is Haworthia emelyae 'Moonlight' and needs a bigger pot", "12 is dry", "12 is in flower", "watered 12", "12 is a lobivia",
    "12 is an offset of 14", "12 is sold", "12 was Lobivia 'Gold' sold to Tom", "12: watered, mites", "12 is ok",
])  # fmt: skip
def test_other_words_are_no_name_in_full(bench: Bench, words: str) -> None:
    bench.type("14 is a rebutia")
    said = bench.type(words)
    named = [one.facts["name"] for one in said.events if one.what == "named"]
    assert all(name in ("Lobivia", "Haworthia emelyae") for name in named)


def test_opinions_are_kept_with_who_had_them(bench: Bench) -> None:
    bench.at("2026-05-04T10:15").type("15 is a lobivia")
    assert bench.later(days=8).type("Maeve says 15 is Lobivia ferox").events[0].facts["by"] == "Maeve"
    bench.later(days=8).type("15 is maybe Lobivia aurea 'Gold'")
    said = bench.type("what was 15 called before").text
    assert said.splitlines() == [
        "15 is Lobivia aurea 'Gold'?, 20 May.", "Before: Lobivia ferox, says Maeve, 12 May.", "Before: Lobivia, 4 May.",
    ]  # fmt: skip
    bench.type("undo")
    assert bench.type("names of 15").text.startswith("15 is Lobivia ferox, says Maeve")


def test_looks_like_another(bench: Bench) -> None:
    bench.type("15 is Lobivia ferox")
    bench.type("16 is an aloe")
    bench.type("20 is a rebutia")
    said = bench.type("20 looks like my 15")
    assert said.events[0].facts == {"name": "Lobivia ferox", "sure": False, "like": "15"}
    for words, told in (
        ("20 looks like 99", "don't know 99"),
        ("15 looks like 15", "the same plant"),
        ("99 looks like my 15", "don't know 99"),
    ):
        refused = bench.type(words)
        assert refused.written == []
        assert told in refused.text


def test_what_is_still_to_be_identified(bench: Bench) -> None:
    assert "Every plant has a name" in bench.type("what do i still have to identify").text
    bench.type("15 is Lobivia ferox")
    assert "Every plant has a name" in bench.type("what do i still have to identify").text
    bench.type("20 is a rebutia")
    bench.type("12 is Conophytum cf. minimum")
    bench.type("20 looks like my 15")
    bench.type("look at 20 again when it flowers")
    told = bench.type("which plants are unidentified").text
    assert "In doubt" in told
    assert "12" in told
    assert "20" in told
    assert "when it flowers: 20" in told


def test_a_genus_is_found_under_the_names_that_others_give_it(bench: Bench) -> None:
    """Lobivia, Echinopsis and Trichocereus are split and joined by authors (Korotkova et al. 2021, Willdenowia 51:251-271)."""
    bench.type("15 is Lobivia ferox")
    bench.type("16 is Echinopsis chamaecereus")
    told = bench.type("which lobivias do i have").text.splitlines()
    assert told[0] == "1 lobivia: 15 (Lobivia ferox)."
    assert "Also under Echinopsis" in told[1]
    assert bench.type("list my echinopsis").text.splitlines()[1].startswith("Also under Lobivia")
    assert bench.standing.things[("plant", "16")].taxon == "Echinopsis chamaecereus"
    assert "No aloes under that name" in bench.type("which aloes do i have").text


def test_a_doubted_genus_counts_for_nothing(bench: Bench) -> None:
    bench.type("12 is cf. Lobivia ferox")
    assert "No lobivias" in bench.type("which lobivias do i have").text


def test_a_sowing_is_not_counted_among_the_plants(bench: Bench) -> None:
    bench.type("15 is Lobivia ferox")
    bench.type("sown 50 lobivia seeds as S1")
    assert bench.type("which lobivias do i have").text == "1 lobivia: 15 (Lobivia ferox)."
