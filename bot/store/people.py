"""Who talks, in which chat, about which collection, and how that collection is set up."""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from datetime import time
from typing import Any

import sqlalchemy as sa
from sqlalchemy import Connection

from bot.store.locks import NEWCOMER, wait_for
from bot.store.tables import accounts, chats, collections, members, people

ROLES = ("owner", "helper", "guest")
ELSEWHERE = "elsewhere"  # where a chat's talk keeps what the talks about other collections left behind, by their id


@dataclass(frozen=True, slots=True)
class CollectionSettings:
    """How a collection is set up.

    `zone` is a time zone by name, `latitude` and `longitude` are in degrees (north and east positive), `units` metric or
    us, `date_order` dmy or mdy, `morning_time` the local time of the morning message, `language` a two-letter code.
    `normals` holds twelve pairs of mean daily minimum and maximum in °C, January first, or nothing; `floor_c` is the
    temperature below which the house is kept from falling, in °C. `extra` holds settings that have no field yet.
    """

    name: str = ""
    zone: str = "UTC"
    latitude: float | None = None
    longitude: float | None = None
    units: str = "metric"
    date_order: str = "dmy"
    morning_time: time = time(7, 30)
    language: str = "en"
    normals: tuple[tuple[float, float], ...] = ()
    floor_c: float | None = None
    extra: Mapping[str, Any] = field(default_factory=dict)

    def to_json(self) -> dict[str, Any]:
        """Return the settings as JSON values."""
        out = {one.name: getattr(self, one.name) for one in fields(self)}
        return out | {"morning_time": self.morning_time.isoformat(), "normals": [list(pair) for pair in self.normals]}

    @classmethod
    def from_json(cls, given: Mapping[str, Any]) -> CollectionSettings:
        """Return the settings that `to_json` wrote; a field that was not there yet has its default."""
        known = {one.name for one in fields(cls)}
        values = {name: value for name, value in given.items() if name in known}
        if "morning_time" in values:
            values["morning_time"] = time.fromisoformat(values["morning_time"])
        values["normals"] = tuple((low, high) for low, high in values.get("normals", ()))
        return cls(**values)


@dataclass(frozen=True, slots=True)
class Chat:
    """A chat, who speaks in it, and the collection spoken of.

    `talk` is what the talk about that collection left behind, as JSON values: what was last spoken of, the last list shown.
    `passing` marks a chat that is usually about another collection.
    """

    id: int
    person_id: int
    collection_id: int
    transport: str
    address: str
    talk: Mapping[str, Any]
    passing: bool = False

    def about(self, collection_id: int) -> Chat:
        """Return the chat as it is while it speaks of a collection, with what that talk left behind."""
        if collection_id == self.collection_id:
            return self
        talk = self.talk.get(ELSEWHERE, {}).get(str(collection_id), {})
        return replace(self, collection_id=collection_id, talk=talk, passing=True)


@dataclass(frozen=True, slots=True)
class Collection:
    """A collection with the random id by which the outside may know it."""

    id: int
    public_id: str
    settings: CollectionSettings


@dataclass(frozen=True, slots=True)
class Membership:
    """A collection, and what a person is to it: one of `ROLES`."""

    collection: Collection
    role: str


def chat_of(conn: Connection, transport: str, address: str, sender: str, defaults: CollectionSettings) -> Chat:
    """Return the chat at this address, with the person who is speaking; needs a writing connection.

    On the first message the person, the chat, and for a person who belongs to none yet a collection with the settings
    `defaults` (owned by that person) are created. An empty `sender` means that the address itself is the person.
    """
    found, person_id = find_chat(conn, transport, address), _person(conn, transport, sender or address)
    if found is None or person_id is None:
        wait_for(conn, NEWCOMER)
        found, person_id = find_chat(conn, transport, address), _person(conn, transport, sender or address)
    if person_id is None:
        person_id = _add_person(conn, transport, sender or address)
    if found is not None:
        return Chat(found.id, person_id, found.collection_id, transport, address, found.talk)
    collection_id = _collection_of(conn, person_id)
    if collection_id is None:
        collection_id = add_collection(conn, person_id, defaults)
    row = {"transport": transport, "address": address, "person_id": person_id, "collection_id": collection_id, "talk": {}}
    chat_id: int = conn.execute(sa.insert(chats).values(row).returning(chats.c.id)).scalar_one()
    return Chat(chat_id, person_id, collection_id, transport, address, {})


def find_chat(conn: Connection, transport: str, address: str) -> Chat | None:
    """Return the chat at this address with the person who opened it, or None where nobody has spoken there."""
    row = conn.execute(sa.select(chats).where(chats.c.transport == transport, chats.c.address == address)).first()
    return None if row is None else _chat(row)


def chat_by_id(conn: Connection, chat_id: int) -> Chat:
    """Return a chat with the person who opened it. Raises NoResultFound where there is no such chat."""
    return _chat(conn.execute(sa.select(chats).where(chats.c.id == chat_id)).one())


def join(conn: Connection, transport: str, address: str, sender: str, collection_id: int, role: str) -> Chat:
    """Make who speaks at this address a member of a collection and let the chat be about it; an owner stays an owner.

    The person and the chat are created where they are new.
    """
    wait_for(conn, NEWCOMER)
    known = _person(conn, transport, sender)
    person_id = _add_person(conn, transport, sender) if known is None else known
    if role_of(conn, collection_id, person_id) != "owner":
        set_role(conn, collection_id, person_id, role)
    chat = chat_of(conn, transport, address, sender, CollectionSettings())  # makes no collection: the person has one now
    if chat.collection_id == collection_id:
        return chat
    speak_of(conn, chat.id, collection_id)
    return chat_by_id(conn, chat.id)


def chats_on(conn: Connection, transport: str) -> list[Chat]:
    """Return every chat of a transport with the person who opened it, oldest first."""
    return [_chat(row) for row in conn.execute(sa.select(chats).where(chats.c.transport == transport).order_by(chats.c.id))]


def move_chat(conn: Connection, transport: str, old_address: str, new_address: str) -> bool:
    """Give a chat its new address; False where there is none at the old one, or one at the new one already."""
    if find_chat(conn, transport, new_address) is not None:
        return False
    mine = sa.and_(chats.c.transport == transport, chats.c.address == old_address)
    return conn.execute(sa.update(chats).where(mine).values(address=new_address)).rowcount == 1


def save_talk(conn: Connection, chat_id: int, talk: Mapping[str, Any], collection_id: int | None = None) -> None:
    """Keep what this talk left behind, in place of what was there: about a collection, by default the one spoken of."""
    chat = chat_by_id(conn, chat_id)
    elsewhere = dict(chat.talk.get(ELSEWHERE, {}))
    if collection_id in (None, chat.collection_id):
        _write_talk(conn, chat, talk, elsewhere)
    else:
        _write_talk(conn, chat, chat.talk, elsewhere | {str(collection_id): _bare(talk)})


def speak_of(conn: Connection, chat_id: int, collection_id: int) -> None:
    """Let the chat be about this collection from now on; what the talk about each left behind is kept."""
    chat = chat_by_id(conn, chat_id)
    if chat.collection_id == collection_id:
        return
    elsewhere = dict(chat.talk.get(ELSEWHERE, {})) | {str(chat.collection_id): _bare(chat.talk)}
    talk = elsewhere.pop(str(collection_id), {})
    conn.execute(sa.update(chats).where(chats.c.id == chat_id).values(collection_id=collection_id))
    _write_talk(conn, chat, talk, elsewhere)


def _bare(talk: Mapping[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in talk.items() if key != ELSEWHERE}


def _write_talk(conn: Connection, chat: Chat, talk: Mapping[str, Any], elsewhere: Mapping[str, Any]) -> None:
    kept = _bare(talk) | ({ELSEWHERE: dict(elsewhere)} if elsewhere else {})
    conn.execute(sa.update(chats).where(chats.c.id == chat.id).values(talk=kept))


def add_collection(conn: Connection, owner_id: int, settings: CollectionSettings) -> int:
    """Create a collection owned by a person and return its id."""
    row = {"public_id": _random_id(), "settings": settings.to_json()}
    collection_id: int = conn.execute(sa.insert(collections).values(row).returning(collections.c.id)).scalar_one()
    set_role(conn, collection_id, owner_id, "owner")
    return collection_id


def settings_of(conn: Connection, collection_id: int) -> CollectionSettings:
    """Return the settings of a collection. Raises NoResultFound where there is no such collection."""
    stored = conn.execute(sa.select(collections.c.settings).where(collections.c.id == collection_id)).scalar_one()
    return CollectionSettings.from_json(stored)


def save_settings(conn: Connection, collection_id: int, settings: CollectionSettings) -> None:
    """Replace the settings of a collection."""
    conn.execute(sa.update(collections).where(collections.c.id == collection_id).values(settings=settings.to_json()))


def all_collections(conn: Connection) -> list[Collection]:
    """Return every collection, oldest first: what the morning round goes through."""
    rows = conn.execute(sa.select(collections).order_by(collections.c.id))
    return [Collection(row.id, row.public_id, CollectionSettings.from_json(row.settings)) for row in rows]


def public_id_of(conn: Connection, collection_id: int) -> str:
    """Return the name of a collection that stays when rows are copied to another database."""
    return str(conn.execute(sa.select(collections.c.public_id).where(collections.c.id == collection_id)).scalar_one())


UNSPOKEN = ("parcel",)  # chats in which imported notes lie: nobody reads what is sent there


def owner_chats(conn: Connection, collection_id: int) -> list[Chat]:
    """Return the chats of the owners about this collection, oldest first: where its reminders go.

    An owner who speaks of another collection everywhere is told in the chat that is private, marked `passing`.
    """
    owners = sa.select(members.c.person_id).where(members.c.collection_id == collection_id, members.c.role == "owner")
    held = sa.select(chats).where(chats.c.person_id.in_(owners), chats.c.transport.not_in(UNSPOKEN)).order_by(chats.c.id)
    found = [_chat(row) for row in conn.execute(held)]
    about = [one for one in found if one.collection_id == collection_id]
    reached = {one.person_id for one in about}
    return about + [
        one.about(collection_id)
        for one in found
        if one.person_id not in reached and _person(conn, one.transport, one.address) == one.person_id
    ]


def is_private(conn: Connection, chat: Chat) -> bool:
    """Return whether a chat is one person's alone, not a group's."""
    return _person(conn, chat.transport, chat.address) == chat.person_id


def memberships(conn: Connection, person_id: int) -> list[Membership]:
    """Return the collections that a person belongs to, oldest first, each with what the person is to it."""
    query = sa.select(collections, members.c.role).join(members, members.c.collection_id == collections.c.id)
    rows = conn.execute(query.where(members.c.person_id == person_id).order_by(collections.c.id))
    return [Membership(Collection(row.id, row.public_id, CollectionSettings.from_json(row.settings)), row.role) for row in rows]


def role_of(conn: Connection, collection_id: int, person_id: int) -> str | None:
    """Return what a person is to a collection, one of `ROLES`, or None."""
    mine = sa.and_(members.c.collection_id == collection_id, members.c.person_id == person_id)
    return conn.execute(sa.select(members.c.role).where(mine)).scalar_one_or_none()


def is_host(conn: Connection, transport: str, person_id: int) -> bool:
    """Whether a person set the bot up on a transport: owns the first of the collections that an owner there speaks of."""
    speaks = sa.select(accounts.c.person_id).where(accounts.c.transport == transport)
    owned = sa.and_(members.c.role == "owner", members.c.person_id.in_(speaks))
    first = sa.select(sa.func.min(members.c.collection_id)).where(owned).scalar_subquery()
    mine = sa.select(members.c.person_id).where(owned, members.c.collection_id == first, members.c.person_id == person_id)
    return conn.execute(mine).first() is not None


def set_role(conn: Connection, collection_id: int, person_id: int, role: str) -> None:
    """Make a person an owner, helper or guest of a collection, whatever the person was to it before."""
    mine = sa.and_(members.c.collection_id == collection_id, members.c.person_id == person_id)
    if conn.execute(sa.update(members).where(mine).values(role=role)).rowcount == 0:
        conn.execute(sa.insert(members).values(collection_id=collection_id, person_id=person_id, role=role))


def remove_member(conn: Connection, collection_id: int, person_id: int) -> bool:
    """End what a person is to a collection; False where the person was nothing to it."""
    mine = sa.and_(members.c.collection_id == collection_id, members.c.person_id == person_id)
    return conn.execute(sa.delete(members).where(mine)).rowcount == 1


def _chat(row: sa.Row[Any]) -> Chat:
    return Chat(row.id, row.person_id, row.collection_id, row.transport, row.address, row.talk)


def _person(conn: Connection, transport: str, sender: str) -> int | None:
    mine = sa.and_(accounts.c.transport == transport, accounts.c.sender == sender)
    return conn.execute(sa.select(accounts.c.person_id).where(mine)).scalar_one_or_none()


def _add_person(conn: Connection, transport: str, sender: str) -> int:
    person_id: int = conn.execute(sa.insert(people).values(public_id=_random_id()).returning(people.c.id)).scalar_one()
    conn.execute(sa.insert(accounts).values(transport=transport, sender=sender, person_id=person_id))
    return person_id


def _collection_of(conn: Connection, person_id: int) -> int | None:
    mine = sa.select(members.c.collection_id).where(members.c.person_id == person_id).order_by(members.c.collection_id)
    return conn.execute(mine.limit(1)).scalar_one_or_none()


def _random_id() -> str:
    return secrets.token_urlsafe(12)
