"""The rounds: what goes out by itself, once, at its local time: the morning message, and reminders that have their minute."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from bot.app import frost_warnings, projecting, wording
from bot.app.directing import heading
from bot.app.groups import CAN_WAIT, Group, for_the_morning, grouped, shown_in_the_morning
from bot.app.holding import AWAY, NOTHING_DUE, absence, for_the_grower, is_quiet, last_seen, sign_of_life_due, with_extra
from bot.app.intake import local
from bot.app.plan import View
from bot.app.projecting import Memory
from bot.app.which import Talk
from bot.care.due_values import Due
from bot.messages import Outgoing
from bot.store import carelog, notes, outbox, people, projections
from bot.store.database import Connection, Database
from bot.store.people import Chat, Collection, CollectionSettings


def run_rounds(database: Database, now: datetime, memory: Memory | None = None) -> int:
    """Put what is to go out by itself until `now` into the outbox, each once; return how many messages that were.

    `memory` is what the process holds of its collections, where it has an intake.
    """
    memory = Memory() if memory is None else memory
    with database.read() as conn:
        collections = people.all_collections(conn)
    made = 0
    try:
        for one in collections:
            with database.write() as conn:
                carelog.lock(conn, one.id)
                made += sum(rule(conn, one, now, memory) for rule in (_timed, _frost, _morning))
    except BaseException:
        memory.forget()
        raise
    return made


def next_wake(database: Database, after: datetime) -> datetime | None:
    """Return the next moment after `after` at which something goes out by itself; None where nobody is served."""
    moments: list[datetime] = []
    with database.read() as conn:
        for one in people.all_collections(conn):
            moments.append(_next_morning(one.settings, after))
            moments += [moment for moment, _ in _timed_reminders(_reminders(conn, one.id), one.settings) if moment > after]
    return min(moments, default=None)


def moment_of(day: date, at: time, zone: ZoneInfo) -> datetime:
    """Return the UTC moment of a local time: the first of a repeated hour, and after a gap the first minute that exists."""
    wanted = datetime.combine(day, at)
    while True:
        moment = wanted.replace(tzinfo=zone).astimezone(UTC)
        if moment.astimezone(zone).replace(tzinfo=None) == wanted:
            return moment
        wanted += timedelta(minutes=1)


def _next_morning(settings: CollectionSettings, after: datetime) -> datetime:
    zone = ZoneInfo(settings.zone)
    today = after.astimezone(zone).date()
    moments = (moment_of(today + timedelta(days=one), settings.morning_time, zone) for one in range(3))
    return next(one for one in moments if one > after)


def _morning(conn: Connection, collection: Collection, now: datetime, memory: Memory) -> int:
    """The morning message of today, if its time has come. After a stop of days one message gathers all that is overdue."""
    here = local(now, collection.settings)
    moment = moment_of(here.date(), collection.settings.morning_time, ZoneInfo(collection.settings.zone))
    key = f"morning:{collection.id}:{here.date()}"
    if now < moment or outbox.has_key(conn, key) or not _spoken_before(conn, collection.id, moment):
        return 0
    chats = people.owner_chats(conn, collection.id)
    last = _last_morning(conn, collection, chats)
    if last >= here.date():
        return 0
    since = last_seen(last, collection.settings, here.date())
    held = memory.current(conn, collection.id)
    setting = projecting.setting_for(held, held.standing, collection.settings, here.date())
    held = projecting.save(conn, collection.id, held, held.standing, setting)
    memory.keep(collection.id, held)
    view = _view(held, collection, here)
    due = for_the_grower((one for one in held.dues() if one.on <= here.date()), collection.settings, here.date())
    groups = for_the_morning(grouped(due, here.date()), here.date()) if is_news(due, since, here.date()) else []
    made = 0
    for chat in chats:
        question = notes.open_question(conn, chat.id, collection.id)
        question = None if question is not None and question.ask == "cause" else question  # asked once, kindly
        # Asked again once, on the morning after; then it is left to the grower.
        waiting = [question.text] if question and question.sent_at > now - timedelta(days=1) else []
        message = wording.morning(groups, waiting, view) if groups or waiting else _without_news(view)
        if message is not None:
            unique = key if not made else f"{key}:{chat.id}"
            made += _put(conn, unique, chat, message, "digest", now, [one.listed for one in groups])
        _remember(conn, chat, groups if groups or waiting else None, here.date())
    gone = absence(collection.settings)
    if gone is not None and here.date() >= gone.back:
        people.save_settings(conn, collection.id, with_extra(collection.settings, **{AWAY: None}))
    return made


def _without_news(view: View) -> Outgoing | None:
    """What is said on a morning without news, where that is wanted: that nothing is due, or on Sundays a sign of life."""
    nothing = not any(one.on <= view.today for one in view.due)
    if nothing and view.settings.extra.get(NOTHING_DUE):
        return wording.nothing_due()
    return wording.sign_of_life(view) if sign_of_life_due(view.settings, view.today, ()) else None


def _put(conn: Connection, key: str, chat: Chat, message: Outgoing, kind: str, now: datetime, listed: Sequence[str] = ()) -> bool:
    """Put a message out; in a chat that speaks of another collection the own one is named."""
    told = wording.headed(message, heading(conn, chat)) if chat.passing else message
    return outbox.put(conn, key, chat.id, told, kind, now, listed=listed)


def _frost(conn: Connection, collection: Collection, now: datetime, memory: Memory) -> int:
    """The warning of a cold night that a note forecast for today, to the owners whom no answer has told, never in quiet hours."""
    here = local(now, collection.settings)
    forecasts = frost_warnings.to_tell(conn, collection.id, here.date())
    morning = here.time() >= collection.settings.morning_time
    if not forecasts or is_quiet(here, collection.settings):
        return 0
    view = _view(memory.current(conn, collection.id), collection, here)
    made = 0
    for one in forecasts:
        if not morning and not frost_warnings.noted_on(conn, collection, here.date()):
            continue  # noted on an earlier day: the morning is soon enough
        night = frost_warnings.harmful(one, view)
        for chat in people.owner_chats(conn, collection.id) if night else ():
            if night and not frost_warnings.answered(conn, collection, chat, here.date()):
                made += _put(conn, f"{one.key}:{chat.id}", chat, wording.frost(night, view), "urgent", now)
        frost_warnings.mark_told(conn, one, now)
    return made


def _last_morning(conn: Connection, collection: Collection, chats: Sequence[Chat]) -> date:
    """Return the last day whose morning was looked at, else the day of the first note: its answers told what it brought."""
    mornings = [date.fromisoformat(talk.morning) for one in chats if (talk := Talk.from_json(one.talk)).morning]
    first = notes.first_note_at(conn, collection.id)
    assert first is not None
    return max(mornings, default=local(first, collection.settings).date())


def is_news(dues: Sequence[Due], since: date, today: date) -> bool:
    """Whether a morning has something to tell: first or last days after `since`, or on Mondays what is overdue.

    The same list every morning would soon be read by nobody.
    """
    days = {day for one in dues for day in (one.on, None if one.kind in CAN_WAIT else one.until) if day is not None}
    return any(since < day <= today for day in days) or (bool(dues) and today.weekday() == 0)


def _spoken_before(conn: Connection, collection_id: int, moment: datetime) -> bool:
    """Whether the collection had a note before this morning: the first day brings no morning message after the fact."""
    first = notes.first_note_at(conn, collection_id)
    return first is not None and first < moment


def _remember(conn: Connection, chat: Chat, groups: list[Group] | None, morning: date | None = None) -> None:
    """Keep which list the chat was shown, if any, and which morning was looked at."""
    talk = Talk.from_json(chat.talk)
    if groups is not None:
        talk = replace(
            talk,
            listed=tuple(one.listed for one in groups),
            shown=shown_in_the_morning(groups, morning) if morning else len(groups),
        )
    talk = replace(talk, morning=morning.isoformat() if morning else talk.morning)
    people.save_talk(conn, chat.id, talk.to_json(), chat.collection_id)


def _reminders(conn: Connection, collection_id: int) -> list[Due]:
    return [projecting.due_of(one) for one in projections.load_due(conn, collection_id, kind="reminder")]


def _timed(conn: Connection, collection: Collection, now: datetime, memory: Memory) -> int:
    made = 0
    for moment, due in _timed_reminders(_reminders(conn, collection.id), collection.settings):
        key = f"timed:{due.key}"
        if moment > now or outbox.has_key(conn, key):
            continue
        held = memory.current(conn, collection.id)
        group = Group((due,))
        for number, chat in enumerate(people.owner_chats(conn, collection.id)):
            view = _view(held, collection, local(now, collection.settings))
            unique = f"{key}:{chat.id}" if number else key
            made += _put(conn, unique, chat, wording.reminded(group, view), "reminder", now, [group.listed])
            _remember(conn, chat, [group])
    return made


def _timed_reminders(dues: Sequence[Due], settings: CollectionSettings) -> Iterator[tuple[datetime, Due]]:
    zone = ZoneInfo(settings.zone)
    for due in dues:
        if due.kind == "reminder" and due.why.get("at"):
            yield moment_of(due.on, time.fromisoformat(str(due.why["at"])), zone), due


def _view(held: projecting.Projection, collection: Collection, here: datetime) -> View:
    setting = projecting.setting_for(held, held.standing, collection.settings, here.date())
    return View(now=here, standing=held.standing, setting=setting, settings=collection.settings, due=held.dues())
