"""Small pictures for a shared list, drawn anew from what is seen: no place, time, device or words come along from the file."""

from __future__ import annotations

import io
from functools import lru_cache
from pathlib import Path

LONGEST_PX = 480  # twice the width on a phone that shows two beside each other
QUALITY = 70
MOST_PIXELS = 60_000_000  # the largest cameras of phones take 50 million; more is not opened
MOST_KEPT = 120  # in memory, some 30 kB each


def thumbnail(folder: Path, name: str) -> bytes | None:
    """Return a picture of a folder as a small JPEG of its pixels alone; None where it is gone, outside or no picture."""
    path = (folder / name).resolve()
    if not name or not path.is_relative_to(folder.resolve()):
        return None
    try:
        return _drawn(path, path.stat().st_mtime_ns)
    except OSError:
        return None


@lru_cache(maxsize=MOST_KEPT)
def _drawn(path: Path, _changed: int) -> bytes | None:
    from PIL import Image, ImageOps, UnidentifiedImageError  # noqa: PLC0415  slow to load, and only lists with photos need it

    try:
        with Image.open(path, formats=("JPEG", "PNG", "WEBP")) as opened:
            if opened.width * opened.height > MOST_PIXELS:
                return None
            opened.draft("RGB", (2 * LONGEST_PX, 2 * LONGEST_PX))
            seen = ImageOps.exif_transpose(opened).convert("RGB")
    except (OSError, ValueError, SyntaxError, UnidentifiedImageError, Image.DecompressionBombError):
        return None
    seen.thumbnail((LONGEST_PX, LONGEST_PX))
    bare = Image.new("RGB", seen.size)  # pixels only: what a file carries beside them stays behind
    bare.paste(seen)
    out = io.BytesIO()
    bare.save(out, "JPEG", quality=QUALITY, optimize=True)
    return out.getvalue()
