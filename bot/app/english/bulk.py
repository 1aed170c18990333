"""What is said of a spreadsheet of plants: its columns, what it would bring, and what is wrong in which row."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from typing import Any

from bot.app.english import phrases
from bot.app.plants_columns import Guess, unsettled
from bot.app.plants_import import IMPORTED, Difference, Imported
from bot.app.plants_rows import Fault
from bot.app.plants_table import Table, letters_of
from bot.care.events import CareEvent
from bot.messages import Button, Outgoing

MOST_FAULTS = 20
_ROLES = {
    "label": "the label",
    "name": "the name",
    "genus": "the genus",
    "epithet": "the species",
    "place": "the place",
    "pot": "the pot size",
    "came": "the day it came",
    "source": "who it came from",
    "price": "the price",
    "count": "how many",
    "repotted": "the last repotting",
    "field": "the field number",
    "note": "a remark",
    "accession": "the accession number",
    "currency": "the currency",
    "status": "whether it lives",
    "kind": "what it is",
}
_PROBLEMS: dict[str, Callable[[Mapping[str, Any]], str]] = {
    "too_large": lambda facts: f"The file is too large: at most {facts['most'] // 1_000_000} MB. Send it in parts",
    "old_workbook": lambda facts: "This is an Excel file of the old kind (.xls). Save it as .xlsx or CSV and send that",
    "broken_workbook": lambda facts: "The workbook cannot be read. Save it anew as .xlsx or CSV",
    "broken": lambda facts: f"Line {facts['row']} cannot be read as CSV: look for a quotation mark that is never closed",
    "too_wide": lambda facts: f"Row {facts['row']} has more than {facts['most']} columns. Is this a list of plants, one a row?",
    "too_long": lambda facts: f"More than {facts['most']:,} rows. Send them in parts",
    "no_table": lambda facts: "I find no table: one plant a row, a head above, as CSV or .xlsx",
    "only_head": lambda facts: "There is a head and no row below it",
    "no_label": lambda facts: (
        f"No column tells the label, the number on each pot. Name it: label=COLUMN. There are {_heads(facts['head'])}"
    ),
    "no_column": lambda facts: f"There is no column “{facts['said']}”. There are {_heads(facts['head'])}",
    "bad_columns": lambda facts: (
        f"“{facts['said']}” names no column: write pot=Topf or pot=C, none=C to leave one out. Known: {', '.join(facts['roles'])}"
    ),
    "collection": lambda facts: phrases.cap(str(facts["said"])),
}


def problem(kind: str, facts: Mapping[str, Any]) -> str:
    """Return the sentence on a file that cannot be used as a whole."""
    said = _PROBLEMS[kind](facts)
    return said if said.endswith("?") else f"{said}."


def _heads(head: Iterable[str]) -> str:
    return ", ".join(f"{letters_of(number)} “{one}”" for number, one in enumerate(head) if one)


_FAULTS: dict[str, Callable[[Mapping[str, Any]], str]] = {
    "no_label": lambda facts: "no label. Give it the number that stands on its pot",
    "long_label": lambda facts: f"a label of more than {facts['most']} characters. Is it in the right column?",
    "negative_label": lambda facts: f"“{facts['cell']}” is no label. Leave the minus out",
    "twice": lambda facts: f"label {facts['label']} stands in row {facts['first']} already. Give one of them another",
    "bad_count": lambda facts: f"“{facts['cell']}” is no number of plants. Write 1 or more",
    "lot_without_day": lambda facts: f"{facts['count']} plants under one label need the day they came",
    "bad_pot": lambda facts: f"“{facts['cell']}” is no pot size from 1 to 100 cm. Write 7cm or 3 in",
    "bad_price": lambda facts: f"“{facts['cell']}” is no price. Write 4.50 or 4.50 EUR",
    "bad_accession": lambda facts: (
        f"“{facts['cell']}” is no accession number. Year and four digits at least, the column as text: 2019.0042, 2019.0042*B"
    ),
    "future_accession": lambda facts: f"accession {facts['cell']} is of a year to come; this is {facts['year']}",
    "accession_twice": lambda facts: (
        f"accession {facts['cell']} stands in row {facts['first']} already. Give one of them another"
    ),
    "accession_given": lambda facts: (
        f"accession {facts['cell']} was given to {facts['label']}; none is given twice. Leave the cell empty or give another"
    ),
    "bad_date": lambda facts: f"“{facts['cell']}” is no day that I can read. Write it as 2024-05-31",
    "future": lambda facts: f"{facts['cell']} is yet to come. Look at {_ROLES[facts['role']]}",
    "before_came": lambda facts: f"repotted {facts['cell']}, before it came ({facts['came']}). Put one of them right",
    "formula": lambda facts: "a formula whose value the file does not hold. Save it once in the spreadsheet program, or as CSV",
}


def fault(one: Fault) -> str:
    """Return the line on a row that is not taken: its number, what is wrong, what to do."""
    said = _FAULTS[one.kind](one.facts)
    return f"row {one.row}: {said}" + ("" if said.endswith("?") else ".")


def difference(one: Difference) -> str:
    """Return the line on what the record has otherwise; it stays so."""
    role = _ROLES["pot" if one.role == "pot_cm" else one.role]
    return f"row {one.row}: {role} of {one.label} is “{one.here}” here and “{one.file}” there. Left as it is here."


def columns(table: Table, guesses: Iterable[Guess]) -> str:
    """Return the line that says what each column is taken for."""
    taken = [f"{letters_of(one.column)} “{table.head[one.column]}” {_ROLES[one.role]}" for one in guesses]
    used = {one.column for one in guesses}
    left = [f"“{one}”" for number, one in enumerate(table.head) if one and number not in used]
    return f"Columns: {', '.join(taken)}." + (f" Left out: {', '.join(left)}." if left else "")


def question(table: Table, guess: Guess) -> str:
    """Return the question whether a column is what it looks like."""
    head = f" “{table.head[guess.column]}”" if guess.column < len(table.head) and table.head[guess.column] else ""
    cells = table.column(guess.column)
    example = f" (“{cells[0]}”)" if cells else ""
    return f"Column {letters_of(guess.column)}{head} looks like {_ROLES[guess.role]}{example}. Right?"


def settle(table: Table, guess: Guess) -> str:
    """Return what to say on the command line of a column that is only a guess."""
    letters = letters_of(guess.column)
    return f"{question(table, guess)} Then --columns {guess.role}={letters}, else --columns none={letters}."


def summary(made: Imported) -> str:
    """Return the line that says what the file would bring, or brought."""
    parts = [
        f"{len(made.new)} new" if made.new or not made.changed else "",
        f"{len(made.changed)} changed" if made.changed else "",
    ]
    parts += [f"{made.same} there already" if made.same else "", f"{len(made.faults)} not clear" if made.faults else ""]
    places = f" New places: {', '.join(made.places[:6])}{' …' if len(made.places) > 6 else ''}." if made.places else ""
    verb = "Taken" if made.written else "Would come"
    return f"{verb}: {', '.join(one for one in parts if one)}.{places}"


def report(made: Imported) -> list[str]:
    """Return a line for each row that is not clear or differs, the first ones, and how many more there are."""
    lines = [fault(one) for one in made.faults] + [difference(one) for one in made.differences]
    more = len(lines) - MOST_FAULTS
    return lines[:MOST_FAULTS] + ([f"… and {more} more."] if more > 0 else [])


def next_step(made: Imported) -> str:
    """Return what is to be done before anything is written; empty where nothing is."""
    if made.written or not made.events:
        return "" if made.events else "Nothing to take."
    if made.faults:
        return (
            "Nothing is written yet. Put these rows right and send the file again, or take it without them: --leave-bad --write."
        )
    return "Nothing is written yet: --write takes it."


def offer(made: Imported, number: int) -> Outgoing:
    """Return what is said in a chat of a file: its columns, what would come, what is unclear, and one question with buttons."""
    words = f"import {number}: "
    leave = Button("leave it", f"{words}leave")
    asked = unsettled(made.guesses)
    if asked:
        letters = letters_of(asked[0].column)
        yes, no = Button("yes", f"{words}{asked[0].role}={letters}"), Button("no", f"{words}none={letters}")
        return Outgoing(f"{columns(made.table, made.guesses)}\n{question(made.table, asked[0])}", ((yes, no), (leave,)))
    lines = [columns(made.table, made.guesses), summary(made), *report(made)[:MOST_IN_CHAT]]
    hidden = len(made.faults) + len(made.differences) - MOST_IN_CHAT
    lines += [f"… and {hidden} more."] if hidden > 0 else []
    if not made.events:
        return Outgoing("\n".join([*lines, "Nothing to take."]))
    take = Button("take the rest", f"{words}take the rest") if made.faults else Button("take it", f"{words}take")
    ask = "Nothing is written yet. Put these rows right and send it again, or take the rest?" if made.faults else "Take it?"
    return Outgoing("\n".join([*lines, ask]), ((take, leave),))


def taken(made: Imported) -> str:
    """Return what is said once a file is in the log."""
    return summary(replace(made, written=True))


def taken_back(events: Iterable[CareEvent]) -> str:
    """Return what an undo took back, where it was an import; empty where it was not."""
    plants = sum(1 for one in events if one.what == IMPORTED and "row" in one.facts)
    return f"Taken back: the import of {phrases.count_of(plants, 'plant')}." if plants else ""


MOST_IN_CHAT = 3
NO_SHEET = "That list is taken, left or replaced by a newer one. Send the file again."
LEFT = "Left. Nothing of it is written."
TAKEN_BACK = "The last import is taken back: {plants}."
NONE_TO_TAKE_BACK = "There is no import to take back."
WRITE = "Write it?"
__all__ = ["columns", "fault", "next_step", "problem", "question", "report", "settle", "summary", "unsettled"]
