"""The settings as one frozen, checked value, from the environment and a file of the same KEY=value lines.

The environment wins over the file. Import this module only where settings are needed: the checking library is slow to load.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Mapping
from datetime import time
from pathlib import Path
from typing import Annotated, Any, ClassVar, Literal
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from pydantic import AfterValidator, AnyHttpUrl, Field, SecretStr, ValidationError
from pydantic_settings import BaseSettings, SettingsConfigDict

PREFIX = "POTSIDE_"
FILE_VARIABLE = "POTSIDE_SETTINGS"  # names the settings file; not a setting itself
OPTIONS = {"database": "--db"}  # the others are called as their fields are
DEFAULT_FILE = Path("potside.env")


class SettingsProblem(Exception):
    """Settings that cannot be used; `lines` holds one sentence for each mistake, never a secret's value."""

    def __init__(self, lines: list[str]) -> None:
        """Keep the sentences."""
        super().__init__("\n".join(lines))
        self.lines = lines


def _known_zone(name: str) -> str:
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise ValueError("is not a time zone name such as Europe/Berlin") from None
    return name


def _plain_place(place: str) -> str:
    if not place.strip() or "\0" in place:
        raise ValueError("is empty")
    return place


def _token_shape(token: SecretStr) -> SecretStr:
    if not re.fullmatch(r"[0-9]+:[A-Za-z0-9_-]{20,}", token.get_secret_value()):
        raise ValueError("does not look like a bot token (digits, a colon, letters)")
    return token


def _long_enough(passphrase: SecretStr) -> SecretStr:
    if len(passphrase.get_secret_value()) < 12:
        raise ValueError("is too short: take twelve letters or more, four words for instance")
    return passphrase


class Settings(BaseSettings):
    """What one installation is told. Every field is the variable `POTSIDE_` + its name in capitals.

    `database` is a file or a database URL, `zone` the time zone and `latitude` the degrees north of a new collection,
    `morning` the local time of its morning message, `base_url` the Bot API server when it is not the public one. With
    `webhook_url`, the public address, the bot is told of messages on `webhook_host` and `webhook_port`; without, it asks.
    With `page_url`, the public address of the pages of shared lists, these are served on `page_host` and `page_port`.
    `backups` is the folder of the daily backups, made at the local time `backup_at`, and
    with a `backup_passphrase` sent to the owner once a week, sealed; what the messenger sent along with a note
    is kept `keep_raw_days`, the words of notes `keep_notes_days`, photos
    `keep_photos_days`, or for good. `log` is how log lines are written.
    """

    model_config: ClassVar[SettingsConfigDict] = SettingsConfigDict(
        env_prefix=PREFIX,
        env_file_encoding="utf-8",
        env_ignore_empty=True,
        frozen=True,
        extra="ignore",
        hide_input_in_errors=True,
    )

    database: Annotated[str, AfterValidator(_plain_place)] = Field(default_factory=lambda: str(data_directory() / "potside.db"))
    zone: Annotated[str, AfterValidator(_known_zone)] | None = None
    latitude: Annotated[float, Field(ge=-90, le=90)] | None = None
    morning: time = time(7, 30)
    token: Annotated[SecretStr, AfterValidator(_token_shape)] | None = None
    base_url: AnyHttpUrl | None = None
    webhook_url: AnyHttpUrl | None = None
    webhook_host: str = "127.0.0.1"
    webhook_port: Annotated[int, Field(ge=1, le=65_535)] = 8443
    page_url: AnyHttpUrl | None = None
    page_host: str = "127.0.0.1"
    page_port: Annotated[int, Field(ge=1, le=65_535)] = 8444
    backups: Annotated[str, AfterValidator(_plain_place)] | None = None
    backup_at: time = time(3, 30)
    backup_passphrase: Annotated[SecretStr, AfterValidator(_long_enough)] | None = None
    keep_raw_days: Annotated[int, Field(ge=3)] = 30
    keep_notes_days: Annotated[int, Field(ge=30)] | None = None
    keep_photos_days: Annotated[int, Field(ge=30)] | None = None
    log: Literal["text", "json"] = "text"


def data_directory() -> Path:
    """Return where this user's data lives when no database is named."""
    return Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share") / "potside"


def load(**given: Any) -> Settings:
    """Return the settings: `given` (what was typed; None counts as not given), then the environment, then the file.

    Raises SettingsProblem with a sentence for each mistake, a misspelt variable and an unreadable file among them.
    """
    path = settings_file()
    problems = [*_unreadable(path), *_misspelt(os.environ, "the environment")]
    if path is not None and not problems:
        problems += _misspelt(_assignments(path), str(path))
    if problems:
        raise SettingsProblem(problems)
    typed: dict[str, Any] = {name: value for name, value in given.items() if value is not None}
    try:
        return Settings(**(typed | {"_env_file": path}))
    except ValidationError as error:
        raise SettingsProblem([_sentence(dict(one), typed) for one in error.errors(include_input=False)]) from None


def settings_file() -> Path | None:
    """Return the file that `POTSIDE_SETTINGS` names, else `potside.env` here if there is one."""
    named = os.environ.get(FILE_VARIABLE)
    if named:
        return Path(named)
    return DEFAULT_FILE if DEFAULT_FILE.is_file() else None


def write_token(path: Path, token: str) -> None:
    """Add a token to the settings file, which only its owner can read afterwards; made where it is not there.

    Raises SettingsProblem where it holds a token already, or cannot be written.
    """
    before = path.read_text(encoding="utf-8") if path.is_file() else ""
    if PREFIX + "TOKEN" in _assignments_of(before):
        raise SettingsProblem([f"{path} holds a token already. Take that line out first, if it is to be another one."])
    lines = before + ("" if before.endswith("\n") or not before else "\n") + f"{PREFIX}TOKEN={token}\n"
    unfinished = path.with_name(f".{path.name}-unfinished")
    try:
        unfinished.unlink(missing_ok=True)
        with os.fdopen(os.open(unfinished, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="utf-8") as file:
            file.write(lines)
            file.flush()
            os.fsync(file.fileno())
        unfinished.replace(path)
    except OSError as error:
        raise SettingsProblem([f"The settings file {path} cannot be written: {error.strerror}."]) from None


def _unreadable(path: Path | None) -> list[str]:
    if path is None:
        return []
    try:
        path.read_text(encoding="utf-8")
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else "it is not UTF-8 text"
        return [f"The settings file {path} cannot be read: {reason}."]
    return []


def _assignments(path: Path) -> list[str]:
    return _assignments_of(path.read_text(encoding="utf-8"))


def _assignments_of(text: str) -> list[str]:
    return re.findall(r"(?m)^[ \t]*(?:export[ \t]+)?([A-Za-z_]\w*)[ \t]*=", text)


def _misspelt(names: Iterable[str], where: str) -> list[str]:
    known = {PREFIX + name.upper() for name in Settings.model_fields} | {FILE_VARIABLE}
    strange = sorted(name for name in names if name.upper().startswith(PREFIX) and name.upper() not in known)
    return [f"{name} in {where} is not a setting; there are {', '.join(sorted(known))}." for name in strange]


def _sentence(error: dict[str, Any], typed: Mapping[str, Any]) -> str:
    field = str(error["loc"][0]).lower()
    name = OPTIONS.get(field, f"--{field}") if field in typed else PREFIX + field.upper()
    return f"{name}: {error['msg'].removeprefix('Value error, ')}."
