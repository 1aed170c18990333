"""The owner's words about lists that others may see: share, who opened it, extend, narrow, take back."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from bot.app.english import shared
from bot.app.plan import Draft, Plan, View
from bot.app.which import place_of
from bot.care.standing import Standing
from bot.notes.reader import read
from bot.notes.reading import Entry, Reading, Selection
from bot.sharing.files import attached, list_recipe
from bot.sharing.listing import Row, Shown, pictured, rows, wished_for
from bot.store import marks, photos, shares
from bot.store.database import Connection
from bot.store.shares import Share

OPEN_FOR = timedelta(days=30)  # where nobody said how long
START, PAGE = "share:start:", "share:page:"  # marks that hold where a link leads
PREFIX = "list_"
CALENDAR = "calendar"  # what a share of the calendar shows

_PARTNER = re.compile(r"\bwith (?P<partner>(?:an? |my )?[A-Za-z][\w'-]*)", re.IGNORECASE)
_OPENED = re.compile(
    r"(?:who (?:has |had )?(?:opened|seen|looked at|read) (?:my |the )?(?:list|lists|link|page|share)s?(?: \d+)?"
    r"|(?:show |list )?(?:my|the) shares|what (?:do i|am i) (?:share|sharing)|whats? (?:is )?shared)\W*",
    re.IGNORECASE,
)
_EXTEND = re.compile(
    r"(?:extend|keep|prolong) (?:my |the )?(?:list|link|share|page)(?: (?P<number>\d+))?"
    r"(?: open)?"
    r" (?P<until>(?:till|until|to) .+)",
    re.IGNORECASE,
)
_NARROW = re.compile(
    r"(?:narrow|limit|restrict) (?:my |the )?(?:list|link|share|page)(?: (?P<number>\d+))? to (?P<what>.+)", re.IGNORECASE
)
_SEND = re.compile(
    r"(?:send|give|make|show|export|print|download)(?: me)?(?: my| the| our)? ?(?:swap |shared? )?list(?: (?P<number>\d+))?"
    r"(?P<photos> with (?:the |my )?(?:photos|pictures|pics))?"
    r" (?:as|in|to|on) (?:an? )?(?P<how>pdf|paper|a4|csv|table|spreadsheet|html|web ?page|page|files?)(?: file)?",
    re.IGNORECASE,
)
_PHOTO = r"(?:photos?|pictures?|pics?|images?)"
_WITH_PHOTOS = re.compile(
    rf"\b(?:with|and|including|incl\.?|plus)(?: (?:the|my|all|our))? {_PHOTO}\b(?: and(?= with))?", re.IGNORECASE
)
_PICTURED = re.compile(
    rf"(?:(?P<on>add|put|show)(?: the| my)? {_PHOTO} (?:to|on|onto)"
    rf"|(?:no|without|take(?: the| my)?|remove(?: the| my)?|hide(?: the| my)?) {_PHOTO} (?:on|off|from))"
    r" (?:my |the )?list(?: (?P<number>\d+)| for (?P<other>\w+))?",
    re.IGNORECASE,
)
_OFFERED = re.compile(r"\b(?:offered|for swap|swap ?list|on offer|surplus|spares?)\b", re.IGNORECASE)
_EVERYTHING = re.compile(
    r"\b(?:share|send|show|publish|post|put up|let \w+ see)(?: \w+)?"
    r" (?:(?:all|everything|whole|entire)\b|(?:my|the|our) (?:\w+ )?(?:list|collection|plants|cacti|stock|page)\b)",
    re.IGNORECASE,
)
_FIELDS = frozenset(("taxa", "places", "lots", "labels", "kind"))


@dataclass(frozen=True, slots=True)
class Links:
    """Where a secret leads: what it is put behind, empty where there is no such way."""

    start: str = ""
    page: str = ""


def reachable(conn: Connection, links: Links, now: datetime) -> None:
    """Keep where links lead from now on."""
    for beginning, where in ((START, links.start), (PAGE, links.page)):
        for name in marks.names_marked(conn, beginning):
            marks.unmark(conn, name)
        if where:
            marks.mark(conn, f"{beginning}{where}", now)


def answered(conn: Connection, reading: Reading, view: View, collection_id: int, role: str | None) -> Plan | None:
    """Return the plan of words about shared lists, carried out; None where the words are about something else."""
    draft = Draft(view, "do", None)
    text = " ".join(view.text.split()).rstrip(".!?")
    entry = next((one for one in reading.entries if one.type == "request" and one.do in ("share", "revoke")), None)
    talk = _Talk(conn, draft, collection_id)
    act = next(
        (lambda found=found, rule=rule: rule(talk, found) for pattern, rule in _RULES if (found := pattern.fullmatch(text))), None
    )
    if act is None and entry is None:
        return None
    if role != "owner":
        draft.say("owners_only")
    elif act is not None:
        act()
    elif entry is not None and entry.do == "share":
        talk.share(entry, text)
    else:
        talk.revoke(text)
    return draft.done()


class _Talk:
    """One note about shares, over the connection in which it is handled."""

    def __init__(self, conn: Connection, draft: Draft, collection_id: int) -> None:
        self._conn, self._draft, self._collection_id = conn, draft, collection_id
        self._view = draft.view

    def share(self, entry: Entry, text: str) -> None:
        photos, text = asks_photos(text)
        if photos:  # read again without the words for them: "with photos" names no partner and no plants
            asked = read(text, self._view.now.replace(tzinfo=None), self._view.standing.names()).entries
            entry = next((one for one in asked if one.do == "share"), entry.changed(which=None))
        until = _day(entry.until) or self._view.today + OPEN_FOR
        shown = shown_of(entry.which, text, self._view)
        if until < self._view.today:
            return self._say(shared.PAST)
        if shown is None:
            return self._say(shared.TOO_FINE)
        shown = replace(shown, photos=photos)
        found = rows(self._view.standing, shown)
        if not found:
            return self._say(shared.NOTHING)
        said = _PARTNER.search(text)
        partner = said["partner"] if said else ""
        share, secret = shares.make(self._conn, self._collection_id, partner, shown.to_json(), until, self._view.now)
        start, page = (self._link(beginning) for beginning in (START, PAGE))
        lines = shared.made(
            share, len(found), self._view.today, f"{start}{PREFIX}{secret}" if start else "", f"{page}{secret}" if page else ""
        )
        lines[1:1] = self._photo_lines(shown)
        if not start and not page:  # nobody can open a link here: the list itself is what there is to send on
            self._attach(found, until, ("html", "csv", "pdf"), shown)
        return self._say(*lines)

    def revoke(self, text: str) -> None:
        open_ones = shares.of_collection(self._conn, self._collection_id)
        if not open_ones:
            return self._say(shared.NO_SHARES)
        if re.search(r"\b(?:all|everything|every|both)\b", text, re.IGNORECASE):
            chosen = open_ones
        else:
            one = self._one(open_ones, text)
            if one is None:
                return None
            chosen = [one]
        for share in chosen:
            shares.end(self._conn, share.id, self._view.now)
        return self._say(*(shared.REVOKED.format(what=shared.what(one, self._view.today)) for one in chosen))

    def opened(self, _: re.Match[str]) -> None:
        found = shares.of_collection(self._conn, self._collection_id)
        self._say(*shared.listed(found, self._view.today, self._view.settings.zone))

    def extend(self, match: re.Match[str]) -> None:
        share = self._one(self._lists(), match["number"] or match[0])
        if share is None:
            return
        asked = read(f"share my list {match['until']}", self._view.now.replace(tzinfo=None), self._view.standing.names())
        until = next((_day(one.until) for one in asked.entries if one.until), None)
        if until is None or until < self._view.today:
            self._say(shared.PAST)
            return
        shares.change(self._conn, share.id, until=until)
        name = shared.what(share, self._view.today).partition(", till")[0]
        self._say(shared.EXTENDED.format(what=name, until=f"{until.day} {until:%b %Y}"))

    def narrow(self, match: re.Match[str]) -> None:
        share = self._one(self._lists(), match["number"] or "")
        if share is None:
            return
        asked = read(f"share {match['what']}", self._view.now.replace(tzinfo=None), self._view.standing.names())
        which = next((one.which for one in asked.entries if one.do == "share"), None)
        shown = shown_of(which, match["what"], self._view)
        if shown is None or shown == Shown():
            self._say(shared.TOO_FINE)
            return
        shown = replace(shown, photos=bool(share.shown.get("photos")))
        shares.change(self._conn, share.id, shown=shown.to_json())
        changed = next(one for one in shares.of_collection(self._conn, self._collection_id) if one.id == share.id)
        self._say(shared.NARROWED.format(what=shared.what(changed, self._view.today)))

    def send(self, match: re.Match[str]) -> None:
        """Send the owner an open list as files; where none is open, the list of everything."""
        mine = [one for one in self._lists() if one.open_on(self._view.today)]
        share = self._one(mine, match["number"] or "") if mine else None
        if mine and share is None:
            return
        shown = Shown.from_json(share.shown) if share else Shown()
        shown = replace(shown, photos=shown.photos or match["photos"] is not None)
        found = rows(self._view.standing, shown)
        if not found:
            self._say(shared.NOTHING)
            return
        endings = _ENDINGS.get(match["how"].lower().replace(" ", ""), ("html", "csv", "pdf"))
        self._attach(found, share.until if share else None, endings, shown)
        self._say(shared.sent(shared.what(share, self._view.today) if share else "", len(found)), *self._photo_lines(shown))

    def pictured(self, match: re.Match[str]) -> None:
        """Put photos on an open list, or take them off."""
        share = self._one(self._lists(), match["number"] or match["other"] or "")
        if share is None:
            return
        shown = replace(Shown.from_json(share.shown), photos=match["on"] is not None)
        shares.change(self._conn, share.id, shown=shown.to_json())
        changed = replace(share, shown=shown.to_json())
        self._say(shared.NARROWED.format(what=shared.what(changed, self._view.today)), *self._photo_lines(shown))

    def _photo_lines(self, shown: Shown) -> list[str]:
        """What the owner is told of the photos on a list."""
        if not shown.photos:
            return []
        return [shared.photos(len(photos_of(self._conn, self._collection_id, self._view.standing, shown)))]

    def _attach(self, found: list[Row], until: date | None, endings: tuple[str, ...], shown: Shown) -> None:
        standing = self._view.standing
        photos = photos_of(self._conn, self._collection_id, standing, shown)
        recipe = list_recipe(tuple(found), until, wished_for(standing), photos)
        self._draft.files += [attached(f"plants-to-swap.{one}", _MAKERS[one], **recipe) for one in endings]

    def _lists(self) -> list[Share]:
        """The lists of plants that are not taken back; a link to the calendar shows other things and is left alone."""
        return [one for one in shares.of_collection(self._conn, self._collection_id) if CALENDAR not in one.shown]

    def _one(self, found: list[Share], said: str) -> Share | None:
        """The share that words mean: by its number, by its partner, or the only one."""
        numbers = {int(one) for one in re.findall(r"\b\d{1,6}\b", said)}
        named = [one for one in found if one.number in numbers or (one.partner and one.partner.lower() in said.lower())]
        chosen = named or (found if not numbers else [])
        if len(chosen) == 1:
            return chosen[0]
        self._say(shared.WHICH.format(numbers=", ".join(str(one.number) for one in found)) if found else shared.NO_SHARES)
        return None

    def _link(self, beginning: str) -> str:
        names = marks.names_marked(self._conn, beginning)
        return names[0].removeprefix(beginning) if names else ""

    def _say(self, *lines: str) -> None:
        self._draft.tell(*lines)


_MAKERS = {"html": "list_page", "csv": "list_table", "pdf": "list_sheet"}
_ENDINGS = {
    "pdf": ("pdf",), "paper": ("pdf",), "a4": ("pdf",), "csv": ("csv",), "table": ("csv",), "spreadsheet": ("csv",),
    "html": ("html",), "page": ("html",), "webpage": ("html",),
}  # fmt: skip
_RULES = (
    (_PICTURED, _Talk.pictured),
    (_SEND, _Talk.send),
    (_OPENED, _Talk.opened),
    (_EXTEND, _Talk.extend),
    (_NARROW, _Talk.narrow),
)


def asks_photos(text: str) -> tuple[bool, str]:
    """Return whether words ask for photos on a list, and the words without that."""
    bare = _WITH_PHOTOS.sub("", text)
    return bare != text, " ".join(bare.split())


def photos_of(conn: Connection, collection_id: int, standing: Standing, shown: Shown) -> tuple[tuple[str, str], ...]:
    """Return name and file of the photos on a list."""
    kept = photos.kept_of(conn, collection_id) if shown.photos else []
    return pictured(standing, shown, ((one.refs, one.name) for one in sorted(kept, key=lambda one: (one.taken_on, one.id))))


def shown_of(which: Selection | None, text: str, view: View) -> Shown | None:
    """Return what a list is to be of; None where the words name something that no list can follow."""
    offered = _OFFERED.search(text) is not None and not (which and which.kind)
    if which is None:  # words that nobody understood must not show everything
        return Shown(offered=offered) if offered or _EVERYTHING.search(text) else None
    said: Mapping[str, object] = which.to_json()
    others = set(said) - _FIELDS - ({"words", "state"} if offered else set())
    if others or which.kind not in (None, "offsets", "offset"):
        return None
    return Shown(
        genera=tuple(one.lower() for one in which.taxa),
        places=tuple(place_of(one, view.standing) for one in which.places),
        lots=which.lots,
        labels=which.labels,
        offsets=which.kind is not None,
        offered=offered,
    )


def _day(moment: date | datetime | None) -> date | None:
    return moment.date() if isinstance(moment, datetime) else moment
