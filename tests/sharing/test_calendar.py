"""The calendar of what is due, read back by an independent library and held against RFC 5545 (Desruisseaux, 2009)."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime

import pytest
import vobject

from bot.sharing.calendar import Entry, entity_tag, feed, from_recipe, recipe_of, uid

NOW = datetime(2026, 4, 15, 9, 40, tzinfo=UTC)
LONG = "Look for spider mites: " + "Sulcorebutia größer, " * 8 + "end"
ENTRIES = (
    Entry("dry|12|2026-04-10", date(2026, 4, 20), date(2026, 4, 28), "Drying-off check: 12, 13; the blue one", "4 to 9 days"),
    Entry("pest|14|2026-04-11", date(2026, 12, 31), None, LONG, "52 of 52\nby noon"),
)


def lines(entries: tuple[Entry, ...] = ENTRIES, revision: int = 7) -> list[str]:
    """The unfolded lines (RFC 5545, 3.1: a line goes on where the next begins with a blank)."""
    return re.sub("\r\n[ \t]", "", feed(entries, "Plants", NOW, revision).decode()).split("\r\n")


def test_another_library_reads_what_was_written() -> None:
    events = vobject.readOne(feed(ENTRIES, "Plants", NOW, 7).decode()).vevent_list
    assert [one.summary.value for one in events] == [one.summary for one in ENTRIES]
    assert [one.dtstart.value for one in events] == [date(2026, 4, 20), date(2026, 12, 31)]
    assert [one.dtend.value for one in events] == [date(2026, 4, 29), date(2027, 1, 1)]  # 3.6.1: the end is not part of it
    assert events[1].description.value == "52 of 52\nby noon"


def test_what_the_standard_requires_is_there_once() -> None:
    """RFC 5545, 3.6: PRODID and VERSION of a calendar; 3.6.1: UID and DTSTAMP of an event; 3.8.7.4: SEQUENCE."""
    text = lines()
    assert text[0] == "BEGIN:VCALENDAR"
    assert text[-2:] == ["END:VCALENDAR", ""]
    assert sum(one.startswith("PRODID:") for one in text) == sum(one == "VERSION:2.0" for one in text) == 1
    for name in ("UID:", "DTSTAMP:", "SEQUENCE:", "SUMMARY:", "DTSTART;VALUE=DATE:", "DTEND;VALUE=DATE:"):
        assert sum(one.startswith(name) for one in text) == len(ENTRIES), name
    assert "DTSTAMP:20260415T094000Z" in text  # 3.8.7.2: in UTC
    assert not [one for one in text if one.startswith("RRULE")]


def test_no_line_is_longer_than_75_octets_and_none_breaks_a_letter() -> None:
    """RFC 5545, 3.1: lines end with CRLF and are folded after at most 75 octets."""
    raw = feed(ENTRIES, "Plants", NOW, 7)
    assert b"\n" not in raw.replace(b"\r\n", b"")
    for one in raw.split(b"\r\n"):
        assert len(one) <= 75
        one.decode()


def test_commas_semicolons_and_line_breaks_are_escaped() -> None:
    """RFC 5545, 3.3.11."""
    assert "SUMMARY:Drying-off check: 12\\, 13\\; the blue one" in lines()
    assert "DESCRIPTION:52 of 52\\nby noon" in lines()


def test_an_event_keeps_its_name_while_its_date_moves_and_the_newer_copy_wins() -> None:
    moved = Entry(ENTRIES[0].key, date(2026, 4, 22), None, "Drying-off check")
    before = vobject.readOne(feed(ENTRIES[:1], "Plants", NOW, 7).decode()).vevent
    after = vobject.readOne(feed((moved,), "Plants", NOW, 8).decode()).vevent
    assert before.uid.value == after.uid.value == uid(ENTRIES[0].key)
    assert int(after.sequence.value) > int(before.sequence.value)
    assert after.dtstart.value > before.dtstart.value


def test_the_tag_tells_what_has_changed_and_not_when_it_was_made() -> None:
    made = feed(ENTRIES, "Plants", NOW, 7)
    later = feed(ENTRIES, "Plants", NOW.replace(hour=11), 7)
    assert made != later
    assert entity_tag(made) == entity_tag(later)
    assert entity_tag(made) not in (entity_tag(feed(ENTRIES[:1], "Plants", NOW, 7)), entity_tag(feed(ENTRIES, "Plants", NOW, 8)))


def test_an_empty_calendar_is_one() -> None:
    assert "BEGIN:VEVENT" not in lines(())
    assert vobject.readOne(feed((), "Plants", NOW, 0).decode()).name == "VCALENDAR"


def test_the_file_is_made_from_its_recipe() -> None:
    assert from_recipe(recipe_of(ENTRIES, "Plants", NOW, 7)) == feed(ENTRIES, "Plants", NOW, 7)


@pytest.mark.parametrize("words", ["BEGIN:VEVENT", "a\r\nATTENDEE:x@example.org", "a\nBEGIN:VALARM"])
def test_words_cannot_add_a_line(words: str) -> None:
    text = lines((Entry("k", date(2026, 4, 20), None, words),))
    assert sum(one == "BEGIN:VEVENT" for one in text) == 1
    assert not [one for one in text if one.startswith(("ATTENDEE", "BEGIN:VALARM"))]
