"""Settings: where they come from, and a sentence for each mistake."""

from __future__ import annotations

from datetime import time
from pathlib import Path

import pytest
from pydantic import ValidationError

from bot.config import SettingsProblem, load

TOKEN = "110201543:AAHdqTcvCH1vGWJxfSeofSAs0K5PALDsaw"


@pytest.fixture(autouse=True)
def _bare(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """No settings but those of the test."""
    monkeypatch.chdir(tmp_path)
    for name in ("DATABASE", "ZONE", "LATITUDE", "MORNING", "TOKEN", "BASE_URL", "SETTINGS"):
        monkeypatch.delenv(f"POTSIDE_{name}", raising=False)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))


def problems(**given: object) -> list[str]:
    with pytest.raises(SettingsProblem) as caught:
        load(**given)
    return caught.value.lines


def test_without_any() -> None:
    settings = load()
    assert settings.database == str(Path.cwd() / "data" / "potside" / "potside.db")
    assert (settings.zone, settings.latitude, settings.token, settings.morning) == (None, None, None, time(7, 30))


def test_typed_beats_environment_beats_file(monkeypatch: pytest.MonkeyPatch) -> None:
    Path("potside.env").write_text("POTSIDE_ZONE=Asia/Tokyo\nPOTSIDE_LATITUDE=1\nPOTSIDE_DATABASE=file.db\n", encoding="utf-8")
    monkeypatch.setenv("POTSIDE_LATITUDE", "2")
    monkeypatch.setenv("POTSIDE_DATABASE", "environment.db")
    settings = load(database="typed.db", zone=None)
    assert (settings.database, settings.latitude, settings.zone) == ("typed.db", 2.0, "Asia/Tokyo")


def test_the_file_may_lie_elsewhere(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    (tmp_path / "mine.conf").write_text("POTSIDE_MORNING=06:45\n", encoding="utf-8")
    monkeypatch.setenv("POTSIDE_SETTINGS", str(tmp_path / "mine.conf"))
    assert load().morning == time(6, 45)


def test_a_sentence_for_each_mistake(monkeypatch: pytest.MonkeyPatch) -> None:
    wrong = {"ZONE": "Mars/Base", "LATITUDE": "91", "MORNING": "25:00", "TOKEN": "secret-words", "BASE_URL": "no address"}
    for name, value in wrong.items():
        monkeypatch.setenv(f"POTSIDE_{name}", value)
    lines = problems()
    assert {line.split(":")[0] for line in lines} == {f"POTSIDE_{name}" for name in wrong}
    assert len(lines) == len(wrong)
    assert "secret-words" not in "\n".join(lines)


def test_what_was_typed_is_called_as_it_was_typed() -> None:
    assert problems(latitude=-200.0)[0].startswith("--latitude: ")
    assert problems(database="")[0].startswith("--db: ")


def test_a_misspelt_name_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("POTSIDE_LATTITUDE", "51")
    Path("potside.env").write_text("# fine\nPOTSIDE_ZON=Asia/Tokyo\nOTHER=1\n", encoding="utf-8")
    [first] = problems()
    assert "POTSIDE_LATTITUDE" in first
    monkeypatch.delenv("POTSIDE_LATTITUDE")
    [second] = problems()
    assert "POTSIDE_ZON in potside.env" in second


@pytest.mark.parametrize("content", [None, b"POTSIDE_ZONE=\xff\xfe"])
def test_a_file_that_cannot_be_read(content: bytes | None, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    path = tmp_path / "settings"
    if content is not None:
        path.write_bytes(content)
    monkeypatch.setenv("POTSIDE_SETTINGS", str(path))
    [line] = problems()
    assert str(path) in line


def test_the_token_is_never_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("POTSIDE_TOKEN", TOKEN)
    settings = load()
    assert settings.token is not None
    assert settings.token.get_secret_value() == TOKEN
    for shown in (repr(settings), str(settings), settings.model_dump_json()):
        assert TOKEN.split(":")[1] not in shown


def test_settings_do_not_change() -> None:
    with pytest.raises(ValidationError):
        load().zone = "Asia/Tokyo"
