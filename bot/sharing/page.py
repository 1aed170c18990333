"""The list as a page: no script, no cookie, nothing from anywhere else; readable on a phone, printable on A4."""

from __future__ import annotations

import base64
import csv
import hashlib
import io
from collections.abc import Callable, Sequence
from datetime import date
from functools import cache
from typing import Any

from bot.sharing.listing import Row

TITLE = "Plants to swap"
LONGEST_QUERY = 80
STYLE = """
:root { color-scheme: light; }
body { margin: 0; font: 1.125rem/1.5 Georgia, 'Times New Roman', serif; color: #111; background: #fff; }
main { max-width: 46rem; margin: 0 auto; padding: 1rem; }
h1 { font-size: 1.6rem; line-height: 1.2; margin: 0.5rem 0; }
h2 { font-size: 1.3rem; line-height: 1.2; margin: 1rem 0 0.5rem; }
form { display: grid; gap: 0.4rem; margin: 1rem 0; }
input, select, button { font: inherit; padding: 0.6rem; border: 2px solid #111; background: #fff; color: #111; border-radius: 0; }
button { background: #111; color: #fff; }
:focus-visible { outline: 4px solid #0b57d0; outline-offset: 2px; }
.wide { overflow-x: auto; }
table { width: 100%; border-collapse: collapse; }
th, td { text-align: left; padding: 0.45rem 0.6rem 0.45rem 0; border-bottom: 1px solid #767676; vertical-align: top; }
td { font-variant-numeric: tabular-nums; }
tbody th { font-weight: normal; font-style: italic; }
.small { font-size: 1rem; }
.photos { display: grid; grid-template-columns: repeat(auto-fill, minmax(9rem, 1fr)); gap: 1rem; }
figure { margin: 0; break-inside: avoid; }
figure img { width: 100%; height: auto; }
@media (min-width: 40rem) { form { grid-template-columns: auto 1fr auto auto auto; align-items: center; } }
@media print {
  @page { size: A4; margin: 15mm; }
  body { font-size: 10pt; }
  form { display: none; }
  thead { display: table-header-group; }
  tr { break-inside: avoid; }
  .wide { overflow: visible; }
}
"""
_STYLE_HASH = base64.b64encode(hashlib.sha256(STYLE.encode()).digest()).decode()
HEADERS: tuple[tuple[str, str], ...] = (
    ("Content-Type", "text/html; charset=utf-8"),
    ("Cache-Control", "no-store"),
    (
        "Content-Security-Policy",
        f"default-src 'none'; style-src 'sha256-{_STYLE_HASH}'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
    ),
    ("Referrer-Policy", "no-referrer"),
    ("X-Content-Type-Options", "nosniff"),
    ("X-Robots-Tag", "noindex, nofollow"),
    ("Cross-Origin-Opener-Policy", "same-origin"),
    ("Cross-Origin-Resource-Policy", "same-origin"),
)
HEADERS_WITH_PHOTOS = tuple(
    (name, value.replace("; form-action", "; img-src data:; form-action") if name == "Content-Security-Policy" else value)
    for name, value in HEADERS
)
SORTS = (("name", "name"), ("count", "how many"), ("pot", "pot size"), ("offered", "offered first"))
_KEYS: dict[str, Callable[[Row], Any]] = {
    "name": lambda row: row.name.lower(),
    "count": lambda row: (-row.count, row.name.lower()),
    "pot": lambda row: (row.pot_cm is None, row.pot_cm or 0, row.name.lower()),
    "offered": lambda row: (-row.offered, row.name.lower()),
}
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\N{FULLWIDTH EQUALS SIGN}", "\N{FULLWIDTH PLUS SIGN}", "\N{FULLWIDTH COMMERCIAL AT}")


def page(
    rows: Sequence[Row],
    until: date | None,
    query: str = "",
    sort: str = "name",
    *,
    form: bool = True,
    wishes: Sequence[str] = (),
    photos: Sequence[tuple[str, bytes]] = (),
) -> str:
    """Return the page of a list: the lines whose name holds each word of `query`, sorted; without a form as a file to send on.

    `wishes` are the names that the owner wishes for, `photos` a name and a JPEG each; they stand in the page itself.
    """
    words = query[:LONGEST_QUERY].lower().split()
    found = [row for row in rows if all(word in row.name.lower() for word in words)]
    chosen = sort if sort in _KEYS else "name"
    return _rendered(
        message="",
        shown=sorted(found, key=_KEYS[chosen]),
        total=sum(row.count for row in found),
        all_count=len(rows),
        until=f"{until.day} {until:%B %Y}" if until else "",
        form=form,
        wishes=wishes,
        photos=[(name, base64.b64encode(jpeg).decode()) for name, jpeg in photos if all(word in name.lower() for word in words)],
        query=query[:LONGEST_QUERY],
        sort=chosen,
        sorts=SORTS,
    )


def notice(message: str) -> str:
    """Return a page that says one thing and nothing else."""
    return _rendered(message=message)


def as_csv(rows: Sequence[Row], wishes: Sequence[str] = ()) -> str:
    """Return the list as a table (RFC 4180); a cell that a spreadsheet would take for a formula gets an apostrophe before it."""
    written = io.StringIO()
    table = csv.writer(written, lineterminator="\r\n")
    table.writerow(("name", "count", "pot_cm", "state", "offered"))
    for row in rows:
        table.writerow((guarded(row.name), row.count, f"{row.pot_cm:g}" if row.pot_cm else "", row.rooted, row.offered or ""))
    table.writerows((guarded(one), "", "", "wished for", "") for one in wishes)
    return written.getvalue()


def guarded(cell: str) -> str:
    """Return a cell that no spreadsheet takes for a formula."""
    return f"'{cell}" if cell.startswith(_FORMULA) else cell


def _rendered(**given: object) -> str:
    from markupsafe import Markup  # noqa: PLC0415  slow to load, and only a page needs it

    return str(_template().render(title=TITLE, style=Markup(STYLE), **given))  # noqa: S704  the style above, nothing typed


@cache
def _template() -> Any:
    from jinja2 import Environment, PackageLoader, StrictUndefined  # noqa: PLC0415  as above

    return Environment(
        loader=PackageLoader("bot.sharing"), autoescape=True, undefined=StrictUndefined, trim_blocks=True
    ).get_template("list.html")
