"""The sentence that stands for the product, "soaked four, mites found", in all the ways in which the four may be known."""

from __future__ import annotations

from typing import Any

import pytest

from bot.care.events import CareEvent, Ref, effective
from bot.store import notes
from tests.app.bench import Answer, Bench, act, day, fixed, labels, plant, seen

FOUR = labels("12", "13", "14", "15")
THE_FOUR = tuple(plant(label) for label in ("12", "13", "14", "15"))
SOAKED = act("watered", {"count": 4}, how="soak")
MITES = seen("spider_mite")


def _soaked_four(bench: Bench) -> Answer:
    return bench.note(SOAKED, MITES, decision="log_ask", ask="which", text="soaked four, mites found")


def _four_lobivias_and_more(bench: Bench) -> None:
    bench.note(act("named", FOUR, name="lobivia"), act("moved", FOUR, to="bench 2"))
    bench.note(act("named", labels("20", "21"), name="rebutia"), act("moved", labels("20", "21"), to="tray 3"))
    bench.later(minutes=45)


def _counted(bench: Bench, *whats: str) -> list[CareEvent]:
    return [one for one in effective(bench.log) if one.what in whats]


def _has_open_question(bench: Bench) -> bool:
    with bench.database.read() as conn:
        return notes.open_question(conn, 1) is not None


# --- the four are known -----------------------------------------------------------------------------------------------


def test_the_four_spoken_of_just_before_are_the_four(bench: Bench) -> None:
    _four_lobivias_and_more(bench)
    bench.note(act("inspected", FOUR))
    answer = bench.later(minutes=2).note(SOAKED, MITES, decision="log_ask", ask="which")
    assert answer.written == ["watered", "spider_mite"]
    assert [one.refs for one in answer.events] == [THE_FOUR, THE_FOUR]
    assert "Which" not in answer.text
    assert not _has_open_question(bench)
    assert bench.kinds() >= {"dry_look", "pest_look"}


def test_four_named_in_the_note_itself(bench: Bench) -> None:
    answer = bench.note(act("watered", FOUR, how="soak"), MITES)
    assert [one.refs for one in answer.events] == [THE_FOUR, THE_FOUR]
    assert "Which" not in answer.text
    assert "Set them apart" in answer.text


def test_the_answer_says_when_to_look_again_and_why(warm_bench: Bench) -> None:
    answer = warm_bench.note(act("watered", FOUR, how="soak"), MITES)
    look = warm_bench.due("pest_look")
    assert look.why["quantity"] == "degree-days"
    assert look.why["since"] == "2026-04-15"
    assert look.on > day("2026-04-15")
    assert "degree-days above" in answer.text
    assert "Drying-off check" in answer.text


# --- nobody can tell which --------------------------------------------------------------------------------------------


def test_four_that_nobody_named_are_written_at_once_and_asked_about(bench: Bench) -> None:
    _four_lobivias_and_more(bench)
    answer = _soaked_four(bench)
    assert answer.written == ["watered", "spider_mite"]
    (soaked,) = answer.events[0].refs
    assert (soaked.kind, soaked.count) == ("some", 4)
    assert answer.events[1].refs == answer.events[0].refs, "the mites are on those that were soaked"
    assert answer.text.count("?") == 1
    assert "Which four?" in answer.text
    assert bench.kinds() >= {"dry_look", "pest_look"}


def test_the_choices_offered_are_sets_that_can_hold_four(bench: Bench) -> None:
    _four_lobivias_and_more(bench)
    words = [one.words for one in _soaked_four(bench).buttons]
    assert words[0] in ("the lobivias", "bench 2")
    assert "the rebutias" not in words, "there are two of them"
    assert words[-1] == "undo"
    assert len(words) <= 5


def test_the_question_may_be_ignored(bench: Bench) -> None:
    _four_lobivias_and_more(bench)
    _soaked_four(bench)
    assert _has_open_question(bench)
    assert bench.later(minutes=5).note(act("fed", labels("20"))).written == ["fed"]
    assert _counted(bench, "watered")[0].refs[0].kind == "some"
    assert bench.later(days=1).note(act("watered", labels("21"))).events[0].refs == (plant("21"),)


@pytest.mark.parametrize(
    ("which", "meant"),
    [
        ({"taxa": ["lobivia"], "count": 4}, THE_FOUR),
        (labels("12", "14", "15", "20"), tuple(plant(one) for one in ("12", "14", "15", "20"))),
        ({"taxa": ["lobivia"]}, THE_FOUR),
    ],
    ids=["the lobivias", "12 14 15 and 20", "a genus without the count"],
)
def test_answered_in_words_it_is_written_anew(bench: Bench, which: dict[str, Any], meant: tuple[Ref, ...]) -> None:
    _four_lobivias_and_more(bench)
    _soaked_four(bench)
    answer = bench.later(minutes=3).note(act("watered", which, how="soak"), MITES, decision="log", answers=True)
    assert answer.written == ["withdrawn", "watered", "spider_mite"]
    assert [one.refs for one in _counted(bench, "watered", "spider_mite")] == [meant, meant]
    assert not [one for one in bench.standing.things if one[0] == "some"]
    assert not _has_open_question(bench)
    assert "Which" not in answer.text


def test_an_answer_of_the_next_day_counts_for_the_day_of_the_note(bench: Bench) -> None:
    _four_lobivias_and_more(bench)
    _soaked_four(bench)
    bench.later(days=1).note(act("watered", FOUR, how="soak"), MITES, answers=True)
    assert {one.happened_on for one in _counted(bench, "watered", "spider_mite")} == {day("2026-04-15")}
    assert {one.why["since"] for one in bench.dues if one.kind in ("dry_look", "pest_look")} == {"2026-04-15"}


def test_undo_after_the_answer_takes_back_the_note_with_its_answer(bench: Bench) -> None:
    _four_lobivias_and_more(bench)
    before = {key: row for key, row in bench.standing.rows().items() if key != ("fold", "")}
    _soaked_four(bench)
    bench.note(act("watered", FOUR, how="soak"), MITES, answers=True)
    bench.note(fixed("undo"), decision="fix")
    assert {key: row for key, row in bench.standing.rows().items() if key != ("fold", "")} == before


# --- it may have been the wash ----------------------------------------------------------------------------------------


def _apart(bench: Bench, what: str) -> None:
    _four_lobivias_and_more(bench)
    bench.note(act(what, FOUR))
    bench.later(minutes=2)


@pytest.mark.parametrize("what", ["isolated", "unpotted", "set_to_dry", "rest_started"])
def test_of_plants_apart_or_bare_or_at_rest_the_soak_waits_for_the_answer(bench: Bench, what: str) -> None:
    _apart(bench, what)
    answer = bench.note(SOAKED, MITES, decision="log_ask", ask="which")
    assert answer.written == ["spider_mite"], "the mites are certain, the soak is not"
    assert answer.events[0].refs == THE_FOUR
    assert "Watered, or in the wash?" in answer.text
    assert [one.words for one in answer.buttons][:2] == ["watered", "in the wash"]
    assert _counted(bench, "watered", "washed") == []
    assert all(bench.thing("plant", one).soaked_on is None for one in ("12", "13", "14", "15"))
    assert "dry_look" not in bench.kinds()


@pytest.mark.parametrize(("said", "due"), [("watered", "dry_look"), ("washed", "pot_up")])
def test_the_answer_decides_what_follows(bench: Bench, said: str, due: str) -> None:
    _apart(bench, "isolated")
    bench.note(SOAKED, MITES, decision="log_ask", ask="which")
    details = {"how": "soak"} if said == "watered" else {}
    bench.later(minutes=4).note(act(said, {"count": 4}, **details), MITES, decision="log_ask", ask="which", answers=True)
    assert [(one.what, one.refs) for one in _counted(bench, "watered", "washed", "spider_mite")] == [
        (said, THE_FOUR),
        ("spider_mite", THE_FOUR),
    ]
    assert due in bench.kinds()
    assert not _has_open_question(bench)


def test_asked_after_the_talk_has_lapsed_it_still_means_the_same_four(bench: Bench) -> None:
    _apart(bench, "isolated")
    bench.note(SOAKED, MITES, decision="log_ask", ask="which")
    bench.later(hours=9).note(act("washed", {"count": 4}), MITES, decision="log_ask", ask="which", answers=True)
    assert [one.refs for one in _counted(bench, "washed", "spider_mite")] == [THE_FOUR, THE_FOUR]


def test_ignored_the_soak_stays_unwritten(bench: Bench) -> None:
    _apart(bench, "isolated")
    bench.note(SOAKED, MITES, decision="log_ask", ask="which")
    bench.later(days=3).note(act("fed", labels("20")))
    assert _counted(bench, "watered", "washed") == []
    assert [one.refs for one in _counted(bench, "spider_mite")] == [THE_FOUR]


@pytest.mark.parametrize("how", ["splash", "below", ""])
def test_other_waterings_of_isolated_plants_are_no_wash(bench: Bench, how: str) -> None:
    _apart(bench, "isolated")
    answer = bench.note(act("watered", FOUR, how=how) if how else act("watered", FOUR))
    assert answer.written == ["watered"]
    assert "wash" not in answer.text


def test_first_which_then_watered_or_washed_then_all_is_written(bench: Bench) -> None:
    """The four turn out to be isolated only once they are named: the second question comes then, and nothing is lost."""
    _apart(bench, "isolated")
    bench.later(hours=2)
    assert "Which four?" in _soaked_four(bench).text
    second = bench.note(act("watered", FOUR, how="soak"), MITES, answers=True)
    assert "Watered, or in the wash?" in second.text
    assert [one.what for one in _counted(bench, "watered", "washed", "spider_mite")] == ["spider_mite"]
    bench.note(act("washed", {"count": 4}), MITES, decision="log_ask", ask="which", answers=True)
    assert [(one.what, one.refs) for one in _counted(bench, "watered", "washed", "spider_mite")] == [
        ("washed", THE_FOUR),
        ("spider_mite", THE_FOUR),
    ]


# --- where a guess would cost too much --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("entry", "ask"),
    [
        (act("died"), "which"),
        (act("given"), "which"),
        (act("released"), "which"),
        (act("moved", to="outdoors"), "which"),
        ({"type": "remark", "text": "may water the lithops"}, "act"),
        ({"type": "remark", "text": "lithops never in winter"}, "rule"),
        ({"type": "remark", "text": "twelve odd"}, "which"),
    ],
    ids=lambda given: given if isinstance(given, str) else given.get("act") or given["text"],
)
def test_with_ask_nothing_is_written_until_it_is_answered(bench: Bench, entry: dict[str, Any], ask: str) -> None:
    _four_lobivias_and_more(bench)
    before = bench.standing
    answer = bench.note(entry, decision="ask", ask=ask)
    assert answer.events == ()
    assert bench.standing == before
    assert answer.text.count("?") == 1
    assert _has_open_question(bench)


@pytest.mark.parametrize("what", ["died", "discarded", "given", "missing", "released"])
def test_a_loss_is_never_written_on_a_guess_whatever_the_reader_says(bench: Bench, what: str) -> None:
    _four_lobivias_and_more(bench)
    answer = bench.note(act(what, {"words": "the sad one"}), decision="log_ask", ask="which")
    assert answer.events == ()
    assert "?" in answer.text


def test_undo_of_a_question_that_wrote_nothing_drops_it(bench: Bench) -> None:
    _four_lobivias_and_more(bench)
    bench.note(act("died"), decision="ask", ask="which", text="one died")
    answer = bench.note(fixed("undo"), decision="fix")
    assert answer.events == ()
    assert not _has_open_question(bench)
    assert {one.what for one in effective(bench.log)} == {"named", "moved"}


def test_a_newer_question_takes_the_place_of_an_older_one(bench: Bench) -> None:
    _soaked_four(bench)
    bench.note(act("died"), decision="ask", ask="which", text="one died")
    with bench.database.read() as conn:
        held = notes.open_question(conn, 1)
    assert held is not None
    assert held.text == "one died"
