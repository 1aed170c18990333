"""Who may do what: every verb tried by everybody; several collections, and no way from one into another."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from bot.app.rounds import run_rounds
from bot.care.events import CareEvent
from bot.messages import Incoming
from bot.store import outbox, people
from bot.store.people import CollectionSettings
from tests.app.bench import Bench, labels, seen

# One text for each thing that can be asked of the bot and changes something: care, fixes, reminders, requests, settings.
CARE = (
    "watered bench 1",
    "mites on 12",
    "12 died",
    "12 is a lobivia",
    "min 4 max 19",
    "no water for 12 till friday",
    "didnt water bench 1",
    "repotted 12 in a 9 cm pot",
    "got 3 lithops from jo",
    "ordered 3 lithops from jo",
    "12 is in the post to jo",
    "gritty mix is 1 loam 2 pumice",
    "remind me to order labels on friday",
    "take them out in 15 min",
    "undo",
    "no that was 13",
    "done 1",
    "later 1",
    "drop 1",
    "call 12 teacup",
    "frost -4 tonight",
    "nice plants today",
)
OWNERS_ALONE = (
    "set latitude 40",
    "my coldest night is 5",
    "set zone Asia/Tokyo",
    "set morning 6",
    "mute bench 1",
    "unmute bench 2",
    "tell me when nothing is due",
    "weekly sign of life",
    "quiet hours 21 to 8",
    "away till 24 april",
    "im back",
    "call this collection the loft",
    "set up",
    "my location is 48.1 11.6",
    "my lobivias rest from october till march",
)
ASKED = (
    "whats due",
    "when did i last water bench 1",
    "where is 12",
    "why 1",
    "more",
    "help",
    "what have i got",
    "what is on the way",
    "my mixes",
)


@pytest.fixture
def owned(bench: Bench) -> Bench:
    """A collection with a plant, a bench, a find, and something due today."""
    bench.at("2026-04-15T09:00")
    bench.type("12 is a lobivia")
    bench.type("moved 12 to bench 1")
    bench.type("moved 13 to bench 2")
    bench.type("mute bench 2")
    bench.note(seen("slug", labels("12")))
    bench.type("remind me to sweep the floor today")
    bench.type("watered bench 1")
    bench.type("whats due")
    return bench


@pytest.fixture
def joined(owned: Bench) -> Callable[[str], Bench]:
    def join(role: str) -> Bench:
        with owned.database.write() as conn:
            people.join(conn, "terminal", role, role, owned.collection_id, role)
        other = Bench(owned.database, owned.settings, address=role, now=owned.now, planted=owned.planted)
        other.type("whats due")
        return other

    return join


def _state(bench: Bench) -> tuple[list[CareEvent], CollectionSettings]:
    return bench.log, bench.view_settings()


@pytest.mark.parametrize("text", [*CARE, *OWNERS_ALONE])
def test_a_guest_changes_nothing(owned: Bench, joined: Callable[[str], Bench], text: str) -> None:
    guest = joined("guest")
    before = _state(owned)
    answer = guest.type(text)
    assert _state(owned) == before
    assert "You can ask here, not write: you are a guest." in answer.text
    assert "undo" not in [one.label for one in answer.buttons]
    assert text not in owned.type("what did i write today").text


@pytest.mark.parametrize("text", ASKED)
def test_a_guest_asks_as_the_owner_does(owned: Bench, joined: Callable[[str], Bench], text: str) -> None:
    guest = joined("guest")
    assert guest.type(text).text == owned.type(text).text


@pytest.mark.parametrize("text", OWNERS_ALONE)
def test_a_helper_sets_nothing(owned: Bench, joined: Callable[[str], Bench], text: str) -> None:
    helper = joined("helper")
    before = _state(owned)
    answer = helper.type(text)
    assert _state(owned) == before
    assert text == "im back" or "Only an owner can change settings." in answer.text


@pytest.mark.parametrize("text", ["watering chart", "picture of the watering of bench 1", "drying curve of 12", "due load"])
def test_pictures_are_for_owners_and_helpers(owned: Bench, joined: Callable[[str], Bench], text: str) -> None:
    assert _pictures(joined("helper"), text) == _pictures(owned, text) == 1
    assert _pictures(joined("guest"), text) == 0
    stranger = Bench(owned.database, owned.settings, address="somebody", now=owned.now, planted=owned.planted)
    assert _pictures(stranger, text) == 0  # a collection of their own, with nothing in it


def _pictures(bench: Bench, text: str) -> int:
    """How many pictures go out in answer to a text."""
    bench.type(text)
    found = 0
    with bench.database.write() as conn:
        while rows := outbox.claim(conn, bench.now, 60):
            for row in rows:
                found += sum(file.recipe["kind"] == "picture" for file in row.outgoing.files)
                outbox.mark_sent(conn, row.id, str(row.id), bench.now)
    return found


def test_a_helper_logs_and_corrects(owned: Bench, joined: Callable[[str], Bench]) -> None:
    helper = joined("helper")
    assert helper.type("fed bench 1").written == ["fed"]
    assert helper.type("undo").written == ["withdrawn"]
    assert helper.type("mites on 12").written == ["spider_mite"]
    assert owned.log[-1].person != owned.log[0].person


def test_the_owner_may_do_all_of_it(owned: Bench) -> None:
    for text in OWNERS_ALONE:
        assert "Only an owner" not in owned.type(text).text


def test_a_note_of_a_helper_keeps_its_care_where_a_setting_is_refused(owned: Bench, joined: Callable[[str], Bench]) -> None:
    helper = joined("helper")
    text = helper.reads(
        "fed bench 1 and set latitude 40",
        {"type": "event", "act": "fed", "which": {"places": ["bench 1"]}},
        {"type": "request", "do": "set", "text": "set latitude 40"},
    )
    answer = helper.type(text)
    assert answer.written == ["fed"]
    assert answer.text.startswith("Fed bench 1")
    assert "Only an owner can change settings." in answer.text
    assert owned.view_settings().latitude == 51.5


@pytest.mark.parametrize("do", ["share", "revoke", "export", "set", "away", "something new"])
def test_a_request_that_is_not_named_for_helpers_is_the_owners(owned: Bench, joined: Callable[[str], Bench], do: str) -> None:
    helper = joined("helper")
    answer = helper.note({"type": "request", "do": do, "text": "set latitude 40"}, decision="do")
    assert answer.text == "Only an owner can change settings."


def test_who_was_let_go_is_told_nothing(owned: Bench, joined: Callable[[str], Bench]) -> None:
    helper = joined("helper")
    helper.receive("whats due")
    with owned.database.write() as conn:
        chat = people.find_chat(conn, "terminal", "helper")
        assert chat
        people.remove_member(conn, owned.collection_id, chat.person_id)
    before = _state(owned)
    helper.intake.work(helper.now)
    assert helper.type("watered bench 1").text == "You have no part in this collection."
    assert _state(owned) == before
    assert helper.messages("reply")[-2:] == ["You have no part in this collection."] * 2


# --- several collections ----------------------------------------------------------------------------------------------


@pytest.fixture
def ana(owned: Bench) -> Bench:
    """Ana, who has a collection of her own, called the loft, and helps in the first one, called Südhaus."""
    owned.type("call this collection Südhaus")
    ana = Bench(owned.database, owned.settings, address="ana", now=owned.now, planted=owned.planted)
    ana.type("call my collection the loft")
    ana.type("90 is a rebutia")
    with owned.database.write() as conn:
        chat = people.find_chat(conn, "terminal", "ana")
        assert chat
        people.set_role(conn, owned.collection_id, chat.person_id, "helper")
    return ana


def test_words_say_which_collection_a_note_is_about(owned: Bench, ana: Bench) -> None:
    mine = ana.collection_id
    ana.type("in the Südhaus collection: watered bench 2")
    assert owned.log[-1].what == "watered"
    assert next(ref.key for ref in owned.log[-1].refs) == "bench 2"
    assert ana.collection_id == mine
    assert all(one.what != "watered" for one in ana.log)
    assert ana.type("where is 12").text != owned.type("where is 12").text


def test_the_talk_turns_to_another_collection_and_back(owned: Bench, ana: Bench) -> None:
    assert ana.type("switch to Südhaus's collection").text == "Now about the Südhaus collection."
    assert ana.type("where is 12").text == owned.type("where is 12").text
    assert ana.type("fed bench 1").written == ["fed"]
    assert ana.type("mute bench 1").text == "Only an owner can change settings."
    assert ana.type("Switch back to the loft collection.").text == "Now about the loft collection."
    assert ana.type("mute bench 1").text == "I know no place bench 1."
    assert "lobivia" not in ana.type("what have i got").text.lower()


def test_the_collections_are_listed_with_the_one_spoken_of(ana: Bench) -> None:
    assert ana.type("which collections").text == (
        "Südhaus and loft. We speak of loft. “switch to the Südhaus collection” changes that."
    )
    assert ana.type("switch to the greenhouse collection").text == "You have no collection of that name: Südhaus and loft."


def test_who_has_no_part_in_a_collection_cannot_name_it(owned: Bench, ana: Bench) -> None:
    stranger = Bench(owned.database, owned.settings, address="sly", now=owned.now)
    before = _state(owned)
    for text in ("in the Südhaus collection: watered bench 1", "switch to the Südhaus collection", "in collection 1: undo"):
        stranger.type(text)
        assert "bench" not in stranger.type("what have i got").text
    assert _state(owned) == before


def test_in_a_group_words_do_not_open_a_collection_to_the_others(owned: Bench, ana: Bench) -> None:
    with owned.database.write() as conn:
        people.chat_of(conn, "terminal", "-500", "ana", owned.settings)
    group = Bench(owned.database, owned.settings, address="-500", now=owned.now)
    group.intake.receive(_from("ana", group, "in the loft collection: watered bench 7"), group.now)
    mine = len(ana.log)
    group.intake.work(group.now)
    assert len(ana.log) == mine


def _from(sender: str, bench: Bench, text: str) -> Incoming:
    return Incoming("terminal", bench.address, "terminal", f"{sender}:{text}", text, bench.now, sender=sender)


def test_an_undo_in_another_collection_does_not_reach_into_this_one(owned: Bench, ana: Bench) -> None:
    ana.type("watered tray 1")
    before = len(owned.log)
    ana.type("undo")
    assert len(owned.log) == before
    ana.type("switch to the Südhaus collection")
    count = len(ana.log)
    assert ana.type("undo").written == ["withdrawn"]
    assert len(owned.log) == count + 1


def test_an_owner_who_speaks_of_another_collection_still_hears_of_the_own(owned: Bench, ana: Bench) -> None:
    ana.note(seen("slug", labels("90")))
    ana.type("switch to the Südhaus collection")
    ana.at("2026-04-22T07:30")
    run_rounds(ana.database, ana.now)
    (told,) = ana.messages("digest")
    assert told.startswith("Loft: Wednesday 22 April")
    with ana.database.read() as conn:
        rows = [row for number in range(1, 300) if (row := outbox.by_id(conn, number)) and row.outgoing.text == told]
    done = rows[0].outgoing.buttons[0][0].words
    assert done == "in the loft collection: done 1"
    assert ana.type(done).text.startswith("Done: look for slugs")
