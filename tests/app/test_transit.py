"""What is on the way: ordered and not here, posted and not there."""

from __future__ import annotations

import pytest

from bot.app.intake import rebuild
from tests.app.bench import Bench


def here(bench: Bench) -> None:
    for words in ("12 is a lobivia", "14 is a rebutia", "15 is a lithops", "moved 12, 14 and 15 to bench 1"):
        bench.type(words)


def as_rebuilt(bench: Bench) -> None:
    before = bench.standing.rows()
    rebuild(bench.database, bench.now)
    assert bench.standing.rows() == before


def way(bench: Bench) -> list[str]:
    return bench.type("what is on the way").text.splitlines()


NOTHING = ["Nothing is on the way, in or out."]


# --- orders ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "line"),
    [
        ("ordered 6 lobivia from Anna", "1. 6 lobivias from Anna, ordered 15 Apr."),
        ("i have ordered some lithops from Irma", "1. Some lithops from Irma, ordered 15 Apr."),
        ("6 lobivia ordered from Anna", "1. 6 lobivias from Anna, ordered 15 Apr."),
        ("ordered 3 lithops and 2 conos from Hofer for 30 eur", "1. 3 lithops and 2 conophytums from Hofer, ordered 15 Apr."),
        ("ordered a lobivia from Anna on 3 april", "1. 1 lobivia from Anna, ordered 3 Apr."),
        ("ordered 2 lobivia", "1. 2 lobivias, ordered 15 Apr."),
    ],
)
def test_an_order_is_kept_and_taken_back(bench: Bench, words: str, line: str) -> None:
    said = bench.type(words)
    assert said.written == ["placed"]
    assert way(bench) == [line]
    assert bench.standing.things == {}
    assert bench.dues == ()
    as_rebuilt(bench)
    bench.type("undo")
    assert way(bench) == NOTHING


def test_an_order_on_its_way_comes_in_part_and_then_the_rest(bench: Bench) -> None:
    bench.type("ordered 6 lobivia from Anna")
    bench.later(days=2)
    assert bench.type("the order from Anna is on its way").text.startswith("On the way: 6 lobivias from Anna.")
    assert way(bench) == ["1. 6 lobivias from Anna, on the way since 17 Apr."]
    bench.later(days=2)
    came = bench.type("the parcel from Anna came, 5 of 6")
    assert came.written == ["acquired"]
    assert came.text.splitlines()[:2] == [
        "In: 5 of 6 ordered lobivias from Anna (the anna lot, 2026.0001).",
        "Still to come: 1 lobivia from Anna. If not: drop the rest of the order from Anna",
    ]
    assert "Sent by post" not in came.text
    assert way(bench) == ["1. 1 lobivia from Anna, on the way since 17 Apr."]
    bench.type("the rest of the order from Anna came")
    assert way(bench) == NOTHING
    bench.type("undo")
    assert way(bench) == ["1. 1 lobivia from Anna, on the way since 17 Apr."]
    as_rebuilt(bench)
    assert bench.type("drop the rest of the order from Anna").text == "Off the list: 1 lobivia from Anna."
    assert way(bench) == NOTHING


@pytest.mark.parametrize(
    ("words", "count", "left"),
    [
        ("the order from Anna came", 6, None),
        ("Anna's order has arrived", 6, None),
        ("my order came", 6, None),
        ("order 1 came", 6, None),
        ("the anna order came", 6, None),
        ("got the parcel from Anna, 5 of 6", 5, "1 lobivia"),
        ("the parcel from Anna came, all there", 6, None),
        ("the parcel from Anna came, 6 of 6", 6, None),
        ("the parcel from Anna came, only 4", 4, "2 lobivias"),
        ("the parcel from Anna arrived today, 2 missing", 4, "2 lobivias"),
        ("5 of the 6 lobivias from Anna came", 5, "1 lobivia"),
        ("three of the 6 lobivias came", 3, "3 lobivias"),
        ("got 6 lobivia from Anna", 6, None),
        ("got 4 lobivia from Anna", 4, "2 lobivias"),
        ("6 ordered from Anna, 5 came", 5, "1 lobivia"),
    ],
)
def test_what_came_is_taken_off_the_order_however_it_is_told(bench: Bench, words: str, count: int, left: str | None) -> None:
    bench.type("ordered 6 lobivia from Anna")
    bench.later(days=4)
    came = bench.type(words)
    assert came.written == ["acquired"]
    assert came.events[0].refs[0].count == count
    assert way(bench) == (NOTHING if left is None else [f"1. {left} from Anna, ordered 15 Apr."])
    bench.type("undo")
    assert way(bench) == ["1. 6 lobivias from Anna, ordered 15 Apr."]


def test_another_plant_or_person_leaves_the_order_open(bench: Bench) -> None:
    bench.type("ordered 6 lobivia from Anna")
    bench.type("got 6 lithops from Anna")
    bench.type("got 6 lobivia from Irma")
    assert way(bench) == ["1. 6 lobivias from Anna, ordered 15 Apr."]


def test_several_orders_are_told_apart(bench: Bench) -> None:
    bench.type("ordered 6 lobivia from Anna")
    bench.type("ordered 2 aloe from Anna")
    asked = bench.type("the order from Anna came")
    assert asked.written == []
    assert asked.text.splitlines() == [
        "1. 6 lobivias from Anna, ordered 15 Apr.",
        "2. 2 aloes from Anna, ordered 15 Apr.",
        "Which one? Such as: order 1 came",
    ]
    assert bench.type("order 2 came").written == ["acquired"]
    assert way(bench) == ["1. 6 lobivias from Anna, ordered 15 Apr."]


def test_a_number_that_fits_several_orders_asks_which(bench: Bench) -> None:
    bench.type("ordered 6 lobivia from Anna")
    bench.type("ordered 6 aloe from Lea")
    asked = bench.type("5 of 6 came")
    assert (asked.written, asked.text.splitlines()[-1]) == ([], "Which one? Such as: order 1 came, 5")
    assert bench.type("order 1 came, 5").events[0].refs[0].count == 5


def test_ordered_and_sent_in_one_line(bench: Bench) -> None:
    assert bench.type("ordered 2 lobivia from Mo, on its way").written == ["placed", "sent"]
    assert way(bench) == ["1. 2 lobivias from Mo, on the way since 15 Apr."]


def test_several_names_in_one_order(bench: Bench) -> None:
    bench.type("ordered 3 lithops and 2 conos from Hofer for 30 eur")
    asked = bench.type("the order from Hofer came, 4 of 5")
    assert asked.written == []
    assert asked.text.startswith("Which came of 3 lithops and 2 conophytums from Hofer?")
    bench.type("2 of the 3 lithops came")
    assert way(bench) == ["1. 1 lithops and 2 conophytums from Hofer, ordered 15 Apr."]
    came = bench.type("the order from Hofer came")
    assert came.written == ["acquired", "acquired"]
    prices = [one.facts.get("price") for one in came.events]
    assert prices == [None, None]  # the price of the whole came in with the first of it
    assert way(bench) == NOTHING


def test_a_parcel_of_which_nobody_said_what_is_in_it(bench: Bench) -> None:
    assert bench.type("the parcel from Zora is on its way").written == ["placed", "sent"]
    assert way(bench) == ["1. A parcel from Zora, on the way since 15 Apr."]
    asked = bench.type("the parcel from Zora came")
    assert (asked.written, asked.text[:18]) == ([], "What was in it? Su")
    bench.type("got 2 mamms from Zora")
    assert way(bench) == NOTHING


def test_plants_said_to_be_on_the_way_are_an_order_that_was_sent(bench: Bench) -> None:
    assert bench.type("4 lobivias from Lea are in the post").written == ["placed", "sent"]
    assert way(bench) == ["1. 4 lobivias from Lea, on the way since 15 Apr."]
    bench.type("undo")
    bench.type("ordered 4 lobivia from Lea")
    assert bench.type("the 4 lobivias are on the way from Lea").written == ["sent"]


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        ("the parcel from Anna came, 7 of 6", "7 of 6 ordered? Nothing written."),
        ("the parcel from Anna came, 0 of 6", "None came, so nothing is written."),
        ("the parcel from Anna came, none of 6", "None came, so nothing is written."),
        ("the parcel from Anna came, 9 missing", "None came, so nothing is written."),
        ("the parcel from Anna came, 3 of 7", "The order holds 6 lobivias from Anna, not 7. Nothing written."),
        ("7 of the 6 lobivias came", "7 of 6 ordered? Nothing written."),
        ("the order from Pavel came", "Nothing is on order from Pavel. What came?"),
        ("order 9 came", "Nothing is on order. What came?"),
        ("cancel the order from Pavel", "Nothing is on order from Pavel."),
        ("cancel order 9", "That one I do not know; there is 1 on the list"),
        ("cancel order 0", "That one I do not know; there is 1 on the list"),
        ("ordered 0 lobivia from Anna", "None ordered, so nothing is written."),
        ("ordered -3 lobivia from Anna", "Fewer than none cannot come"),
        ("what is on order from Pavel", "Nothing is on the way from or to Pavel."),
    ],
)
def test_what_cannot_be_writes_nothing(bench: Bench, words: str, answer: str) -> None:
    bench.type("ordered 6 lobivia from Anna")
    said = bench.type(words)
    assert said.written == []
    assert said.text.startswith(answer)
    assert way(bench) == ["1. 6 lobivias from Anna, ordered 15 Apr."]


def test_an_order_without_a_number_asks_for_it(bench: Bench) -> None:
    bench.type("ordered some lithops from Irma")
    asked = bench.type("the order from Irma came")
    assert (asked.written, asked.text[:9]) == ([], "How many ")
    assert bench.type("the order from Irma came, 4").events[0].refs[0].count == 4
    assert way(bench) == NOTHING


@pytest.mark.parametrize(
    "words", ["Anna cancelled the order", "the order from Anna never came", "drop order 1", "my order fell through"]
)
def test_an_order_that_does_not_come(bench: Bench, words: str) -> None:
    bench.type("ordered 6 lobivia from Anna")
    assert bench.type(words).written == ["dropped"]
    assert way(bench) == NOTHING
    bench.type("undo")
    assert way(bench) == ["1. 6 lobivias from Anna, ordered 15 Apr."]


@pytest.mark.parametrize("words", ["ordered 20 pots", "ordered a book about cacti", "ordered 6 lobivia from Anna, watered 12"])
def test_what_is_no_order_of_plants_is_left_to_the_reader(bench: Bench, words: str) -> None:
    here(bench)
    assert "placed" not in bench.type(words).written


# --- posted ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "words", ["12 and 14 are in the post to Anna", "12 & 14 are on their way to Anna", "posted 12 and 14 to Anna"]
)
def test_posted_plants_are_on_the_way_and_want_no_water(bench: Bench, words: str) -> None:
    here(bench)
    bench.type("watered bench 1")
    bench.later(days=1)
    sent = bench.type(words)
    assert sent.written == ["given"]
    assert sent.events[0].facts == {"to": "anna", "posted": True}
    assert way(bench) == ["12 and 14 to Anna, posted today."]
    assert not [one for one in bench.dues if one.kind == "dry_look" and {"12", "14"} & {ref.key for ref in one.refs}]
    assert bench.type("where is 12").text == "12 (Lobivia): given, last on bench 1."
    as_rebuilt(bench)
    bench.type("undo")
    assert way(bench) == NOTHING
    assert bench.standing.plant("12").alive  # type: ignore[union-attr]


def test_each_plant_arrives_by_itself(bench: Bench) -> None:
    here(bench)
    bench.type("12 and 14 are in the post to Anna")
    bench.later(days=2)
    assert bench.type("12 arrived at Anna's").text == "Arrived at Anna: 12 (Lobivia), gone Wed 15 Apr."
    assert way(bench) == ["14 (Rebutia) to Anna, posted Wed 15 Apr."]
    assert [ref.key for one in bench.dues if one.about == "given" for ref in one.refs] == ["14"]
    bench.type("undo")
    assert way(bench) == ["12 and 14 to Anna, posted Wed 15 Apr."]
    assert bench.type("14 never arrived at Anna's").text == "Lost on the way to Anna: 14 (Rebutia), gone Wed 15 Apr."
    assert "1 lost on the way" in bench.type("balance with Anna").text
    bench.type("Anna got 12")
    assert way(bench) == NOTHING
    as_rebuilt(bench)


@pytest.mark.parametrize(
    "words", ["the parcel to Anna arrived", "Anna's parcel has arrived safely", "12 and 14 arrived", "done 1"]
)
def test_all_words_by_which_a_parcel_arrives_end_its_way(bench: Bench, words: str) -> None:
    here(bench)
    bench.type("12 and 14 are in the post to Anna")
    bench.later(days=15)
    bench.type("whats due")
    bench.type(words)
    assert way(bench) == NOTHING


@pytest.mark.parametrize("words", ["they arrived", "it arrived safely", "all arrived at Anna's", "Anna got them"])
def test_they_arrived_is_what_was_posted(bench: Bench, words: str) -> None:
    here(bench)
    bench.type("12 and 14 are in the post to Anna")
    assert bench.type(words).written == ["came", "done", "done"]
    assert way(bench) == NOTHING


def test_they_arrived_asks_where_it_may_be_several(bench: Bench) -> None:
    here(bench)
    bench.type("posted 12 to Anna")
    bench.type("posted 14 to Lea")
    asked = bench.type("they arrived")
    assert (asked.written, asked.text[:34]) == ([], "Whose? Things went to Anna and Lea")
    bench.type("Lea got them")
    bench.type("ordered 6 lobivia from Mo")
    asked = bench.type("they arrived")
    assert (asked.written, asked.text[:10]) == ([], "Which one?")


def test_a_part_of_a_lot_in_the_post(bench: Bench) -> None:
    bench.type("5 ordered from Irma, 5 came")
    sent = bench.type("2 of the irma lot are in the post to Lea")
    assert [(one.kind, one.key, one.count) for one in sent.events[0].refs] == [("lot", "irma", 2)]
    assert way(bench) == ["2 of the irma lot to Lea, posted today."]
    bench.type("one of the irma lot is in the post to Lea")
    assert len(way(bench)) == 2
    assert bench.type("9 of the irma lot are in the post to Lea").written == []
    bench.type("2 of the irma lot arrived at Lea's")
    assert way(bench) == ["1 of the irma lot to Lea, posted today."]


def test_what_was_given_by_hand_is_not_on_the_way(bench: Bench) -> None:
    here(bench)
    bench.type("gave 12 to Rosa")
    assert way(bench) == NOTHING


def test_what_came_back_is_not_on_the_way(bench: Bench) -> None:
    here(bench)
    bench.type("posted 12 to Anna")
    bench.type("12 is still here")
    assert way(bench) == NOTHING


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        ("12 is in the post", "To whom? Such as: 12 is in the post to Anna. Nothing written yet."),
        ("14 has been posted to Anna", "14 (Rebutia) to Anna, posted today by your notes. Nothing new written."),
        ("14 is in the post to Lea", "14 (Rebutia) to Anna, posted today by your notes. Nothing new written."),
        ("12 arrived at Anna's", "12 (Lobivia) never left by your notes. Nothing written."),
        ("12 arrived", "12 (Lobivia) never left by your notes. Nothing written. New ones came? Say: got 12 plants"),
    ],
)
def test_what_speaks_against_it_is_told(bench: Bench, words: str, answer: str) -> None:
    here(bench)
    bench.type("posted 14 to Anna")
    said = bench.type(words)
    assert (said.written, said.text) == ([], answer)


def test_a_parcel_from_or_to_somebody(bench: Bench) -> None:
    here(bench)
    bench.type("ordered 6 lobivia from Anna")
    bench.type("posted 12 to Anna")
    asked = bench.type("Anna's parcel arrived")
    assert asked.written == []
    assert asked.text.startswith("Which one? Say: the parcel from Anna came, or: the parcel to Anna arrived.")
    assert bench.type("the parcel from Anna came").written == ["acquired"]
    assert bench.type("the parcel to Anna arrived").written == ["came", "done"]
    assert way(bench) == NOTHING


@pytest.mark.parametrize(
    ("words", "written"),
    [
        ("12 is fine", ["healthy"]),
        ("12 is with mites", ["spider_mite"]),
        ("we got 3 mamms from Lea", ["acquired"]),
        ("3 mamms from Lea came", ["acquired"]),
        ("12 came back to life", []),
        ("12 is on its way out", []),
    ],
)
def test_what_only_sounds_alike_is_read_as_ever(bench: Bench, words: str, written: list[str]) -> None:
    here(bench)
    assert bench.type(words).written == written


# --- the day on which an order should come -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "line"),
    [
        ("ordered 6 lobivias from Anna, due 3 May", "1. 6 lobivias from Anna, ordered 15 Apr, due 3 May."),
        ("i ordered 6 lobivias from Anna, they should come on 3 May", "1. 6 lobivias from Anna, ordered 15 Apr, due 3 May."),
        ("ordered 2 aloes expected friday", "1. 2 aloes, ordered 15 Apr, due 17 Apr."),
        ("ordered a lobivia from Anna on 3 april, arriving in 2 weeks", "1. 1 lobivia from Anna, ordered 3 Apr, due 29 Apr."),
    ],
)
def test_an_order_may_have_its_day(bench: Bench, words: str, line: str) -> None:
    assert bench.type(words).written == ["placed"]
    assert way(bench) == [line]
    as_rebuilt(bench)


@pytest.mark.parametrize(
    "words", ["ordered 5 aloes due 3 May 2020", "ordered 5 aloes due yesterday", "the order from Tom is due 3 May"]
)
def test_a_day_that_is_over_or_an_order_that_is_not_there_writes_no_day(bench: Bench, words: str) -> None:
    said = bench.type(words)
    assert all("due" not in one.facts for one in said.events)
    assert not bench.standing.reminders


def test_an_order_is_late_on_the_day_after_until_it_is_here(bench: Bench) -> None:
    bench.type("ordered 6 lobivias from Anna, due 3 May")
    asked = "has the order from Anna come? 6 lobivias, due 3 May"
    assert asked not in bench.at("2026-05-03T10:00").type("whats due").text.splitlines()[0].removeprefix("1. ")[:40]
    [morning] = bench.at("2026-05-04T07:30").rounds()
    assert f"1. {asked}" in morning
    assert bench.at("2026-05-04T10:00").type("whats due").text == f"1. {asked}"
    assert way(bench) == ["1. 6 lobivias from Anna, ordered 15 Apr, due 3 May and late."]
    assert bench.type("got 4 lobivias from Anna").written == ["acquired", "expected"]
    assert "has the order from Anna come? 2 lobivias, due 3 May" in bench.type("whats due").text
    as_rebuilt(bench)
    assert bench.type("got 2 lobivias from Anna").written == ["acquired", "complete"]
    assert "has the order" not in bench.type("whats due").text
    assert way(bench) == NOTHING
    as_rebuilt(bench)
    bench.type("undo")
    assert "has the order from Anna come? 2 lobivias" in bench.type("whats due").text


@pytest.mark.parametrize("words", ["the order from Anna came", "cancel the order from Anna", "the order from Anna never came"])
def test_no_order_is_late_that_came_or_is_off_the_list(bench: Bench, words: str) -> None:
    bench.type("ordered 6 lobivias from Anna, due 3 May")
    bench.at("2026-05-06T10:00").type(words)
    assert not bench.standing.reminders
    assert "has the order" not in bench.type("whats due").text


def test_the_day_of_an_order_may_be_told_later_and_put_off(bench: Bench) -> None:
    bench.type("ordered 6 lobivias from Anna")
    assert bench.type("the order from Anna is due 3 May").text == "On order: 6 lobivias from Anna, due 3 May."
    bench.at("2026-05-05T10:00").type("Anna's parcel should come next week")
    assert "has the order" not in bench.type("whats due").text.splitlines()[0].split("Next:")[0]
    assert way(bench) == ["1. 6 lobivias from Anna, ordered 15 Apr, due 11 May."]
    bench.type("undo")
    assert bench.type("whats due").text.startswith("1. has the order from Anna come?")


@pytest.mark.parametrize(
    ("asked", "answer"),
    [
        ("when does the order from Anna come", "6 lobivias from Anna: due Sun 3 May, in 18 days; ordered 15 Apr."),
        ("when is Anna's parcel due?", "6 lobivias from Anna: due Sun 3 May, in 18 days; ordered 15 Apr."),
        ("when do i get the order from Tom", "1 rebutia from Tom: no day noted, on the way since 15 Apr."),
        ("is the order from Anna late?", "6 lobivias from Anna: due Sun 3 May, in 18 days; ordered 15 Apr."),
        ("when does the order from Zoe come", "Nothing is on order from Zoe."),
    ],
)
def test_when_an_order_comes_is_answered(bench: Bench, asked: str, answer: str) -> None:
    bench.type("ordered 6 lobivias from Anna, due 3 May")
    bench.type("ordered a rebutia from Tom, it is on its way")
    said = bench.type(asked)
    assert said.text.splitlines()[0] == answer
    assert said.events == ()


def test_a_late_order_is_told_with_how_many_days(bench: Bench) -> None:
    bench.type("ordered 6 lobivias from Anna, due 3 May")
    said = bench.at("2026-05-06T10:00").type("when does the order from Anna come").text
    assert said == "6 lobivias from Anna: due Sun 3 May, 3 days late; ordered 15 Apr."


def test_what_may_be_asked_of_plants_is_left_to_the_reader(bench: Bench) -> None:
    here(bench)
    bench.type("ordered 6 lobivias from Anna, due 3 May")
    for words in ("when are the plants dry", "is 12 late", "when does 14 flower"):
        assert "lobivias from Anna" not in bench.type(words).text
