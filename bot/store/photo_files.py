"""The files of photos: which content is a picture, and how it is written so that a crash leaves no half of one."""

from __future__ import annotations

import os
from pathlib import Path

_JPEG, _PNG, _RIFF = b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"RIFF"
MOST_BYTES = 20 * 1024 * 1024  # the Bot API hands out no larger files


def kind_of(content: bytes) -> str | None:
    """Return jpg, png or webp by what a file begins with, whatever its sender says it is; None for anything else."""
    if content.startswith(_JPEG):
        return "jpg"
    if content.startswith(_PNG):
        return "png"
    return "webp" if content.startswith(_RIFF) and content[8:12] == b"WEBP" else None


def write(folder: Path, name: str, content: bytes) -> None:
    """Write a file at `name` within the folder: wholly, or not at all. Raises OSError."""
    file = folder / name
    file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    half = file.with_name(file.name + ".part")
    with half.open("wb") as out:
        out.write(content)
        out.flush()
        os.fsync(out.fileno())
    half.chmod(0o600)
    half.replace(file)
