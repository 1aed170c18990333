"""Words about care that are asked for by name and are no bench notes: a computation, a dose, a standing word."""

from __future__ import annotations

import re

from bot.app.accessioning import accession_command
from bot.app.day_questions import day_asked
from bot.app.dosing import is_bare_dose, labels_said, worked_dose
from bot.app.kept_rules import RULE_COMMANDS
from bot.app.law_words import law_command
from bot.app.lineage_words import lineage_command
from bot.app.loss_questions import loss_command
from bot.app.lot_intake import lot_came
from bot.app.lot_words import lot_command
from bot.app.mix_words import mix_words_command
from bot.app.naming_words import naming_command
from bot.app.neighbour_words import neighbour_command
from bot.app.own_labels import own_label_command
from bot.app.picture_words import as_picture
from bot.app.place_words import place_command
from bot.app.plan import Draft
from bot.app.pot_words import pot_command
from bot.app.potting_out import buy_command, measured_command, mix_command, which_pot_command
from bot.app.provenance_words import provenance_command
from bot.app.reckoning import reckon_line
from bot.app.record_words import record_command
from bot.app.ruling import rule_event
from bot.app.same_words import same_command
from bot.app.setting_words import changed_settings
from bot.app.when_asked import release_asked, resting_asked, when_asked
from bot.app.wishing import wish_command
from bot.care.reckon import ReckonError, reckon, reckon_list


def care_command(text: str, draft: Draft) -> bool:
    """Carry out a text that asks for a computation or sets a rule; False where it is a note for the reader or a picture's."""
    return not as_picture(text) and any(rule(text, draft) for rule in _RULES)


def _reckon(text: str, draft: Draft) -> bool:
    line = reckon_line(text)
    if line is None:
        return False
    name, given = line
    if not given and name in ("", "list"):
        draft.say("answer", about="reckoned", listed=reckon_list())
        return True
    try:
        draft.say("answer", about="reckoned", made=reckon(name, given).as_dict())
    except ReckonError as problem:
        draft.say("answer", about="reckoned", problem=str(problem))
    return True


def _dose(text: str, draft: Draft) -> bool:
    if not is_bare_dose(text):
        return False
    draft.say("answer", about="dose", worked=worked_dose(text, labels=labels_said(draft.view.standing.rules)))
    return True


_NORMALS = re.compile(r"(?:my |the |monthly )*normals?:? (?:are )?-?\d.*", re.IGNORECASE)


def _normals(text: str, draft: Draft) -> bool:
    """Take "normals 2/8 2/9 …" as the setting it is."""
    if not _NORMALS.fullmatch(text):
        return False
    before = draft.view.settings
    try:
        draft.settings = changed_settings(before, text)
    except ValueError as wrong:
        draft.say("setting_wrong", problem=str(wrong))
        return True
    draft.say("setting", words=text, before=before, after=draft.settings)
    return True


_RULES = (
    law_command,
    accession_command,
    same_command,
    pot_command,
    neighbour_command,
    lineage_command,
    lot_command,
    lot_came,
    mix_words_command,
    own_label_command,
    provenance_command,
    naming_command,
    record_command,
    place_command,
    loss_command,
    _normals,
    when_asked,
    release_asked,
    resting_asked,
    day_asked,
    *RULE_COMMANDS,
    _reckon,
    _dose,
    rule_event,
    measured_command,
    which_pot_command,
    buy_command,
    mix_command,
    wish_command,
)
