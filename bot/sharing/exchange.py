"""The file by which a collection goes from one installation to another: a zip of open formats.

`manifest.json` names the format, its version and the SHA-256 of each file; `collection.json`, `people.jsonl`, `notes.jsonl`,
`events.jsonl` and `photos.jsonl` hold the record as JSON; `plants.csv` shows it to a spreadsheet; `photos/` are the pictures.
The same collection gives the same bytes.
"""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path, PurePosixPath
from typing import IO, Any

FORMAT, VERSION = "potside-collection", 1
MOST_BYTES = 8 * 1024**3  # of all files of an archive together, unpacked
MOST_RATIO = 200  # how far a file may unpack: text comes to 30, a bomb to 1,000
LONGEST_LINE = 4 * 1024 * 1024
JSON_FILES = ("collection.json", "people.jsonl", "notes.jsonl", "events.jsonl", "photos.jsonl")
TABLE, PHOTOS = "plants.csv", "photos/"
_NEVER = (1980, 1, 1, 0, 0, 0)  # the earliest moment a zip can name: the same content gives the same file
_AT_ONCE = 1 << 20


class ExchangeProblem(ValueError):
    """A file that cannot be used; `str()` says what is wrong with it and what to do."""


class Packing:
    """A zip in the making: adds files one by one and writes the manifest last."""

    def __init__(self, target: IO[bytes]) -> None:
        """Write to a file opened for writing."""
        self._zip = zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED)
        self._sums: dict[str, str] = {}

    def add(self, name: str, chunks: Iterable[bytes], *, packed: bool = True) -> None:
        """Add a file from its pieces."""
        entry = zipfile.ZipInfo(name, _NEVER)
        entry.compress_type = zipfile.ZIP_DEFLATED if packed else zipfile.ZIP_STORED
        summed = hashlib.sha256()
        with self._zip.open(entry, "w") as file:
            for chunk in chunks:
                summed.update(chunk)
                file.write(chunk)
        self._sums[name] = summed.hexdigest()

    def finish(self, **more: Any) -> None:
        """Write the manifest and close."""
        manifest = {"format": FORMAT, "version": VERSION, **more, "files": dict(sorted(self._sums.items()))}
        entry = zipfile.ZipInfo("manifest.json", _NEVER)
        entry.compress_type = zipfile.ZIP_DEFLATED
        self._zip.writestr(entry, json.dumps(manifest, ensure_ascii=False, indent=1, sort_keys=True))
        self.close()

    def close(self) -> None:
        """Close without a manifest: a file of another standard has its own."""
        self._zip.close()


def as_lines(rows: Iterable[Mapping[str, Any]]) -> Iterator[bytes]:
    """Yield rows as JSON lines."""
    for row in rows:
        yield json.dumps(row, ensure_ascii=False, sort_keys=True, separators=(",", ":")).encode() + b"\n"


def pieces_of(path: Path) -> Iterator[bytes]:
    """Yield a file in pieces."""
    with path.open("rb") as file:
        while piece := file.read(_AT_ONCE):
            yield piece


class Archive:
    """A file of this format, tried whole before anything is taken from it."""

    def __init__(self, path: Path) -> None:
        """Open it. Raises ExchangeProblem where it is none, damaged, of a later version, or too large to be one."""
        try:
            self._zip = zipfile.ZipFile(path)
        except (OSError, zipfile.BadZipFile) as error:
            reason = error.strerror if isinstance(error, OSError) else "it is no zip, or only a part of one"
            raise ExchangeProblem(f"{path} cannot be opened: {reason}.") from None
        try:
            self.manifest = self._checked()
        except ExchangeProblem:
            self._zip.close()
            raise
        except (zipfile.BadZipFile, EOFError, NotImplementedError, RuntimeError, OSError):
            self._zip.close()
            raise ExchangeProblem(f"{path} is damaged. Take another copy of it.") from None

    def close(self) -> None:
        """Close the file."""
        self._zip.close()

    def _checked(self) -> dict[str, Any]:
        infos = self._zip.infolist()
        if sum(one.file_size for one in infos) > MOST_BYTES or any(
            one.file_size > MOST_RATIO * max(one.compress_size, 100) + _AT_ONCE for one in infos
        ):
            raise ExchangeProblem("The file unpacks to more than a collection can be. It is not taken.")
        if len({one.filename for one in infos}) != len(infos):
            raise ExchangeProblem("The file holds a name twice. It is not taken.")
        manifest = self._manifest()
        named, there = set(manifest["files"]), {one.filename for one in infos} - {"manifest.json"}
        if named != there or not set(JSON_FILES) <= named:
            missing = sorted((named | set(JSON_FILES)) - there) or sorted(there - named)
            raise ExchangeProblem(f"The file is not whole: {missing[0]} is missing, or is not in its list.")
        for name, summed in manifest["files"].items():
            _plain_name(name)
            if self._sum(name) != summed:
                raise ExchangeProblem(f"{name} in the file is not what was written there. Take another copy of it.")
        return manifest

    def _manifest(self) -> dict[str, Any]:
        try:
            manifest = json.loads(self._zip.read("manifest.json"))
            known = manifest["format"] == FORMAT and isinstance(manifest["files"], dict)
            version = int(manifest["version"])
        except (KeyError, ValueError, TypeError):
            raise ExchangeProblem("That is no collection of this program: it has no manifest that can be read.") from None
        if not known:
            raise ExchangeProblem("That is no collection of this program.")
        if version > VERSION:
            raise ExchangeProblem(f"The file is of version {version}, later than this program reads ({VERSION}). Upgrade first.")
        return dict(manifest)

    def _sum(self, name: str) -> str:
        summed = hashlib.sha256()
        with self._zip.open(name) as file:
            while piece := file.read(_AT_ONCE):
                summed.update(piece)
        return summed.hexdigest()

    def one(self, name: str) -> dict[str, Any]:
        """Return a file that holds one JSON object."""
        return next(self.rows(name))

    def rows(self, name: str) -> Iterator[dict[str, Any]]:
        """Yield the objects of a file of JSON lines. Raises ExchangeProblem, with the line, where one is none."""
        with self._zip.open(name) as raw, io.TextIOWrapper(raw, encoding="utf-8", newline="\n") as file:
            for number in range(1, 1 << 40):
                try:
                    line = file.readline(LONGEST_LINE)
                    if not line:
                        return
                    row = json.loads(line)
                except (ValueError, RecursionError):
                    raise ExchangeProblem(f"{name}, line {number}: that is no JSON. Nothing was taken.") from None
                if not isinstance(row, dict):
                    raise ExchangeProblem(f"{name}, line {number}: that is no object. Nothing was taken.")
                yield row

    def unpack(self, name: str, folder: Path) -> Path:
        """Write a photo below a folder and return where; one that is there already stays."""
        path = folder / _plain_name(name).removeprefix(PHOTOS)
        if path.exists():
            return path
        path.parent.mkdir(parents=True, exist_ok=True)
        unfinished = path.with_name(f".{path.name}-unfinished")
        with self._zip.open(name) as file, unfinished.open("wb") as target:
            while piece := file.read(_AT_ONCE):
                target.write(piece)
        unfinished.replace(path)
        return path


def _plain_name(name: str) -> str:
    """Return a name that stays below the folder it is put in. Raises ExchangeProblem for any other."""
    path = PurePosixPath(name)
    if path.is_absolute() or ".." in path.parts or "\\" in name or ":" in name or not name or name.endswith("/"):
        raise ExchangeProblem(f"The file holds a name that leads elsewhere ({name[:60]!r}). It is not taken.")
    if name not in (*JSON_FILES, TABLE) and not name.startswith(PHOTOS):
        raise ExchangeProblem(f"The file holds {name[:60]!r}, which belongs to no collection. It is not taken.")
    return name


def each(name: str, rows: Iterator[dict[str, Any]], take: Callable[[dict[str, Any]], None]) -> int:
    """Hand each row on; return how many. Raises ExchangeProblem, with the line, where one cannot be taken."""
    number = 0
    for number, row in enumerate(rows, 1):
        try:
            take(row)
        except (KeyError, TypeError, ValueError, AttributeError) as error:
            if isinstance(error, ExchangeProblem):
                raise
            reason = f"{type(error).__name__} {str(error)[:80]}"
            raise ExchangeProblem(f"{name}, line {number}: it cannot be used ({reason}). Nothing was taken.") from None
    return number
