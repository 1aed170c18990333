"""The terminal's clock: what may be written after @, in the zone of the person."""

from __future__ import annotations

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from bot.chat.clock import Clock, ClockProblem, local_zone, moment_of

PRAGUE = ZoneInfo("Europe/Prague")
NOW = datetime(2026, 4, 15, 10, 40, tzinfo=PRAGUE)


@pytest.mark.parametrize(
    ("words", "moment"),
    [
        ("2026-05-01T08:00", "2026-05-01T06:00+00:00"),
        (" 2026-05-01 08:00 ", "2026-05-01T06:00+00:00"),
        ("2026-05-01", "2026-05-01T07:00+00:00"),  # a bare date is nine in the morning
        ("2026-05-01T08:00+00:00", "2026-05-01T08:00+00:00"),
        ("2026-01-01T08:00", "2026-01-01T07:00+00:00"),
        ("+1", "2026-04-16T08:40+00:00"),
        ("+1 07:35", "2026-04-16T05:35+00:00"),
        ("-40 days", "2026-03-06T09:40+00:00"),  # the same time of day on the other side of the clock change
        ("2026-03-29T02:30", "2026-03-29T01:30+00:00"),  # a time that the clock change leaves out
    ],
)
def test_moments(words: str, moment: str) -> None:
    assert moment_of(words, NOW) == datetime.fromisoformat(moment)


@pytest.mark.parametrize(
    "words",
    [
        "",
        "soon",
        "2026-02-31",
        "31 feb",
        "2026-13-01",
        "25:00",
        "+1 25:00",
        "0001-01-01",
        "9999-12-31",
        "+99999",
        "\x00",
        "é" * 5000,
    ],
)
def test_what_is_no_moment(words: str) -> None:
    with pytest.raises(ClockProblem) as caught:
        moment_of(words, NOW)
    assert len(str(caught.value)) < 150


def test_a_pretended_clock_stands() -> None:
    clock = Clock(PRAGUE, NOW.astimezone(UTC))
    assert clock.now() == clock.now() == NOW
    clock.put(datetime(2026, 5, 1, 8, tzinfo=PRAGUE))
    assert clock.local().isoformat() == "2026-05-01T08:00:00+02:00"
    assert clock.now().tzinfo is UTC


def test_a_real_clock_goes() -> None:
    clock = Clock(PRAGUE)
    before = datetime.now(UTC)
    assert before <= clock.now() <= datetime.now(UTC)


def test_zones(monkeypatch: pytest.MonkeyPatch) -> None:
    assert local_zone("Asia/Tokyo").key == "Asia/Tokyo"
    with pytest.raises(ClockProblem):
        local_zone("Nowhere")
    with pytest.raises(ClockProblem):
        local_zone("../../etc/passwd")
    monkeypatch.setenv("TZ", "America/Lima")
    assert local_zone(None).key == "America/Lima"
