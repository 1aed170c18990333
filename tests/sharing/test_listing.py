"""What a swap partner sees, and what never leaves the collection."""

from __future__ import annotations

import csv
import io
from dataclasses import fields
from datetime import date

import pytest

from bot.care.standing import Case, Standing, Thing
from bot.sharing.listing import Row, Shown, public_name, rows
from bot.sharing.page import HEADERS, as_csv, guarded, notice, page

DAY = date(2026, 5, 4)
MINUSCULA = [{"name": "Rebutia minuscula"}]
SECRETS = ("Halloway", "bench 7", "barn lot", "12.50", "Rio Seco", "R77")


def standing() -> Standing:
    made = Standing()
    made.things[("plant", "R77")] = Thing(
        "plant", "R77", names=[{"name": "Rebutia minuscula ex Rio Seco"}], came_from="Halloway", price=12.50, place="bench 7",
        lot="barn lot", pot={"cm": 7.0}, nickname="teacup",
    )  # fmt: skip
    made.things[("plant", "2")] = Thing(
        "plant", "2", names=[{"name": "Rebutia minuscula"}], pot={"cm": 7.0}, tally={"offered": 1}
    )
    made.things[("batch", "b")] = Thing(
        "batch", "b", count=4, names=[{"name": "Lobivia"}], tally={"kind": "offsets", "taken": 4, "rooted": 3}
    )
    made.things[("place", "bench 7")] = Thing("place", "bench 7")
    return made


def test_like_plants_are_one_line_and_the_rooted_are_told_from_the_others() -> None:
    assert rows(standing(), Shown()) == [
        Row("Lobivia", 3, None, "rooted", 0),
        Row("Lobivia", 1, None, "unrooted", 0),
        Row("Rebutia minuscula", 2, 7.0, "", 1),
    ]


def test_nothing_but_the_named_fields_leaves() -> None:
    assert [one.name for one in fields(Row)] == ["name", "count", "pot_cm", "rooted", "offered"]
    found = rows(standing(), Shown())
    for text in (page(found, DAY), as_csv(found)):
        assert "Rebutia minuscula" in text
        assert not [secret for secret in (*SECRETS, "teacup") if secret.lower() in text.lower()]


@pytest.mark.parametrize("state", [{"isolated_on": DAY}, {"settling": [{"on": "2026-05-01"}]}, {"hold": {"on": "2026-05-01"}}])
def test_what_stands_apart_is_left_out(state: dict[str, object]) -> None:
    made = standing()
    for name, value in state.items():
        setattr(made.things[("plant", "2")], name, value)
    assert Row("Rebutia minuscula", 1, 7.0, "", 0) in rows(made, Shown())


def test_a_plant_with_an_open_case_or_in_a_lot_that_stands_apart_is_left_out() -> None:
    made = standing()
    made.cases["c"] = Case("c", "spider_mite", (made.things[("plant", "2")].ref,), DAY, DAY)
    made.things[("lot", "barn lot")] = Thing("lot", "barn lot", isolated_on=DAY)
    assert [one.name for one in rows(made, Shown())] == ["Lobivia", "Lobivia"]


@pytest.mark.parametrize(
    ("shown", "names"),
    [
        (Shown(genera=("lobivia",)), {"Lobivia"}),
        (Shown(places=("bench 7",)), {"Rebutia minuscula"}),
        (Shown(lots=("barn lot",)), {"Rebutia minuscula"}),
        (Shown(labels=("2",)), {"Rebutia minuscula"}),
        (Shown(offsets=True), {"Lobivia"}),
        (Shown(offered=True), {"Rebutia minuscula"}),
        (Shown(genera=("lobivia",), places=("bench 7",)), set()),
    ],
)
def test_a_list_can_be_narrowed(shown: Shown, names: set[str]) -> None:
    assert {one.name for one in rows(standing(), Shown.from_json(shown.to_json()))} == names


@pytest.mark.parametrize(
    ("typed", "public"),
    [
        ("rebutia", "Rebutia"),
        ("Rebutia minuscula ex Rio Seco", "Rebutia minuscula"),
        ("rebutia minuscula rio seco province", "Rebutia minuscula"),
        ("Lobivia cf. ferox near the mine", "Lobivia cf. ferox"),
        ("Rebutia minuscula subsp. grandiflora 'Red King' from the pass", "Rebutia minuscula subsp. grandiflora 'Red King'"),
        ("Conophytum sp. 1234", "Conophytum sp."),
        ("the blue one from the ridge", "unnamed"),
        ("WR 123 Rio Seco", "unnamed"),
        ("", "unnamed"),
    ],
)  # fmt: skip
def test_a_name_goes_out_by_the_codes_without_what_stands_behind_it(typed: str, public: str) -> None:
    """Field numbers and localities are kept back by default (common practice, against poaching)."""
    assert public_name(typed) == public


def test_a_formula_in_a_name_stays_text() -> None:
    """OWASP, CSV injection: cells that begin with = + - @, tab or return."""
    assert [guarded(cell)[0] for cell in ("=1+1", "+1", "-1", "@A1", "\t=1", "\r=1")] == ["'"] * 6
    written = list(csv.reader(io.StringIO(as_csv([Row('=cmd("x"),1', 2, 7.0, "", 0)]))))
    assert written == [["name", "count", "pot_cm", "state", "offered"], ['\'=cmd("x"),1', "2", "7", "", ""]]


@pytest.mark.parametrize("typed", ["<script>alert(1)</script>", "{{ 7 * 7 }}", '"><img src=x onerror=alert(1)>', "{% raw %}"])
def test_markup_in_a_name_or_a_search_stays_text(typed: str) -> None:
    text = page([Row(typed, 1, None, "", 0)], DAY, typed)
    assert "<script" not in text
    assert "<img" not in text
    assert "49" not in text
    assert "onerror=alert(1)>" not in text


def test_search_and_sort_need_no_script() -> None:
    found = [Row("Rebutia minuscula", 2, 7.0, "", 0), Row("Lobivia ferox", 5, 9.0, "", 1), Row("Lobivia aurea", 1, None, "", 0)]
    assert "Rebutia" not in page(found, DAY, "lobivia")
    assert "Nothing here has that name" in page(found, DAY, "agave")
    by_count = page(found, DAY, "", "count")
    assert by_count.index("ferox") < by_count.index("minuscula") < by_count.index("aurea")
    assert page(found, DAY, "", "no such order") == page(found, DAY, "", "name")
    assert "<script" not in by_count
    assert "<form" not in page(found, DAY, form=False)


def test_the_page_asks_for_nothing_from_elsewhere() -> None:
    text = page(rows(standing(), Shown()), DAY)
    assert "http" not in text
    assert not [word for word in ("<script", "<img", "<link", "@import", "url(") if word in text]
    headers = dict(HEADERS)
    assert headers["Cache-Control"] == "no-store"
    assert headers["Content-Security-Policy"].startswith("default-src 'none'")
    assert "frame-ancestors 'none'" in headers["Content-Security-Policy"]


def test_a_notice_says_one_thing() -> None:
    assert "<table" not in notice("This list is no longer shared.")
