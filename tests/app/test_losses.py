"""Deaths: asked about once and kindly; counted by plant-years at risk; taken back with all that they counted."""

from __future__ import annotations

from datetime import date

import pytest

from bot.care.losses import at_risk, rate_of, rates_by, survival_of_lot
from bot.care.survival import DAYS_A_YEAR
from tests.app.bench import Bench


def test_the_cause_is_asked_once_and_an_answer_completes_the_death(bench: Bench) -> None:
    bench.type("30-35 are rebutias")
    asked = bench.type("31 died")
    assert asked.text.splitlines()[-1] == "Do you know why?"
    assert [one.words for one in asked.buttons] == ["rot", "cold", "pest", "don't know", "undo"]
    assert "rot" in bench.type("rot").text
    assert bench.thing("plant", "31").gone == [{"on": "2026-04-15", "what": "died", "count": 1, "cause": "rot"}]
    assert bench.type("32 died, frost").text == "Dead: 32 (Rebutia), frost. Sorry about that."


@pytest.mark.parametrize("shrug", ["don't know", "no idea", "dunno", "?", "not sure"])
def test_who_does_not_know_is_asked_no_more(bench: Bench, shrug: str) -> None:
    bench.type("31 died")
    assert bench.type(shrug).text == "All right, the cause stays open."
    assert bench.thing("plant", "31").gone == [{"on": "2026-04-15", "what": "died", "count": 1}]
    bench.at("2026-04-16T07:30")
    assert not any("died" in one for one in bench.rounds())


def test_the_question_may_be_ignored_and_is_not_put_again_in_the_morning(bench: Bench) -> None:
    bench.type("set latitude 51")
    bench.type("31 died")
    bench.type("watered 32")
    assert "why" not in bench.type("31 is dead").text.lower()
    bench.at("2026-04-16T07:30")
    assert not any("31 died" in one for one in bench.rounds())


def test_a_death_by_pest_offers_a_look_at_the_neighbours(bench: Bench) -> None:
    bench.type("30-35 are rebutias")
    bench.type("moved 30-35 to tray 9")
    bench.type("31 has mealybug")
    bench.later(days=10)
    assert "Pests on the dead one's neighbours: look Sat 2 May." in bench.type("31 died").text


@pytest.fixture
def seasons(bench: Bench) -> Bench:
    """Two lots over three years: 10 of one from Ida, of which 4 died; 20 of another from Otto, of which one died."""
    bench.at("2023-05-01T09:00").type("got 10 rebutias from ida")
    bench.type("got 20 parodias from otto")
    bench.at("2023-05-31T09:00").type("2 of the ida lot died, rot")
    bench.at("2024-05-01T09:00").type("1 of the ida lot died, cold")
    bench.at("2025-05-01T09:00").type("1 of the ida lot died")
    bench.type("don't know")
    bench.type("1 of the otto lot died, rot")
    return bench.at("2026-05-01T09:00")


def test_plant_years_are_counted_plant_by_plant(seasons: Bench) -> None:
    """Worked by hand: of Ida's, two stood 30 days, one 366, one 731, six 1,096 days to 1 May 2026."""
    ida = rate_of([seasons.thing("lot", "ida")], date(2023, 5, 1), date(2026, 5, 1))
    assert (ida.deaths, ida.plants) == (4, 10)
    assert ida.plant_years == pytest.approx((2 * 30 + 366 + 731 + 6 * 1096) / DAYS_A_YEAR)


def test_a_span_counts_what_stood_in_it(seasons: Bench) -> None:
    ida = rate_of([seasons.thing("lot", "ida")], date(2025, 1, 1), date(2025, 12, 31))
    assert (ida.deaths, ida.plants) == (1, 7)
    assert ida.plant_years == pytest.approx((6 * 364 + 120) / DAYS_A_YEAR)


def test_groups_close_with_the_whole(seasons: Bench) -> None:
    standing, first, last = seasons.standing, date(2023, 5, 1), date(2026, 5, 1)
    whole = rate_of(standing.things.values(), first, last)
    for by in ("lot", "seller", "genus", "place"):
        rates = [rate for _, rate in rates_by(standing, by, first, last)]
        assert sum(one.deaths for one in rates) == whole.deaths
        assert sum(one.plant_years for one in rates) == pytest.approx(whole.plant_years)
    assert [(cause, rate.deaths) for cause, rate in rates_by(standing, "cause", first, last)] == [
        ("rot", 3),
        ("", 1),
        ("cold", 1),
    ]


def test_losses_by_seller_in_words(seasons: Bench) -> None:
    lines = seasons.type("losses by seller").text.splitlines()
    assert lines[0] == "Losses a year by seller since Mon 1 May 2023:"
    assert lines[1].startswith("Ida: 17 % (95 % range 5 to 38 %), 4 dead, n = 10 plants")
    assert lines[2].startswith("Otto: 2 % (95 % range 0 to 9 %), 1 dead, n = 20 plants")


def test_too_few_to_say(seasons: Bench) -> None:
    assert "1 of 7 plants, too few to say (under 20 plant-years)" in seasons.type("losses by lot in 2025").text
    assert seasons.type("losses by genus this year").text == "None noted as dead since Thu 1 Jan."


def test_how_many_and_why(seasons: Bench) -> None:
    lines = seasons.type("what died and why").text.splitlines()
    assert lines[0] == "5 dead: 4 of the ida lot, 1 of the otto lot."
    assert lines[1] == "Why: rot 3, cold 1; no cause noted for 1 (20 %, n = 5)."
    assert lines[2].startswith("That is 6 % (95 % range 2 to 14 %) a year (n = 30 plants, 80 plant-years).")
    assert seasons.type("how many did i lose this year").text.startswith("None noted as dead since Thu 1 Jan")


def test_survival_of_a_lot(seasons: Bench) -> None:
    lines = seasons.type("survival of the ida lot").text.splitlines()
    assert lines[0].startswith("The ida lot: 6 of 10 alive or passed on, 4 deaths since Mon 1 May 2023")
    assert "80 % (95 % range 41 to 95 %) after a month" in lines[1]
    assert lines[1].endswith("(n = 10).")
    made = survival_of_lot(seasons.standing, "ida", date(2026, 5, 1))
    assert made is not None
    assert [(one.days, one.at_risk, one.died) for one in made.steps] == [(30, 10, 2), (366, 8, 1), (731, 7, 1)]
    assert seasons.type("survival of the moon lot").text == "I know no lot “moon”."


def test_undo_a_fix_and_a_revival_take_the_death_back(seasons: Bench) -> None:
    seasons.type("undo")
    assert [one["count"] for one in seasons.thing("lot", "otto").gone] == []
    seasons.type("3 of the ida lot missing")
    assert at_risk([seasons.thing("lot", "ida")])[0].count == 10
    seasons.type("50 died, rot")
    seasons.type("50 is alive after all")
    assert seasons.thing("plant", "50").gone == []


def test_given_away_is_no_death_but_ends_the_time_at_risk(bench: Bench) -> None:
    bench.at("2025-01-01T09:00").type("got 4 aloes from ida")
    bench.at("2025-07-01T09:00").type("gave 2 of the ida lot to otto")
    rate = rate_of([bench.thing("lot", "ida")], date(2025, 1, 1), date(2025, 12, 31))
    assert (rate.deaths, rate.plants) == (0, 4)
    assert rate.plant_years == pytest.approx((2 * 364 + 2 * 181) / DAYS_A_YEAR)


def test_an_empty_collection_has_lost_none(bench: Bench) -> None:
    assert bench.type("losses by cause").text.startswith("None noted as dead since")
    assert bench.type("how many did i lose this year").text.startswith("None noted as dead")


def test_two_collections_count_their_own(seasons: Bench) -> None:
    other = Bench(seasons.database, seasons.settings, "other", seasons.now)
    assert other.type("losses by seller").text.startswith("None noted as dead")


@pytest.mark.parametrize("words", ["losses", "my losses", "deaths", "losses this year", "Losses?", "loss rate"])
def test_the_bare_word_asks_and_never_says_that_something_died(seasons: Bench, words: str) -> None:
    seasons.type("61 is a lobivia")
    answer = seasons.type(words)
    assert answer.events == ()
    assert "dead" in answer.text
    assert seasons.thing("plant", "61").alive
