"""Who writes faster than a person does is slowed down; strangers cost a bounded number of rows."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import sqlalchemy as sa

from bot.app.admission import MOST_IN_A_WHILE, MOST_STRANGERS_A_DAY, Admission, Verdict
from bot.messages import Incoming
from bot.store import inbox, people
from bot.store.database import Database
from bot.store.people import CollectionSettings
from bot.store.tables import inbox as inbox_table
from bot.store.tables import outbox as outbox_table

NOW = datetime(2026, 4, 15, 9, 40, tzinfo=UTC)
DEFAULTS = CollectionSettings(zone="Europe/Berlin")


def message(sender: str, number: int, sent_at: datetime = NOW) -> Incoming:
    return Incoming("telegram", sender, "t", f"{sender}:{number}", f"watered {number}", sent_at, sender)


def members(database: Database) -> Admission:
    """An owner, 1, and a helper, 2."""
    with database.write() as conn:
        owner = people.chat_of(conn, "telegram", "1", "1", DEFAULTS)
        people.chat_of(conn, "telegram", "2", "2", DEFAULTS)
        people.join(conn, "telegram", "2", "2", owner.collection_id, "helper")
        helper = people.find_chat(conn, "telegram", "2")
        assert helper is not None
        assert people.role_of(conn, owner.collection_id, helper.person_id) == "helper"
    return Admission("telegram", DEFAULTS, "")


def admitted(database: Database, admission: Admission, incoming: Incoming) -> bool:
    with database.write() as conn:
        if admission.judge(conn, incoming, NOW, private=True) is not Verdict.ADMITTED:
            return False
        inbox.take(conn, incoming, NOW)
        return True


def test_a_flood_of_a_helper_is_kept_aside_and_told_once(database: Database) -> None:
    admission = members(database)
    taken = [admitted(database, admission, message("2", number)) for number in range(MOST_IN_A_WHILE + 25)]
    assert taken == [True] * MOST_IN_A_WHILE + [False] * 25
    with database.read() as conn:
        assert inbox.counts(conn)["poison"] == 25  # nothing typed is lost
        told = list(conn.scalars(sa.select(outbox_table.c.text)))
    assert told == ["Too many messages at once: I left out what came last. Write it again in a minute."]
    assert admitted(database, admission, message("2", 999, NOW + timedelta(minutes=2)))
    assert admitted(database, admission, message("1", 1))  # nobody else is slowed down


def test_a_week_typed_without_a_network_comes_through(database: Database) -> None:
    admission = members(database)
    spread = [message("2", number, NOW - timedelta(minutes=2 * number)) for number in range(150, 0, -1)]
    assert all(admitted(database, admission, one) for one in spread)
    assert all(admitted(database, admission, message("1", number)) for number in range(150))  # an owner may paste a list


def test_strangers_cost_a_bounded_number_of_rows(database: Database) -> None:
    admission = members(database)
    verdicts = []
    for number in range(MOST_STRANGERS_A_DAY + 50):
        with database.write() as conn:
            verdicts.append(admission.judge(conn, message(f"9{number}", 0), NOW, private=True))
    assert verdicts == [Verdict.TOLD] * MOST_STRANGERS_A_DAY + [Verdict.IGNORED] * 50
    with database.read() as conn:
        rows = conn.execute(sa.select(inbox_table.c.text, inbox_table.c.raw)).all()
    assert [tuple(one) for one in rows] == [("", "")] * MOST_STRANGERS_A_DAY
