"""Chats, people and collections: found again, apart from each other, set up as saved."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from datetime import time

import pytest
import sqlalchemy as sa
from sqlalchemy.exc import IntegrityError, NoResultFound

from bot.store.database import Database
from bot.store.people import (
    Chat,
    CollectionSettings,
    add_collection,
    all_collections,
    chat_by_id,
    chat_of,
    find_chat,
    memberships,
    move_chat,
    owner_chats,
    role_of,
    save_settings,
    save_talk,
    set_role,
    settings_of,
    speak_of,
)
from bot.store.tables import chats, collections, people

SETTINGS = CollectionSettings(
    name="Südhaus",
    zone="Europe/Berlin",
    latitude=50.1,
    longitude=8.7,
    units="metric",
    date_order="dmy",
    morning_time=time(6, 45),
    language="en",
    normals=tuple((low, low + 8.5) for low in (-1.2, -0.8, 2.1, 5.0, 9.3, 12.6, 14.4, 14.0, 10.3, 6.6, 2.8, 0.1)),
    floor_c=6.5,
    extra={"muted": ["bench 2"]},
)


def count(database: Database, table: sa.Table) -> int:
    with database.read() as conn:
        number: int = conn.execute(sa.select(sa.func.count()).select_from(table)).scalar_one()
    return number


def test_the_first_message_makes_a_chat_a_person_and_a_collection_owned_by_them(database: Database) -> None:
    with database.write() as conn:
        chat = chat_of(conn, "terminal", "local", "", SETTINGS)
    with database.read() as conn:
        assert settings_of(conn, chat.collection_id) == SETTINGS
        assert role_of(conn, chat.collection_id, chat.person_id) == "owner"
        assert find_chat(conn, "terminal", "local") == chat == chat_by_id(conn, chat.id)
        assert owner_chats(conn, chat.collection_id) == [chat]
        assert [(one.id, one.settings) for one in all_collections(conn)] == [(chat.collection_id, SETTINGS)]


def test_the_next_message_finds_them_again(database: Database, chat: Chat) -> None:
    with database.write() as conn:
        assert chat_of(conn, "terminal", "local", "", SETTINGS) == chat
        assert settings_of(conn, chat.collection_id) != SETTINGS  # the defaults are for a new collection only
    assert [count(database, table) for table in (chats, people, collections)] == [1, 1, 1]


def test_the_same_address_of_another_transport_is_another_chat(database: Database, chat: Chat) -> None:
    with database.write() as conn:
        other = chat_of(conn, "telegram", "local", "", SETTINGS)
    assert other.id != chat.id
    assert other.person_id != chat.person_id
    assert other.collection_id != chat.collection_id


def test_one_person_in_two_chats_has_one_collection(database: Database) -> None:
    with database.write() as conn:
        alone = chat_of(conn, "telegram", "11", "11", SETTINGS)
        group = chat_of(conn, "telegram", "-500", "11", SETTINGS)
        helper = chat_of(conn, "telegram", "-500", "22", SETTINGS)
    assert (group.person_id, group.collection_id) == (alone.person_id, alone.collection_id)
    assert (helper.id, helper.collection_id) == (group.id, group.collection_id)
    assert helper.person_id != group.person_id
    with database.read() as conn:
        assert role_of(conn, helper.collection_id, helper.person_id) is None
        assert [one.address for one in owner_chats(conn, alone.collection_id)] == ["11", "-500"]


def test_a_chat_may_speak_of_another_collection(database: Database, chat: Chat) -> None:
    with database.write() as conn:
        second = add_collection(conn, chat.person_id, SETTINGS)
        speak_of(conn, chat.id, second)
    with database.read() as conn:
        assert chat_by_id(conn, chat.id).collection_id == second
        assert len({one.public_id for one in all_collections(conn)}) == 2
        # what is due at the first collection still finds its owner, in the chat that is private
        assert [(one.address, one.passing) for one in owner_chats(conn, chat.collection_id)] == [("local", True)]


def test_an_owner_who_speaks_of_another_collection_in_a_group_is_told_in_private(database: Database) -> None:
    with database.write() as conn:
        alone = chat_of(conn, "telegram", "11", "11", SETTINGS)
        group = chat_of(conn, "telegram", "-500", "11", SETTINGS)
        second = add_collection(conn, alone.person_id, SETTINGS)
        speak_of(conn, alone.id, second)
        assert [one.address for one in owner_chats(conn, alone.collection_id)] == ["-500"]
        speak_of(conn, group.id, second)
        assert [one.address for one in owner_chats(conn, alone.collection_id)] == ["11"]
        assert [one.address for one in owner_chats(conn, second)] == ["11", "-500"]


def test_each_collection_has_its_own_talk_in_a_chat(database: Database, chat: Chat) -> None:
    with database.write() as conn:
        second = add_collection(conn, chat.person_id, SETTINGS)
        save_talk(conn, chat.id, {"place": "tray 3"})
        save_talk(conn, chat.id, {"place": "the loft"}, second)
        first = chat_by_id(conn, chat.id)
        assert (first.talk["place"], first.about(second).talk) == ("tray 3", {"place": "the loft"})
        assert first.about(chat.collection_id) == first
        speak_of(conn, chat.id, second)
        save_talk(conn, chat.id, {"place": "the sill"})
        there = chat_by_id(conn, chat.id)
        assert (there.talk["place"], there.about(chat.collection_id).talk) == ("the sill", {"place": "tray 3"})
        speak_of(conn, chat.id, chat.collection_id)
        assert chat_by_id(conn, chat.id).talk["place"] == "tray 3"


def test_memberships_are_the_collections_of_a_person_with_the_role(database: Database, chat: Chat) -> None:
    with database.write() as conn:
        other = chat_of(conn, "telegram", "11", "11", SETTINGS)
        set_role(conn, chat.collection_id, other.person_id, "guest")
        found = memberships(conn, other.person_id)
    assert [(one.collection.id, one.role) for one in found] == [(chat.collection_id, "guest"), (other.collection_id, "owner")]


def test_a_chat_may_get_another_address(database: Database, chat: Chat) -> None:
    with database.write() as conn:
        assert move_chat(conn, "terminal", "local", "-1009")
        assert find_chat(conn, "terminal", "local") is None
        assert find_chat(conn, "terminal", "-1009") == replace(chat, address="-1009")
        assert not move_chat(conn, "terminal", "nowhere", "-1010")
        other = chat_of(conn, "terminal", "second", "", SETTINGS)
        assert not move_chat(conn, "terminal", "second", "-1009")  # that address is another chat's
        assert find_chat(conn, "terminal", "second") == other


def test_roles_replace_each_other_and_are_checked(database: Database, chat: Chat) -> None:
    with database.write() as conn:
        other = chat_of(conn, "telegram", "11", "11", SETTINGS)
        set_role(conn, chat.collection_id, other.person_id, "guest")
        set_role(conn, chat.collection_id, other.person_id, "helper")
        assert role_of(conn, chat.collection_id, other.person_id) == "helper"
    with pytest.raises(IntegrityError), database.write() as conn:
        set_role(conn, chat.collection_id, other.person_id, "king")


def test_settings_are_replaced_as_a_whole(database: Database, chat: Chat) -> None:
    changed = replace(SETTINGS, floor_c=None, normals=(), morning_time=time(8, 0))
    with database.write() as conn:
        save_settings(conn, chat.collection_id, changed)
    with database.read() as conn:
        assert settings_of(conn, chat.collection_id) == changed


def test_settings_of_another_version_have_defaults_for_what_is_missing() -> None:
    assert CollectionSettings.from_json({"zone": "Asia/Tokyo", "not_known_yet": 1}) == CollectionSettings(zone="Asia/Tokyo")


def test_there_are_no_settings_of_no_collection(database: Database) -> None:
    with database.read() as conn, pytest.raises(NoResultFound):
        settings_of(conn, 77)


def test_the_talk_is_replaced_as_a_whole(database: Database, chat: Chat) -> None:
    talk = {"spoken_of": [["plant", "203"]], "list": ["look|bench 2"], "said": None}
    with database.write() as conn:
        save_talk(conn, chat.id, {"old": True})
        save_talk(conn, chat.id, talk)
    with database.read() as conn:
        assert chat_by_id(conn, chat.id).talk == talk


def test_two_processes_that_take_the_same_first_message_make_one_chat(
    database: Database, address: str, environment: dict[str, str]
) -> None:
    program = (
        "import sys; from bot.store.database import open_database; from bot.store.people import CollectionSettings, chat_of\n"
        "database = open_database(sys.argv[1])\n"
        "for number in range(20):\n"
        "    with database.write() as conn: chat_of(conn, 'telegram', str(number), '', CollectionSettings())\n"
    )
    command = [sys.executable, "-c", program, address]
    started = [subprocess.Popen(command, env=environment) for _ in range(2)]
    assert [one.wait(timeout=60) for one in started] == [0, 0]
    assert [count(database, table) for table in (chats, people, collections)] == [20, 20, 20]
