"""The way in: what Telegram sends is committed to the inbox before Telegram is told that it arrived."""

from __future__ import annotations

import asyncio
import json
import logging
from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from http import HTTPStatus
from typing import Any
from zoneinfo import ZoneInfo

from telegram import Update
from telegram.error import NetworkError
from telegram.request import HTTPXRequest

from bot.app.admission import Admission, Verdict
from bot.app.english.notices import ALREADY, GUESTS_READ, OWNERS_BRING_PLANTS, SHEET_TAKEN_IN, SHEET_TOO_LARGE, STALE, WHICH_PLANT
from bot.app.labels_talk import plant_opened
from bot.app.opened_lists import list_for
from bot.app.plants_columns import told_of
from bot.app.plants_table import MOST_BYTES, PlantsProblem
from bot.chat.telegram_text import pressed, words_of
from bot.chat.telegram_updates import TRANSPORT, Moved, Picture, Pictured, Press, Reachable, Reader, Sheeted, Typed, Wordless
from bot.messages import Incoming
from bot.store import inbox, outbox, people, photos, sheets
from bot.store.database import Connection, Database, DatabaseProblem

_START = "/start"
_LOG = logging.getLogger(__name__)

RawUpdate = dict[str, Any]


@dataclass(slots=True)
class Batch:
    """What is left to do for updates that are committed.

    `passed` are the updates as the chat library may see them, `answers` the pressed buttons' queries with a text each,
    `strangers` the addresses to be told `stranger_line`, `reachable` the chats that let the bot in or shut it out,
    `captioned` the albums with a caption, `lists` the addresses that opened a shared list, with its text.
    """

    passed: list[RawUpdate] = field(default_factory=list)
    answers: list[tuple[str, str]] = field(default_factory=list)
    strangers: list[str] = field(default_factory=list)
    stranger_line: str = ""
    reachable: list[Reachable] = field(default_factory=list)
    captioned: frozenset[str] = frozenset()
    lists: list[tuple[str, str]] = field(default_factory=list)


class Receiver:
    """Commits updates to the inbox, each batch in one transaction, each update parsed alone."""

    def __init__(self, database: Database, reader: Reader, admission: Admission) -> None:
        """Join the parts."""
        self._database, self._reader, self._admission = database, reader, admission

    def receive(self, raws: Sequence[RawUpdate], got_at: datetime) -> Batch:
        """Commit updates that came in at `got_at` (aware UTC). Raises DatabaseProblem; then none of them is committed."""
        batch = Batch(captioned=_captioned(raws))
        with self._database.write() as connection:
            for raw in raws:
                self._one(connection, raw, got_at, batch)
            if batch.strangers:
                batch.stranger_line = self._admission.line_for_strangers(connection)
        return batch

    def _one(self, conn: Connection, raw: RawUpdate, got_at: datetime, batch: Batch) -> None:
        try:
            update = Update.de_json(raw, None)
            said = self._reader.read(update, raw, got_at)
        except Exception as error:  # noqa: BLE001  a door: an update that cannot be parsed must not stop those behind it
            self._set_aside(conn, raw, got_at, f"{type(error).__name__}: {error}")
            batch.passed.append({"update_id": raw["update_id"]})
            return
        batch.passed.append(raw)
        if isinstance(said, Typed):
            self._typed(conn, said, got_at, batch)
        elif isinstance(said, Press):
            self._pressed(conn, said, got_at, batch)
        elif isinstance(said, Pictured):
            self._pictured(conn, said, got_at, batch)
        elif isinstance(said, Sheeted):
            self._sheeted(conn, said, got_at)
        elif isinstance(said, Wordless):
            if self._admission.judge(conn, said.incoming, got_at, private=False) is Verdict.ADMITTED:
                self._admission.decline(conn, said.incoming, said.content, got_at)
        elif isinstance(said, Moved):
            people.move_chat(conn, TRANSPORT, said.old_address, said.new_address)
        elif isinstance(said, Reachable):
            batch.reachable.append(said)

    def _typed(self, conn: Connection, said: Typed, got_at: datetime, batch: Batch) -> None:
        if said.private and (text := list_for(conn, said.incoming.text, got_at)) is not None:
            batch.lists.append((said.incoming.address, text))
            return
        verdict = self._admission.judge(conn, said.incoming, got_at, private=said.private)
        if verdict is Verdict.ADMITTED and self._admission.invites(conn, said.incoming, got_at):
            return
        if verdict is Verdict.ADMITTED:
            text = said.incoming.text
            started = text.partition(" ")[0] == _START and plant_opened(text) is None  # a scanned label is a question
            inbox_id = inbox.take(conn, replace(said.incoming, text="help") if started else said.incoming, got_at)
            if said.picture and inbox_id is not None:
                self._keep_picture(conn, said.incoming, said.picture, inbox_id, got_at)
            batch.reachable.append(Reachable(said.incoming.address, reachable=True))
        elif verdict is Verdict.TOLD:
            batch.strangers.append(said.incoming.address)

    def _pictured(self, conn: Connection, said: Pictured, got_at: datetime, batch: Batch) -> None:
        """Note a picture without words, and ask once what it shows, unless its album has a caption or was asked about."""
        if self._admission.judge(conn, said.incoming, got_at, private=False) is not Verdict.ADMITTED:
            return
        chat, album = self._admission.takes_pictures(conn, said.incoming), said.picture.album
        if chat is None:
            self._admission.answer(conn, said.incoming, GUESTS_READ, got_at)
            return
        told = bool(album) and (album in batch.captioned or bool(photos.of_album(conn, chat.id, album)))
        inbox_id = self._admission.answer(conn, said.incoming, "" if told else WHICH_PLANT, got_at)
        if inbox_id is not None:
            self._keep_picture(conn, said.incoming, said.picture, inbox_id, got_at)

    def _sheeted(self, conn: Connection, said: Sheeted, got_at: datetime) -> None:
        """Note a list of plants of an owner, to be fetched. A caption that names columns is about the file; another is kept."""
        if self._admission.judge(conn, said.incoming, got_at, private=False) is not Verdict.ADMITTED:
            return
        chat = self._admission.takes_plants(conn, said.incoming)
        if chat is None or said.size > MOST_BYTES:
            text = SHEET_TOO_LARGE.format(name=said.name) if chat is not None else OWNERS_BRING_PLANTS
            self._admission.answer(conn, said.incoming, text, got_at)
            return
        try:
            told = told_of(said.incoming.text)
        except PlantsProblem:
            told = {}
        inbox_id = self._admission.answer(conn, said.incoming, SHEET_TAKEN_IN.format(name=said.name), got_at)
        if inbox_id is not None:
            sheets.add(conn, chat.id, chat.collection_id, inbox_id, said.file_key, said.name, told, got_at)

    def _keep_picture(self, conn: Connection, incoming: Incoming, picture: Picture, inbox_id: int, got_at: datetime) -> None:
        chat = self._admission.takes_pictures(conn, incoming)
        if chat is not None:
            zone = ZoneInfo(people.settings_of(conn, chat.collection_id).zone)
            taken_on = incoming.sent_at.astimezone(zone).date()
            photos.add(conn, chat.id, chat.collection_id, inbox_id, picture.file_key, picture.album, taken_on, got_at)

    def _pressed(self, conn: Connection, press: Press, got_at: datetime, batch: Batch) -> None:
        """Take in the words of a button; one pressed before, or one that is no more, is only answered."""
        words = self._words(conn, press)
        if self._admission.judge(conn, press.incoming, got_at, private=False) is not Verdict.ADMITTED or words is None:
            batch.answers.append((press.query_id, STALE))
            return
        taken = inbox.take(conn, replace(press.incoming, text=words), got_at)
        batch.answers.append((press.query_id, "" if taken is not None else ALREADY))

    def _words(self, conn: Connection, press: Press) -> str | None:
        named = pressed(press.data)
        row = outbox.by_id(conn, named[0]) if named else None
        mine = row is not None and (row.transport, row.address) == (TRANSPORT, press.incoming.address)
        return words_of(row.outgoing, named[1]) if row and named and mine else None

    def _set_aside(self, conn: Connection, raw: RawUpdate, got_at: datetime, error: str) -> None:
        _LOG.error("Update %s cannot be read and is set aside (%s).", raw["update_id"], error.partition(":")[0])
        source, key = str(self._reader.bot_id), f"{raw['update_id']}:unreadable"
        kept = Incoming(TRANSPORT, "", source, key, "", got_at, raw=json.dumps(raw, ensure_ascii=False))
        inbox_id = inbox.take(conn, kept, got_at)
        if inbox_id is not None:
            inbox.mark_poison(conn, inbox_id, error)


def _captioned(raws: Sequence[RawUpdate]) -> frozenset[str]:
    """The albums of which some picture has a caption."""
    messages = [found for raw in raws if isinstance(found := raw.get("message"), dict) and found.get("caption")]
    return frozenset(str(one["media_group_id"]) for one in messages if one.get("media_group_id"))


Keep = Callable[[Sequence[RawUpdate]], Awaitable[Sequence[RawUpdate]]]


class DurableRequest(HTTPXRequest):
    """The request behind getUpdates: hands the bytes on only after `keep` has committed every update in them.

    `reached` is called whenever the server has answered, `refused` is set where it does not know the token. Where nothing
    can be committed, a NetworkError lets the library ask again with the old offset.
    """

    def __init__(self, keep: Keep, reached: Callable[[], Awaitable[None]], refused: asyncio.Event) -> None:
        """Keep one connection, as getUpdates needs no more."""
        super().__init__(connection_pool_size=1)
        self._keep, self._reached, self._refused = keep, reached, refused

    async def do_request(self, *args: Any, **kwargs: Any) -> tuple[int, bytes]:
        """Do one request and commit what it brought."""
        status, body = await super().do_request(*args, **kwargs)
        if status in {HTTPStatus.UNAUTHORIZED, HTTPStatus.NOT_FOUND}:
            self._refused.set()
        if status != HTTPStatus.OK:
            return status, body
        await self._reached()
        return status, await self._kept(body)

    async def _kept(self, body: bytes) -> bytes:
        try:
            answer = json.loads(body.decode("utf-8", "replace"))
        except ValueError:
            return body  # the library says what is wrong with it
        raws = answer.get("result") if isinstance(answer, dict) else None
        if not isinstance(raws, list) or not raws:
            return body
        numbered = [raw for raw in raws if isinstance(raw, dict) and isinstance(raw.get("update_id"), int)]
        try:
            answer["result"] = list(await self._keep(numbered))
        except DatabaseProblem as problem:
            raise NetworkError(f"the inbox cannot be written: {problem}") from problem
        return json.dumps(answer).encode()
