"""Text that would do something in HTML, Markdown, CSV, a path, SQL or a template does nothing: it is text, as typed."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
import sqlalchemy as sa

from bot.app.intake import Intake
from bot.chat.telegram_text import keyboard, parts
from bot.chat.terminal import shown
from bot.messages import Incoming, Outgoing
from bot.store import inbox, outbox
from bot.store.database import Database
from bot.store.people import CollectionSettings
from bot.store.tables import care_log, metadata, notes
from bot.store.tables import outbox as outbox_table

NOW = datetime(2026, 4, 15, 9, 40, tzinfo=UTC)
PAYLOADS = {
    "html": "<script>alert(1)</script><b onclick=x>",
    "markdown": "*bold* _it_ [link](tg://user?id=1) `code`",
    "csv": '=HYPERLINK("http://evil.example","x")',
    "csv plus": "+1+cmd|' /C calc'!A0",
    "csv at": "@SUM(1+1)*cmd",
    "path": "../../../../etc/passwd",
    "windows path": "..\\..\\con",
    "sql": "'; DROP TABLE care_log; --",
    "sql like": "100%' OR '1'='1",
    "percent": "%s %d %(name)s %n",
    "format": "{0.__class__.__mro__} {view} {settings!r}",
    "template": "{{ 7*7 }} {% raw %} ${7*7} #{7*7} <%= 7*7 %>",
    "null": "nul\0byte",
    "control": "\x1b[2J\x1b]0;owned\x07",
    "direction": "\u202egnp.exe\u202c",
    "surrogate": "\ud800half",
    "newlines": "one\r\ntwo\n\nthree",
}
# Every place where a person's words become part of something: a place, a nickname, a lot, a product, a setting and so on.
FIELDS = {
    "note": "{}",
    "place": "moved 12 to bench {}",
    "nickname": "call 12 {}",
    "plant": "watered {}",
    "lot": "bought 3 of lot {} from ida",
    "seller": "got 3 haworthia from {}",
    "product": "sprayed 12 with {}",
    "question": "when did i last water {}",
    "remark": "note on 12: {}",
    "reminder": "remind me tomorrow to {}",
    "zone": "set zone {}",
    "latitude": "set latitude {}",
    "normals": "set normals {}",
    "command": "/{}",
    "done": "done {}",
    "reply": "no that was {} not 4",
}


def send(intake: Intake, number: int, text: str) -> None:
    moment = NOW + timedelta(minutes=number)
    assert intake.receive(Incoming("terminal", "local", "t", str(number), text, moment), moment) is not None
    assert intake.work(moment) == 1


@pytest.mark.parametrize("field", FIELDS)
def test_a_payload_is_only_text(database: Database, field: str) -> None:
    intake = Intake(database, CollectionSettings(zone="Europe/London", latitude=51.5))
    send(intake, 0, "moved 12-18 to bench 2")
    texts = [FIELDS[field].replace("{}", payload) for payload in PAYLOADS.values()]
    for number, text in enumerate(texts, 1):
        send(intake, number, text)
    with database.read() as conn:
        first = conn.execute(sa.select(care_log).where(care_log.c.sequence == 1)).one()
    send(intake, len(texts) + 1, "whats due")
    with database.read() as conn:
        assert inbox.counts(conn) == {"open": 0, "done": len(texts) + 2, "poison": 0}
        kept = list(conn.scalars(sa.select(notes.c.text).order_by(notes.c.id)))
        answers = list(conn.scalars(sa.select(outbox_table.c.text).order_by(outbox_table.c.id)))
        assert set(sa.inspect(conn).get_table_names()) == {*metadata.tables, "alembic_version"}
        assert conn.execute(sa.select(care_log).where(care_log.c.sequence == 1)).one() == first
    assert kept[1:-1] == texts
    assert len(answers) == len(texts) + 2
    for answer in answers:
        assert "49" not in answer  # nothing reckons with it
        assert "__mro__" not in answer or "{0.__class__.__mro__}" in answer
        assert "object at 0x" not in answer


@pytest.mark.parametrize("payload", PAYLOADS.values(), ids=PAYLOADS)
def test_nothing_in_a_terminal_or_a_chat_takes_it_for_more(payload: str) -> None:
    on_screen = shown(Outgoing(payload))
    assert not set(on_screen) & set("\x1b\x07\0\u202e\u202c")
    whole = "".join(parts(payload))
    assert len(whole) <= len(payload)
    assert keyboard(1, Outgoing(payload)) is None


def test_what_is_kept_is_what_was_typed(database: Database) -> None:
    with database.write() as conn:
        for number, payload in enumerate(PAYLOADS.values()):
            come = Incoming("terminal", payload, "t", f"{number}", payload, NOW, payload, raw=payload)
            assert inbox.take(conn, come, NOW) == number + 1
    with database.read() as conn:
        for number, payload in enumerate(PAYLOADS.values()):
            came = inbox.by_id(conn, number + 1).incoming
            assert (came.address, came.sender, came.text, came.raw) == (payload,) * 4
        assert outbox.counts(conn)["waiting"] == 0
