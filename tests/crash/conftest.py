"""Prints what the kills came to: how many, over how many messages, and how many replies came twice."""

from __future__ import annotations

import pytest

KILLED = "killed"


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    found = [
        value
        for report in [*terminalreporter.getreports("passed"), *terminalreporter.getreports("failed")]
        for name, value in report.user_properties
        if name == KILLED and report.when == "call"
    ]
    if found:
        kills, messages, doubled = (sum(column) for column in zip(*found, strict=True))
        terminalreporter.write_line(f"{kills} random kills over {messages} messages; {doubled} replies sent twice")
