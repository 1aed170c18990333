"""Pictures over Telegram: fetched, checked by content, kept beside the database, filed under plant, note and event."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest

from bot.app.service import Service
from bot.care.events import Ref
from bot.chat.telegram_account import Tempo
from bot.store import carelog, inbox, people, photos
from bot.store.database import Database
from bot.store.photos import Photo

from .loopback import failures
from .loopback.core import Account, BotApi
from .loopback.front import LoopbackServer
from .loopback.people import Person
from .rig import DEFAULTS, OWNER, Clock, make_owner, running, unhindered

pytestmark = pytest.mark.asyncio

# The first bytes of each format (ITU-T T.81 for JPEG, ISO/IEC 15948 for PNG), then any content.
JPEG = b"\xff\xd8\xff\xe0" + b"the lobivia in flower" * 50
PNG = b"\x89PNG\r\n\x1a\n" + b"the lobivia in bud" * 50


def _photo(api: BotApi, content: bytes = JPEG, name: str = "../../etc/passwd", **more: Any) -> dict[str, Any]:
    """A photo as it comes: a small and a large size, under a name that nobody should trust."""
    small, large = api.add_file("small.jpg", JPEG[:20]), api.add_file(name, content)
    sizes = [
        {"file_id": one, "file_unique_id": f"u{one}", "width": size, "height": size} for one, size in ((small, 90), (large, 800))
    ]
    return {"photo": sizes} | more


def _kept(database: Database) -> list[Photo]:
    with database.read() as connection:
        return [one for found in people.all_collections(connection) for one in photos.of_collection(connection, found.id)]


async def _fetched(api: BotApi, database: Database, count: int) -> None:
    """Wait until so many pictures are kept or refused."""
    for _ in range(200):
        with suppress(TimeoutError):
            await api.until(lambda: _done(database, count), 0.05)
            return
    raise AssertionError([one.state for one in _kept(database)])


def _files(folder: Path) -> dict[str, tuple[bytes, int]]:
    """The content and the permissions of each file in a folder, by its path there."""
    found = [path for path in folder.rglob("*") if path.is_file()]
    return {str(path.relative_to(folder)): (path.read_bytes(), path.stat().st_mode & 0o777) for path in found}


def _done(database: Database, count: int) -> bool:
    found = _kept(database)
    return len(found) == count and all(one.state != "waiting" for one in found)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "photos"


async def test_a_photo_with_a_caption_is_a_note_with_a_picture(
    server: LoopbackServer, database: Database, api: BotApi, clock: Clock, ida: Person, folder: Path
) -> None:
    make_owner(database)
    async with running(server, database, Service(database, DEFAULTS), photos=folder):
        await ida.sends(_photo(api, caption="mites on 12"))
        assert "mites" in (await ida.hears(1))[0].lower()
        await _fetched(api, database, 1)
    (one,) = _kept(database)
    assert (one.state, one.refs) == ("kept", (Ref("plant", "12"),))
    assert one.name == f"{one.taken_on:%Y}/{one.public_id}.jpg"
    assert _files(folder) == {one.name: (JPEG, 0o600)}
    with database.read() as connection:
        (event,) = carelog.load(connection, one.collection_id)
    assert (one.event, one.note_id) == (event.identity, event.note)


@pytest.mark.parametrize(("caption", "acts"), [("202", ["photographed"]), ("photo of 202", ["photographed"])])
async def test_a_caption_that_only_names_a_plant_says_what_it_shows(
    server: LoopbackServer, database: Database, api: BotApi, ida: Person, folder: Path, caption: str, acts: list[str]
) -> None:
    make_owner(database)
    async with running(server, database, Service(database, DEFAULTS), photos=folder):
        await ida.sends(_photo(api, PNG, caption=caption))
        await ida.hears(1)
        await _fetched(api, database, 1)
    (one,) = _kept(database)
    assert one.refs == (Ref("plant", "202"),)
    assert one.name.endswith(".png")
    with database.read() as connection:
        assert [event.what for event in carelog.load(connection, one.collection_id)] == acts


async def test_words_file_a_photo_under_another_plant(
    server: LoopbackServer, database: Database, api: BotApi, ida: Person, folder: Path
) -> None:
    make_owner(database)
    async with running(server, database, Service(database, DEFAULTS), photos=folder):
        await ida.says("photo = 203 not 202")
        assert await ida.hears(1) == ["I have no photo from you here."]
        first = await ida.sends(_photo(api, caption="photo of 202"))
        await ida.hears(2)
        await ida.sends(_photo(api, caption="photo of 300"))
        await ida.hears(3)
        await ida.says("photo = 203 not 202", reply_to=first["message_id"])
        assert (await ida.hears(4))[3] == "The photo is of 203, not of 202."
        await ida.says("the photo is of 301")
        assert (await ida.hears(5))[4] == "The photo is of 301, not of 300."
    assert [one.refs for one in _kept(database)] == [(Ref("plant", "203"),), (Ref("plant", "301"),)]


async def test_a_photo_without_words_is_kept_and_asked_about_once(
    server: LoopbackServer, database: Database, api: BotApi, ida: Person, folder: Path
) -> None:
    make_owner(database)
    async with running(server, database, Service(database, DEFAULTS), photos=folder):
        await ida.sends(_photo(api))
        assert await ida.hears(1) == ["Got the photo. Which plant is it? Answer with its number."]
        await ida.says("203")
        assert (await ida.hears(2))[1] == "The photo is of 203."
        await _fetched(api, database, 1)
    assert [(one.refs, one.state) for one in _kept(database)] == [((Ref("plant", "203"),), "kept")]


@pytest.mark.parametrize("captioned", [0, 1, 2])
async def test_an_album_is_one_note_whichever_picture_has_the_caption(
    server: LoopbackServer, database: Database, api: BotApi, ida: Person, folder: Path, captioned: int
) -> None:
    make_owner(database)
    for number in range(3):
        words = {"caption": "mites on 12"} if number == captioned else {}
        await ida.sends(_photo(api, JPEG + bytes([number]), media_group_id="4242", **words))
    async with running(server, database, Service(database, DEFAULTS), photos=folder):
        await ida.hears(1)
        await _fetched(api, database, 3)
        late = _photo(api, PNG, media_group_id="4242")
        await ida.sends(late)
        await _fetched(api, database, 4)
    assert len(ida.read()) == 1
    found = _kept(database)
    assert {one.refs for one in found} == {(Ref("plant", "12"),)}
    assert len({one.note_id for one in found}) == len({one.event for one in found}) == 1
    assert {content for content, _ in _files(folder).values()} == {JPEG + b"\0", JPEG + b"\1", JPEG + b"\2", PNG}


async def test_an_album_without_words_is_asked_about_once(
    server: LoopbackServer, database: Database, api: BotApi, ida: Person, folder: Path
) -> None:
    make_owner(database)
    for _ in range(3):
        await ida.sends(_photo(api, media_group_id="77"))
    async with running(server, database, Service(database, DEFAULTS), photos=folder):
        asked = await ida.hears(1)
        await ida.says("12 and 13")
        assert (await ida.hears(2))[1] == "The 3 photos are of 12 and 13."
    assert asked == ["Got the photo. Which plant is it? Answer with its number."]
    assert {one.refs for one in _kept(database)} == {(Ref("plant", "12"), Ref("plant", "13"))}


async def test_what_is_no_picture_is_not_kept_whatever_it_calls_itself(
    server: LoopbackServer, database: Database, api: BotApi, ida: Person, folder: Path
) -> None:
    make_owner(database)
    file_id = api.add_file("flower.jpg", b"#!/bin/sh\nrm -rf /\n")
    file = {"file_id": file_id, "file_unique_id": "x", "file_name": "flower.jpg", "mime_type": "image/jpeg"}
    async with running(server, database, Service(database, DEFAULTS), photos=folder):
        await ida.sends({"document": file, "caption": "watered tray 3"})
        await ida.hears(2)
    assert "tray 3" in ida.read()[0]
    assert "could not be kept: it is no picture that I know" in ida.read()[1]
    assert _files(folder) == {}


async def test_a_file_that_telegram_does_not_hand_out_is_told(
    server: LoopbackServer, database: Database, api: BotApi, ida: Person, folder: Path
) -> None:
    make_owner(database)
    huge = _photo(api, JPEG + bytes(21 * 1024 * 1024), caption="photo of 12")
    async with running(server, database, Service(database, DEFAULTS), photos=folder):
        await ida.sends(huge)
        await ida.hears(2)
    assert any("could not be kept" in text for text in ida.read())
    assert [one.state for one in _kept(database)] == ["refused"]


async def test_a_picture_that_cannot_be_had_now_is_fetched_later(
    server: LoopbackServer, database: Database, api: BotApi, clock: Clock, ida: Person, folder: Path
) -> None:
    make_owner(database)
    api.fail_next("getFile", failures.bad_gateway(), failures.internal_error())
    tempo = Tempo(now=clock.now, pacing=unhindered, poll_s=10)
    async with running(server, database, Service(database, DEFAULTS), tempo, photos=folder) as run:
        await ida.sends(_photo(api, caption="photo of 12"))
        await ida.hears(1)
        for _ in range(6):
            clock.advance(600)
            assert run.edge._pictures
            run.edge._pictures.wake()
            with suppress(TimeoutError):
                await api.until(lambda: _done(database, 1), 0.3)
        await _fetched(api, database, 1)
    assert [call.status for call in api.calls if call.method == "getFile"][-1] == 200
    assert [one.state for one in _kept(database)] == ["kept"]


async def test_a_restart_fetches_what_the_last_run_left(
    server: LoopbackServer, database: Database, api: BotApi, ida: Person, folder: Path
) -> None:
    make_owner(database)
    async with running(server, database, Service(database, DEFAULTS)):
        await ida.sends(_photo(api, caption="photo of 12"))
        await ida.hears(1)
    assert [one.state for one in _kept(database)] == ["waiting"]
    async with running(server, database, Service(database, DEFAULTS), photos=folder):
        await _fetched(api, database, 1)
    assert [one.state for one in _kept(database)] == ["kept"]


async def test_a_guests_picture_is_not_kept(
    server: LoopbackServer, database: Database, api: BotApi, account: Account, ida: Person, folder: Path
) -> None:
    make_owner(database)
    with database.write() as connection:
        chat = people.find_chat(connection, "telegram", str(OWNER))
        assert chat
        people.join(connection, "telegram", "777", "777", chat.collection_id, "guest")
    guest = Person(api, account, 777, "Gus")
    async with running(server, database, Service(database, DEFAULTS), photos=folder):
        await guest.sends(_photo(api))
        await guest.sends(_photo(api, caption="photo of 12"))
        await guest.hears(2)
    assert guest.read() == ["You can ask here, not write: you are a guest."] * 2
    assert _kept(database) == []
    assert _files(folder) == {}


async def test_voice_stickers_files_and_contacts_are_answered_and_kept(
    server: LoopbackServer, database: Database, ida: Person
) -> None:
    make_owner(database)
    file = {"file_id": "x", "file_unique_id": "x"}
    contents: list[dict[str, Any]] = [
        {"voice": file | {"duration": 3}},
        {"sticker": file | {"width": 9, "height": 9, "is_animated": False, "is_video": False, "type": "regular"}},
        {"document": file | {"file_name": "list.pdf", "mime_type": "application/pdf"}},
        {"contact": {"phone_number": "1", "first_name": "Jo"}},
    ]  # fmt: skip
    async with running(server, database, Service(database, DEFAULTS)):
        for content in contents:
            await ida.sends(content)
        heard = await ida.hears(4)
    kinds = ("voice notes", "stickers", "files", "contacts")
    assert heard == [f"I read words, not {kind}. Write a caption or a note." for kind in kinds]
    with database.read() as connection:
        kept = [inbox.by_id(connection, number).incoming.raw for number in range(1, 5)]
    assert all(next(iter(content)) in raw for content, raw in zip(contents, kept, strict=True))
