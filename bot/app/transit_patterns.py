"""What words about orders and parcels look like; what they mean is in `transit_words`."""

from __future__ import annotations

import re

SMALL = {word: number for number, word in enumerate("none one two three four five six seven eight nine ten".split())}
N = rf"(?:\d{{1,4}}|{'|'.join(SMALL)})"
WHO = r"[A-Za-z][\w'-]{1,29}?"
PARCEL = r"(?:order|parcel|box|package|delivery|shipment|plants)"
THE = r"(?:the |my |our |that )?"
ONE = (
    rf"(?:order (?P<number>\d{{1,2}})|{THE}(?:rest of (?:the |my )?)?{PARCEL}(?: (?:from|with) (?P<who>{WHO}))?"
    rf"|(?P<whose>{WHO})(?:'s|s') {PARCEL}|the (?P<called>{WHO}) order)"
)
POST = r"(?:on (?:its|the|their) way|in the (?:post|mail)|in transit)"
WAY = rf"(?:now |already |still )?(?:{POST}|(?:been )?(?:sent|posted|shipped|dispatched)(?: off)?)"
HERE = r"(?:has |have )?(?:come|came|arrived|is here|are here|turned up|(?:was|were) delivered)"
WHEN = r"(?:,? (?P<when>today|yesterday|on (?:the )?\w[\w .]*|last \w+))?"
REST = (
    rf"(?:(?:,| -|:)? (?:but |with )?(?:only |just )?(?:(?P<n>{N})(?: out)? of (?:the |them,? )?(?P<of>{N})"
    rf"|(?P<short>{N}) (?:missing|short)|all(?: of (?:them|it)| there| here|(?: the)? {N})?|complete|(?P<only>{N}))"
    r"(?: (?:came|arrived|in it|there))?)?"
)
PLACED = re.compile(
    r"(?:i |we |i'?ve |have |just )*(?:ordered|placed an order for|on order:?) (?P<what>.+?)"
    r"|(?P<count>\d.*?) (?:ordered|on order)(?P<behind> (?:from|with|at) .+)?",
    re.IGNORECASE,
)
SENT = re.compile(
    rf"{ONE} (?:is|are|has|have) {WAY}{WHEN}"
    rf"|(?P<sender>{WHO}) (?:has |have )?(?:sent|posted|shipped|dispatched) {THE}{PARCEL}(?: off)?(?P<day> yesterday| today)?",
    re.IGNORECASE,
)
COMING = re.compile(
    rf"(?P<what>(?:an? |the |\d).+?) from (?P<who>{WHO}) (?:is|are|has been|have been) {WAY}"
    rf"|(?P<which>(?:an? |the |\d).+?) (?:is|are) {WAY} from (?P<behind>{WHO})",
    re.IGNORECASE,
)
CAME = re.compile(rf"{ONE} {HERE}{WHEN}{REST}", re.IGNORECASE)
GOT = re.compile(rf"(?:i |we |have |just )*(?:got|received) {ONE}{WHEN}{REST}", re.IGNORECASE)
COUNTED = re.compile(
    rf"(?:but )?(?:only )?(?P<n>{N})(?: of (?:the |my )?(?P<of>{N}))?(?: (?P<what>[A-Za-z][A-Za-z .'-]*?))??"
    rf"(?: (?:from|with) (?P<who>{WHO}))? {HERE}{WHEN}",
    re.IGNORECASE,
)
DROPPED = re.compile(
    rf"(?:cancel(?:led)?|drop|forget|scrap|delete|remove) {ONE}"
    rf"|(?P<sender>{WHO}) (?:has |have )?cancelled {THE}(?:rest of (?:the |my )?)?{PARCEL}",
    re.IGNORECASE,
)
NEVER = re.compile(
    rf"{ONE} (?:(?:is|are)(?: not|n'?t) coming(?: any ?more)?|never (?:came|arrived)|won'?t come"
    r"|(?:got|was|were|is|are) (?:lost|cancelled)(?: in the (?:post|mail))?|fell through)",
    re.IGNORECASE,
)
OUT = re.compile(
    rf"(?P<what>[\w#][\w#,.& -]*?) (?:is|are|was|were|ha(?:s|ve) been) {WAY}(?: off)?(?: to (?P<who>{WHO})(?:'s?)?)?",
    re.IGNORECASE,
)
SAFE = r"(?: safely| safe| well| fine| today| yesterday)*"
SOME = r"[\w#][\w#,& -]*?"
THERE = re.compile(
    rf"(?P<what>{SOME}) (?:has |have )?(?:arrived|got there|landed){SAFE}(?: (?:at|with) (?P<at>{WHO})(?:'s?)?)?{SAFE}"
    rf"|(?P<is>{SOME}) (?:(?:is|are)(?: now)? (?:at|with)|(?:has |have )?(?:reached|got to)) (?P<to>{WHO})(?:'s?)?{SAFE}"
    rf"|(?P<whom>{WHO}) (?:has |have )?(?:got|received|has) (?P<got>{SOME}){SAFE}",
    re.IGNORECASE,
)
THEY = re.compile(
    rf"(?:they|it|all|all of them|everything)(?: have| has)?(?: all)? (?:arrived|got there|landed){SAFE}"
    rf"(?: (?:at|with) (?P<at>{WHO})(?:'s?)?)?{SAFE}|(?P<whom>{WHO}) (?:has |have )?(?:got|received) (?:them|it)(?: all)?{SAFE}",
    re.IGNORECASE,
)
LOST = re.compile(
    r"(?P<what>[\w#][\w#,& -]*?) (?:never (?:arrived|came|got there)"
    r"|(?:was|were|is|are|got) lost (?:in the (?:post|mail)|on the way))"
    rf"(?: (?:at|to) (?P<who>{WHO})(?:'s?)?)?",
    re.IGNORECASE,
)
DAY = r" (?P<day>\w[\w ./-]*)"
DUE = re.compile(
    r"(?:,| and| -)* (?:which |it |they )?(?:is |are )?(?:due|expected|arriving|coming|should (?:come|arrive|be here))"
    + DAY
    + "$",
    re.IGNORECASE,
)
EXPECTED = re.compile(
    rf"{ONE} (?:(?:is|are|was|were) (?:now )?(?:due|expected|coming|arriving|to come)"
    rf"|(?:should|will)(?: now)? (?:come|arrive|be here)){DAY}",
    re.IGNORECASE,
)
WHEN_DUE = re.compile(
    rf"(?P<asked>when(?:'?s| is| are| does| do| will| should| do i get| will i get)|is|are) {ONE}(?: be)?"
    r"(?P<how> (?:come|coming|arrive|arriving|due|expected|here|get here|to come|late)(?: in)?)?",
    re.IGNORECASE,
)
ASKED = re.compile(
    r"(?:(?:what|which (?:plants|ones|orders)|anything|something)(?:'?s| is| are| have i(?: got)?)? |is anything |are there any )"
    rf"(?:still |plants |orders )*(?:{POST}|on order|coming(?= from)|(?:still )?to come|ordered)"
    r"(?: (?:from|to|with) (?P<who>[A-Za-z][\w'-]{1,29}))?"
    r"|what (?:have|did) (?:i|we) order(?:ed)?(?: (?:from|with) (?P<with>[A-Za-z][\w'-]{1,29}))?"
    r"|(?:(?:list|show)(?: me)? )?(?:my |the |all |open |any )*orders|(?:have|did) (?:i|we) order(?:ed)? anything",
    re.IGNORECASE,
)
PERSONS = ("who", "whose", "called", "sender", "behind", "with", "whom", "at", "to")  # the groups that hold a person
SENT_TOO = re.compile(rf"(?:,| and)* (?:it is |it's |they are )?{POST}$", re.IGNORECASE)
NONE = re.compile(r"(?:0|no|none|zero)\b", re.IGNORECASE)
ONE_OF = re.compile(r"^(?:i |we |i'?ve |have |just )*(?:ordered |on order:? )?an? ", re.IGNORECASE)
EMPTY = re.compile(r"\bpots?\b", re.IGNORECASE)  # "ordered 20 pots" brings no plants
PART = re.compile(rf"(?P<n>{N}) of (?:the )?", re.IGNORECASE)
LABELS = re.compile(r"(?:plants? |no\.? ?|#)?\d+(?:(?: ?[,&] ?| and |, and )\d+)*", re.IGNORECASE)
NOBODY = frozenset("we they he she it you who someone somebody nobody have has just it's".split())
