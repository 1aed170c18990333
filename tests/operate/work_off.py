"""Handles messages with the whole program until killed: work_off.py ADDRESS."""

import sys
from datetime import UTC, datetime

from bot.app.intake import Intake
from bot.store.database import open_database
from bot.store.people import CollectionSettings

intake = Intake(open_database(sys.argv[1], create=False), CollectionSettings(zone="Europe/London", latitude=51.5))
while True:
    intake.work(datetime(2026, 4, 15, 10, 0, tzinfo=UTC), most=1)
