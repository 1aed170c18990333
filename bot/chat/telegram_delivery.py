"""Sends files to chats over Telegram from a thread that has no event loop: sealed backups, to their owner."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from pathlib import Path

from telegram import Bot
from telegram.error import TelegramError

from bot.chat.telegram_account import Account

PATIENCE_S = 300.0


class DeliveryProblem(Exception):
    """Files that did not go out; `str()` names the kind of error, without the token."""


def send_files(account: Account, addresses: Sequence[str], files: Sequence[Path], caption: str) -> None:
    """Send the files, the caption with the first, to each of the chats. Raises DeliveryProblem."""
    try:
        asyncio.run(_send(account, addresses, files, caption))
    except (TelegramError, OSError) as error:
        raise DeliveryProblem(type(error).__name__) from None


async def _send(account: Account, addresses: Sequence[str], files: Sequence[Path], caption: str) -> None:
    server = account.server.rstrip("/") or "https://api.telegram.org"
    async with Bot(account.token, base_url=f"{server}/bot", base_file_url=f"{server}/file/bot") as bot:
        for address in addresses:
            for number, file in enumerate(files):
                await bot.send_document(
                    int(address),
                    file,
                    caption=caption if number == 0 else None,
                    filename=file.name,
                    disable_notification=True,
                    read_timeout=PATIENCE_S,
                    write_timeout=PATIENCE_S,
                )
