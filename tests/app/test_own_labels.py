"""Labels of a grower's own scheme: kept as they are written, and read in every note."""

from __future__ import annotations

import pytest

from tests.app.bench import Answer, Bench


def labels(said: Answer) -> list[str]:
    return [ref.key for one in said.events for ref in one.refs if ref.kind == "plant"]


@pytest.mark.parametrize(("words", "written", "given"), [
    ("K-17b is a lobivia", ["named"], ["K-17b"]),
    ("K-17b is a lobivia on bench 2", ["named", "moved"], ["K-17b", "K-17b"]),
    ("HB-1 to HB-3 are lobivias", ["named"], ["HB-1", "HB-2", "HB-3"]),
    ("12a is Mammillaria plumosa", ["named"], ["12a"]),
    ("bought K-18 from Anna, 5 eur", ["acquired"], ["K-18"]),
    ("got no 12b yesterday", ["acquired"], ["12b"]),
])  # fmt: skip
def test_a_plant_comes_into_the_record_under_its_label(bench: Bench, words: str, written: list[str], given: list[str]) -> None:
    said = bench.type(words)
    assert (said.written, labels(said)) == (written, given)


@pytest.mark.parametrize("words", ["bought 9s from Anna", "S1 is a lobivia sowing", "5l is a lot of water", "12 is a lobivia"])
def test_sizes_sowings_and_plain_numbers_are_none(bench: Bench, words: str) -> None:
    said = bench.type(words)
    assert not [one for one in labels(said) if not one.isdigit()]


def test_it_is_read_in_every_note_whatever_its_case(bench: Bench) -> None:
    bench.type("K-17b is a lobivia on bench 2")
    bench.type("HB-1 to HB-3 are lobivias")
    assert labels(bench.type("watered k-17b and hb-2")) == ["K-17b", "HB-2"]
    assert bench.type("K-17b has mites").written == ["spider_mite"]
    assert bench.type("moved K-17b to bench 3").events[0].facts["to"] == "bench 3"
    assert bench.type("card k-17b").text.startswith("K-17b (Lobivia): bench 3")
    assert bench.type("K-17b is an offset of HB-1").events[0].facts["parent"] == "plant:HB-1"
    assert bench.type("K-17b is Bob").written == ["plant"]
    assert labels(bench.type("fed bob")) == ["K-17b"]


def test_it_is_caught_twice(bench: Bench) -> None:
    bench.type("bought K-18 from Anna")
    said = bench.type("bought k-18 from Nika")
    assert (said.written, "K-18 is here already: nothing written." in said.text) == ([], True)
