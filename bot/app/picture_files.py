"""A picture written to a folder without a chat: the same facts and words as in a talk."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from bot.app import projecting
from bot.app.climates import setting_of
from bot.app.english import pictured
from bot.app.english.pictured import Picture
from bot.app.picture_talk import file_of, picture_of
from bot.app.picture_words import Asked, Of
from bot.app.plan import Draft, View
from bot.app.readings_import import collection_meant
from bot.care.due import all_due
from bot.sharing.files import content
from bot.sharing.picture_parts import FORMS
from bot.store import people
from bot.store.database import Database

KINDS: dict[str, Of] = {
    "degree-days": "degree_days",
    "drying": "drying",
    "due-load": "due_load",
    "flowering": "flowering",
    "germination": "germination",
    "survival": "survival",
    "watering": "watering",
}


def picture_written(
    database: Database, kind: str, about: str, folder: Path, form: str, now: datetime, collection: str
) -> tuple[str, Path]:
    """Write a picture into a folder; return the line that says what it shows, and the file.

    Raises ValueError, in words, for a kind, a form or a plant that is not known and where there is too little to draw;
    ReadingsProblem where nobody knows whose collection is meant; OSError.
    """
    of = KINDS.get(kind.strip().lower().replace("_", "-"))
    if of is None:
        raise ValueError(pictured.NO_SUCH_KIND.format(kind=kind[:40], kinds=", ".join(KINDS)))
    if form not in FORMS:
        raise ValueError(pictured.NO_SUCH_FORM.format(form=form[:20], forms=", ".join(FORMS)))
    with database.read() as conn:
        whose = collection_meant(people.all_collections(conn), collection)
        here = now.astimezone(ZoneInfo(whose.settings.zone))
        standing = projecting.load(conn, whose.id).standing
        setting = setting_of(standing, whose.settings, here.date())
        due = tuple(all_due(standing, setting))  # as of today: what is kept may be of another day
        draft = Draft(View(now=here, standing=standing, setting=setting, settings=whose.settings, due=due), "do", None)
        made, _ = picture_of(conn, whose.id, draft, Asked(of, about, form), [about] if about.strip() else [])
    if not isinstance(made, Picture):
        raise ValueError(made)  # noqa: TRY004  a sentence that says what is missing
    file = file_of(made, form)
    folder.mkdir(parents=True, exist_ok=True)
    (folder / file.name).write_bytes(content(file))
    return made.line, folder / file.name
