"""The token stays out of what is logged."""

from __future__ import annotations

import io
import logging

from bot.chat.telegram_log import WithoutToken

TOKEN = "110201543:AAHdqTcvCH1vGWJxfSeofSAs0K5PALDsaw"


def test_the_token_is_replaced_in_messages_arguments_and_tracebacks() -> None:
    written = io.StringIO()
    handler = logging.StreamHandler(written)
    handler.setFormatter(WithoutToken(logging.Formatter("%(message)s"), TOKEN))
    logger = logging.Logger("test")
    logger.addHandler(handler)
    logger.warning("GET https://api.telegram.org/bot%s/getMe", TOKEN)
    try:
        int(TOKEN)
    except ValueError:
        logger.exception("No luck")
    assert TOKEN not in written.getvalue()
    assert written.getvalue().count("<token>") >= 2
