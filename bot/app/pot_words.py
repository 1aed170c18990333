"""The pot plants stand in: "12 and 14 are in 9s", "15 is in a 9 cm clay pot on bench 1". It is what is known, no potting."""

from __future__ import annotations

import re
from typing import Any

from bot.app.english import places as said
from bot.app.nearest import near
from bot.app.place_words import LARGEST_CM, SMALLEST_CM, is_place, pot_of_words
from bot.app.plan import Draft
from bot.app.same_words import plants_in
from bot.app.which import place_of

_IN_A_POT = re.compile(
    r"(?P<what>.{1,60}?) (?:is|are|stands?|sits?|live|lives)(?: now| both| all)?(?: in| into)(?: an?)? "
    r"(?P<pot>\d{1,3}(?:[.,]\d)? ?(?:cm|s|in|inch|inches|mm)??(?:[ ,].*?)??)"
    r"(?:,? (?:on|in|at) (?:the |my )?(?P<place>[a-z][\w' -]*))?[.! ]*",
    re.IGNORECASE,
)


def pot_command(text: str, draft: Draft) -> bool:
    """Keep the pot of the plants named; False where the text is a note for the reader."""
    match = _IN_A_POT.fullmatch(" ".join(text.split()))
    place = match["place"] if match is not None else None
    if place and not is_place(place.lower(), draft.view.standing):
        return False
    pot: dict[str, Any] | None = pot_of_words(match["pot"].lower()) if match is not None else None
    if match is None or not pot:
        return False
    which = plants_in(match["what"], draft)
    found = draft.which(which) if which is not None else None
    if found is None or found.open or any(one.kind not in ("plant", "lot", "batch") for one in found.refs):
        return False
    if found.new_labels:
        draft.tell(said.no_such(" and ".join(found.new_labels), near(found.new_labels[0], draft.view.standing)))
        return True
    if not SMALLEST_CM <= pot.get("cm", SMALLEST_CM) <= LARGEST_CM:
        draft.tell(said.no_pot(pot["cm"]))
        return True
    draft.say("known", draft.event("known", "pot", found.refs, draft.view.today, {"pot": pot}))
    if place:
        to = {"to": place_of(place.lower(), draft.view.standing)}
        draft.say("event", draft.event("event", "moved", found.refs, draft.view.today, to))
    draft.current, draft.opened = found.refs, True
    return True
