"""Genus rows: every one readable, found under its other names, mirrored in the south."""

from __future__ import annotations

import pytest

from bot.care.genera import genera, genus_row, genus_rows, months_at, names_of, source_of


def test_every_row_is_complete() -> None:
    rows = genera()
    assert len(rows) == 102
    assert {row.confidence for row in rows} == {"A", "B", "C"}
    for row in rows:
        assert -20 < row.floor_c < 20, row.genus
        assert row.root_type, row.genus
        assert row.restart_cue, row.genus
        assert row.sources["season"], row.genus
        assert row.rest_months_north <= set(range(1, 13)), row.genus


def test_other_names_work_both_ways() -> None:
    found = genus_row("notocactus")
    assert found
    assert found.genus == "Parodia"
    assert [row.genus for row in genus_rows("Weingartia")] == ["Rebutia", "Sulcorebutia"]
    assert "Trichocereus" in names_of("Echinopsis")
    assert "Echinopsis" in names_of("Trichocereus")
    assert genus_row("Lobivia ") == genus_row("LOBIVIA")
    assert genus_row("Petunia") is None


def test_remarks_in_the_table_are_no_names() -> None:
    for row in genera():
        for name in row.other_names:
            assert name.replace("x ", "").isalpha(), (row.genus, name)


@pytest.mark.parametrize(
    ("genus", "kind"),
    [
        ("Mammillaria", "summer"),
        ("Lithops", "leaf-exchanging"),
        ("Conophytum", "winter"),
        ("Haworthia", "opportunistic"),
        ("Melocactus", "tropical"),
        ("Adenium", "tropical"),
        ("Schlumbergera", "epiphyte"),
    ],
)
def test_growth_classes(genus: str, kind: str) -> None:
    row = genus_row(genus)
    assert row
    assert row.growth_class == kind


@pytest.mark.parametrize(
    ("genus", "form"), [("Lophophora", "tap"), ("Ariocarpus", "tap"), ("Pterocactus", "tuber"), ("Echinopsis", "fibrous")]
)
def test_root_forms(genus: str, form: str) -> None:
    row = genus_row(genus)
    assert row
    assert row.root_form == form


def test_months_move_half_a_year_in_the_south() -> None:
    assert months_at(frozenset({10, 11, 12, 1, 2, 3}), -34) == {4, 5, 6, 7, 8, 9}
    assert months_at(frozenset({6}), -34) == {12}
    assert months_at(frozenset({6}), 34) == {6}


def test_rows_from_memory_are_unsure() -> None:
    espostoa, ferocactus = genus_row("Espostoa"), genus_row("Ferocactus")
    assert espostoa
    assert ferocactus
    assert espostoa.unsure
    assert not ferocactus.unsure


def test_every_source_code_is_spelled_out() -> None:
    codes = {code for row in genera() for topic in row.sources.values() for code in topic}
    assert len(codes) > 40
    for code in codes:
        assert source_of(code) != code, code


def test_the_sign_of_restart_names_the_months_of_the_place() -> None:
    north = genus_row("Rebutia")
    assert north
    assert north.restart_cue_at(51).startswith("mid-March")
    south = north.restart_cue_at(-34)
    assert south.startswith("mid-September in a 5 C house; early September at 10 C")
    assert "mid-Nov" in south
    assert "March" not in south
