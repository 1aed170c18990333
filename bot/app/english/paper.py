"""What is said of labels and other paper."""

from __future__ import annotations

from bot.app.english import phrases
from bot.sharing.labels import FORMATS, Format

NO_LABELS = "No plant with a number is meant. Such as: labels for bench 2, labels for 12 to 15 on sticks"
TOO_MANY = "That is more than {most} labels. Ask for a bench or a range at a time."
NO_CODES = "No code on them: the bot has no link of its own here."
FINE_CODES = "The code comes out small at this size; a phone may want a larger label."


def labels(count: int, form: Format, *, fine: bool, codes: bool) -> tuple[str, ...]:
    """Return what goes with a file of labels."""
    name = next((words for words, one in FORMATS.items() if one == form), "")
    size = f"{form.width_mm:g} x {form.height_mm:g} mm{' sticks' if name == 'stick' else ''}"
    lines = [f"{phrases.count_of(count, 'label')}, {size}. Print at 100 %, not fitted to the page."]
    lines += [NO_CODES] if not codes else []
    lines += [FINE_CODES] if fine else []
    return tuple(lines)
