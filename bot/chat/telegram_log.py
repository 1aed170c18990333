"""Keeps the token out of every line that is logged."""

from __future__ import annotations

import logging

SHOWN_FOR_TOKEN = "<token>"  # noqa: S105  what stands in its place


class WithoutToken(logging.Formatter):
    """Formats as `inner` does, with every occurrence of `token` replaced, in tracebacks too."""

    def __init__(self, inner: logging.Formatter, token: str) -> None:
        """Wrap a formatter."""
        super().__init__()
        self._inner, self._token = inner, token

    def format(self, record: logging.LogRecord) -> str:
        """The line as it may be shown."""
        return self._inner.format(record).replace(self._token, SHOWN_FOR_TOKEN)


def guard(token: str) -> None:
    """Quiet the libraries that log addresses with the token in them, and replace it in what any root handler writes."""
    for name in ("httpx", "httpcore", "apscheduler"):
        logging.getLogger(name).setLevel(logging.WARNING)
    for handler in logging.getLogger().handlers:
        handler.setFormatter(WithoutToken(handler.formatter or logging.Formatter(logging.BASIC_FORMAT), token))
