"""What every test may use: `--sources` prints the published checks by source, with the worst error of each."""

from __future__ import annotations

import signal
from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta

import pytest

# A suite begun in the background may have the interrupt ignored, and what is ignored stays so in every program it starts:
# a chat that is to be interrupted would then wait for ever.
signal.signal(signal.SIGINT, signal.default_int_handler)
CHECKED = "checked against"


@dataclass(frozen=True, slots=True)
class Checker:
    """Compares a result with a figure from outside the project and remembers how far off it was."""

    record: Callable[[str, object], None]

    def close(self, got: float, printed: float, tolerance: float, source: str, unit: str = "", *, relative: bool = False) -> None:
        """Fail unless `got` is within `tolerance` of the printed figure (a share of it where `relative`)."""
        error = abs(got - printed)
        allowed = tolerance * abs(printed) if relative else tolerance
        share = error / abs(printed) if relative else error
        self.record(CHECKED, (source, share, "share" if relative else unit))
        assert error <= allowed + 1e-12, f"{source}: printed {printed:g} {unit}, got {got:g}, allowed +-{allowed:g}"

    def within(self, got: timedelta, tolerance: timedelta, source: str) -> None:
        """Fail unless a difference in time is within the tolerance; remembered in minutes."""
        minutes = abs(got) / timedelta(minutes=1)
        self.record(CHECKED, (source, minutes, "min"))
        assert abs(got) <= tolerance, f"{source}: {minutes:.2f} minutes off, allowed {tolerance}"


@pytest.fixture
def published(record_property: Callable[[str, object], None]) -> Checker:
    """The checker; `pytest --sources` prints what it has compared."""
    return Checker(record_property)


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--sources", action="store_true", help="print the published checks by source, with the worst error")


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    if not config.getoption("--sources"):
        return
    table: dict[tuple[str, str], list[float]] = {}
    for report in [*terminalreporter.getreports("passed"), *terminalreporter.getreports("failed")]:
        for name, value in report.user_properties:
            if name == CHECKED and report.when == "call":
                source, error, unit = value
                table.setdefault((source, unit), []).append(error)
    terminalreporter.section("checks by source")
    terminalreporter.write_line(f"{'checks':>6}  {'worst error':>14}  source")
    for (source, unit), errors in sorted(table.items(), key=lambda row: -len(row[1])):
        terminalreporter.write_line(f"{len(errors):>6}  {max(errors):>8.4f} {unit:<5}  {source}")
    terminalreporter.write_line(f"{sum(map(len, table.values())):>6}  in all, against {len(table)} sources")
