"""The file that a backup is: a zip with `manifest.json`, the database as a SQLite file, and the photos.

A zip is readable only once its last bytes are written, and carries a check sum for each member.
"""

from __future__ import annotations

import hashlib
import json
import shutil
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path, PurePosixPath
from typing import Any

from bot.store.copying import Summary
from bot.store.problems import DatabaseProblem

DATABASE, MANIFEST, PHOTOS = "potside.db", "manifest.json", "photos"
FORMAT = 1
_MOST_MANIFEST_BYTES = 64 * 1024 * 1024


@dataclass(frozen=True, slots=True)
class Manifest:
    """What a backup says of itself.

    `made_at` is the moment, `program` the version that made it, `revision` that of the schema, `summary` what the database
    holds; `photos` gives the SHA-256 sum in hexadecimal for each photo by its path within the folder of photos.
    """

    made_at: datetime
    program: str
    revision: str
    summary: Summary
    photos: Mapping[str, str]

    def to_json(self) -> dict[str, Any]:
        """Return it as JSON values."""
        return {
            "format": FORMAT,
            "made_at": self.made_at.isoformat(),
            "program": self.program,
            "revision": self.revision,
            "summary": asdict(self.summary),
            "photos": dict(self.photos),
        }

    @classmethod
    def from_json(cls, given: Mapping[str, Any]) -> Manifest:
        """Return what `to_json` wrote. Raises KeyError, TypeError or ValueError where it is something else."""
        held = Summary(dict(given["summary"]["rows"]), dict(given["summary"]["digests"]))
        moment = datetime.fromisoformat(given["made_at"])
        return cls(moment, str(given["program"]), str(given["revision"]), held, dict(given["photos"]))


def photos_in(folder: Path | None) -> dict[str, str]:
    """Return the SHA-256 sum of each file below a folder by its path within it; none where there is no folder."""
    if folder is None or not folder.is_dir():
        return {}
    found = sorted(one for one in folder.rglob("*") if one.is_file() and not one.is_symlink())
    return {one.relative_to(folder).as_posix(): _sum(one) for one in found}


def remove_photo(folder: Path, name: str) -> None:
    """Remove a photo by its path within the folder; a name that leads out of the folder removes nothing."""
    try:
        (folder / _inside(name)).unlink(missing_ok=True)
    except ValueError:
        return


def pack(archive: Path, database: Path, manifest: Manifest, photos: Path | None) -> None:
    """Write a backup. Photos are stored as they are, since they are compressed already."""
    with zipfile.ZipFile(archive, "x", zipfile.ZIP_DEFLATED) as file:
        file.write(database, DATABASE)
        for name in manifest.photos:
            assert photos is not None
            file.write(photos / name, f"{PHOTOS}/{name}", zipfile.ZIP_STORED)
        file.writestr(MANIFEST, json.dumps(manifest.to_json(), indent=1))


def unpack(archive: Path, folder: Path) -> Manifest:
    """Write what a backup holds into an empty folder, as `potside.db` and `photos/`, and return what it says of itself.

    Only the members that the manifest names are written, and only below the folder. Raises DatabaseProblem where the file is
    no backup, is damaged, or was made by a newer version.
    """
    with _readable(archive), zipfile.ZipFile(archive) as file:
        manifest = _manifest(file, archive)
        _extract(file, DATABASE, folder / DATABASE)
        for name, digest in manifest.photos.items():
            target = folder / PHOTOS / _inside(name)
            target.parent.mkdir(parents=True, exist_ok=True)
            _extract(file, f"{PHOTOS}/{name}", target)
            if _sum(target) != digest:
                raise ValueError(f"the photo {name} differs")
    return manifest


def _manifest(file: zipfile.ZipFile, archive: Path) -> Manifest:
    if file.getinfo(MANIFEST).file_size > _MOST_MANIFEST_BYTES:
        raise ValueError("an endless manifest")
    given = json.loads(file.read(MANIFEST))
    if given["format"] != FORMAT:
        raise DatabaseProblem("newer", f"{archive} was made by a newer version of this program. Install that one first.")
    return Manifest.from_json(given)


def _inside(name: str) -> PurePosixPath:
    path = PurePosixPath(name)
    if path.is_absolute() or not path.parts or ".." in path.parts or "\\" in name or "\0" in name:
        raise ValueError(f"a photo called {name!r}")
    return path


def _extract(file: zipfile.ZipFile, name: str, target: Path) -> None:
    with file.open(name) as source, target.open("xb") as out:
        shutil.copyfileobj(source, out)


def _sum(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


@contextmanager
def _readable(archive: Path) -> Iterator[None]:
    try:
        yield
    except FileNotFoundError:
        raise DatabaseProblem("missing", f"There is no backup at {archive}. Check the path.") from None
    except (zipfile.BadZipFile, zlib.error, EOFError, KeyError, TypeError, ValueError, AttributeError, RuntimeError) as error:
        raise DatabaseProblem("damaged", f"{archive} is damaged or not a backup. Nothing was changed; try another.") from error
