"""Which backups are kept: the newest of each of 7 days, 4 weeks and 12 months, whatever the clock does."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from bot.store.rotation import DAYS, MONTHS, WEEKS, name_of, named, superseded

END = datetime(2026, 12, 31, 3, 30, tzinfo=UTC)


def two_years_of_mornings() -> list[str]:
    """Let a backup be made each morning, and remove what it supersedes."""
    kept: list[str] = []
    for days in range(730, -1, -1):
        kept.append(name_of(END - timedelta(days=days), "daily"))
        gone = superseded(kept, kept[-1])
        kept = [one for one in kept if one not in gone]
    return kept


def test_two_years_leave_days_weeks_and_months() -> None:
    kept = two_years_of_mornings()
    moments = [one.moment for one in map(named, kept) if one]
    assert moments == sorted(moments)
    assert len(moments) <= DAYS + WEEKS + MONTHS
    assert moments[-DAYS:] == [END - timedelta(days=days) for days in range(DAYS - 1, -1, -1)]
    for week in range(WEEKS):
        assert any((END - timedelta(weeks=week)).isocalendar()[:2] == one.isocalendar()[:2] for one in moments)
    assert {(2026, month) for month in range(1, 13)} <= {(one.year, one.month) for one in moments}


def test_what_a_person_asked_for_stays() -> None:
    mine = [name_of(END - timedelta(days=days)) for days in range(400)]
    assert superseded(mine) == []


def test_of_those_before_a_migration_the_newest_three_stay() -> None:
    names = [name_of(END - timedelta(days=days), f"before-{9 - days:04d}") for days in range(6)]
    assert superseded(names) == names[5:2:-1]


def test_one_made_by_a_clock_that_went_back_a_year_stays() -> None:
    kept = two_years_of_mornings()
    early = name_of(END - timedelta(days=3650), "daily")
    assert early not in superseded([*kept, early], early)
    assert set(superseded([*kept, early], early)) <= set(kept)


def test_other_files_are_not_touched() -> None:
    others = [
        "notes.txt",
        "potside.db",
        "potside-2026.zip",
        "potside-20269999T000000Z-daily.zip",
        "xpotside-20260101T000000Z-daily.zip",
    ]
    assert superseded(others) == []


@given(st.lists(st.datetimes(datetime(2000, 1, 1), datetime(2100, 1, 1)), max_size=60))  # noqa: DTZ001  the zone is added below
def test_the_newest_is_never_removed_and_the_number_is_bounded(moments: list[datetime]) -> None:
    names = {name_of(one.replace(tzinfo=UTC), "daily") for one in moments}
    gone = set(superseded(names))
    assert gone <= names
    assert len(names - gone) <= DAYS + WEEKS + MONTHS
    if names:
        assert max(names) not in gone
        assert set(superseded(names - gone)) == set()
