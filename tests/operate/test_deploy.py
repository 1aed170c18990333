"""The files under deploy/ fit the program: every setting exists and is described, every file that is copied is there."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from bot.config import PREFIX, Settings
from bot.store.problems import CODES

ROOT = Path(__file__).resolve().parents[2]
DEPLOY = ROOT / "deploy"
UNIT = (DEPLOY / "potside.service").read_text(encoding="utf-8")
NAMES = {PREFIX + name.upper() for name in Settings.model_fields}


def test_every_setting_is_in_the_table_of_the_readme() -> None:
    table = [line.split("|")[1] for line in (DEPLOY / "README.md").read_text(encoding="utf-8").splitlines() if line[:1] == "|"]
    assert {name for row in table for name in re.findall(r"POTSIDE_\w+", row)} == NAMES


@pytest.mark.parametrize(
    "name", ["settings.example", "compose.yaml", "compose.postgresql.yaml", "Containerfile", "potside.service"]
)
def test_only_settings_that_there_are_are_named(name: str) -> None:
    text = (DEPLOY / name).read_text(encoding="utf-8")
    named = set(re.findall(r"\bPOTSIDE_(?!SERVER_PASSWORD)\w+", text))
    assert named <= NAMES
    assert named or name == "compose.yaml"


def test_the_example_settings_are_what_holds_without_them(monkeypatch: pytest.MonkeyPatch) -> None:
    lines = (DEPLOY / "settings.example").read_text(encoding="utf-8").splitlines()
    for line in lines:
        match = re.match(r"#?(POTSIDE_(\w+))=(.*)", line)
        if match and match[2] in ("MORNING", "BACKUP_AT", "KEEP_RAW_DAYS", "LOG"):
            monkeypatch.setenv(match[1], match[3])
            assert getattr(Settings(), match[2].lower()) == Settings.model_fields[match[2].lower()].default


def test_what_the_containerfile_copies_is_there() -> None:
    copied = re.findall(r"(?m)^COPY (?!--from)(.+) \S+$", (DEPLOY / "Containerfile").read_text(encoding="utf-8"))
    sources = [one for line in copied for one in line.split()]
    assert len(sources) >= 4
    for one in sources:
        assert (ROOT / one).exists(), one


@pytest.mark.parametrize(
    "line",
    """User=potside NoNewPrivileges=yes ProtectSystem=strict ProtectHome=yes PrivateTmp=yes PrivateDevices=yes Restart=always
    CapabilityBoundingSet= Type=notify WatchdogSec=180 StateDirectoryMode=0700 UMask=0077 MemoryDenyWriteExecute=yes""".split(),
)
def test_the_unit_is_hardened_and_watched(line: str) -> None:
    assert line in UNIT.splitlines()


def test_the_unit_does_not_start_again_what_needs_a_person() -> None:
    match = re.search(r"(?m)^RestartPreventExitStatus=(.*)$", UNIT)
    assert match
    wanted = {2, *(CODES[kind] for kind in ("damaged", "foreign", "newer", "in_use"))}
    assert {int(one) for one in match[1].split()} == wanted


def test_systemd_has_nothing_to_complain_of(tmp_path: Path) -> None:
    if shutil.which("systemd-analyze") is None:
        pytest.skip("no systemd-analyze here")
    unit = tmp_path / "potside.service"
    there = UNIT.replace("/opt/potside/.venv/bin/python", "/bin/true").replace("User=potside", "User=root")
    unit.write_text(there.replace("Group=potside", "Group=root"), encoding="utf-8")
    done = subprocess.run(["systemd-analyze", "verify", str(unit)], capture_output=True, text=True, check=False)
    assert "potside.service" not in done.stderr, done.stderr
    assert done.returncode == 0, done.stderr


def test_compose_reads_its_files(tmp_path: Path) -> None:
    docker = shutil.which("docker")
    if docker is None or subprocess.run([docker, "compose", "version"], capture_output=True, check=False).returncode:
        pytest.skip("no docker compose here")
    (tmp_path / "deploy").mkdir()
    for name in ("compose.yaml", "compose.postgresql.yaml"):
        shutil.copy(DEPLOY / name, tmp_path / "deploy" / name)
    shutil.copy(DEPLOY / "settings.example", tmp_path / "potside.env")
    files = ["-f", str(tmp_path / "deploy/compose.yaml"), "-f", str(tmp_path / "deploy/compose.postgresql.yaml")]
    env = {"PATH": str(Path(docker).parent), "POTSIDE_SERVER_PASSWORD": "abc", "HOME": str(tmp_path)}
    done = subprocess.run([docker, "compose", *files, "config"], capture_output=True, text=True, check=False, env=env)
    assert done.returncode == 0, done.stderr
    assert ":abc@server/potside" in done.stdout
