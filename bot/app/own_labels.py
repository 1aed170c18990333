"""Plants that come into the record under a label of the grower's own scheme: "K-17b is a lobivia", "bought K-17b from Anna"."""

from __future__ import annotations

import re
from dataclasses import replace

from bot.app import acts
from bot.app.lot_labels import LABELS, labels_of
from bot.app.lot_words import here
from bot.app.plan import Draft
from bot.notes.reader import read
from bot.notes.reading import Selection

_NAMED = re.compile(
    rf"(?:no\.? ?|#|number )?(?P<labels>{LABELS}) (?P<rest>(?:is|are) (?:now )?(?:an? |my |the )?[a-z].*)", re.IGNORECASE
)
_CAME = re.compile(
    rf"(?P<verb>bought|got|received|acquired) (?:no\.? ?|#|number )?(?P<labels>{LABELS})"
    r"(?P<rest>(?:,? (?:from|for|today|yesterday|on|last) .*|,? (?:today|yesterday))?)",
    re.IGNORECASE,
)
# What no grower's label looks like, though its shape is that of one: a size, an amount, a sowing.
_NO_LABEL = re.compile(r"\d+(?:s|l|g|m|c|f|x|k)|S\d+|pH ?\d+", re.IGNORECASE)
_STANDS_FOR_THEM = "99871"  # a number that no note holds, so that the reader reads the words around it as it reads any label


def own_label_command(text: str, draft: Draft) -> bool:
    """Write what a note says of plants whose labels are no bare numbers and not known yet; False where it says none of that."""
    said = " ".join(text.split())
    for pattern in (_NAMED, _CAME):
        match = pattern.fullmatch(said)
        labels = labels_of(match["labels"]) if match is not None else ()
        if match is None or not _are_own(labels) or (pattern is _NAMED and here(labels, draft.view.standing)):
            continue
        before = f"{match['verb']} #" if pattern is _CAME else ""
        rest = match["rest"].strip()
        return _written(f"{before}{_STANDS_FOR_THEM}{'' if rest.startswith(',') else ' '}{rest}".strip(), labels, draft)
    return False


def _are_own(labels: tuple[str, ...]) -> bool:
    return bool(labels) and not any(one.isdigit() or _NO_LABEL.fullmatch(one) for one in labels)


def _written(text: str, labels: tuple[str, ...], draft: Draft) -> bool:
    view = draft.view
    found = read(text, view.now.replace(tzinfo=None), view.standing.names(), language=view.settings.language)
    entries = [one for one in found.entries if one.type != "remark"]
    ours = all(one.act in ("named", "acquired") and one.which and one.which.labels == (_STANDS_FOR_THEM,) for one in entries)
    if found.decision != "log" or not entries or not ours:
        return False
    for one in entries:
        acts.act(draft, replace(one, which=replace(one.which or Selection(), labels=labels)))
    return True
