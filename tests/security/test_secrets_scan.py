"""The scan finds each kind of secret in a real repository, knows invented ones, and finds none in this one."""

from __future__ import annotations

import importlib.util
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).resolve().parents[2]
SCAN = ROOT / "deploy" / "secrets_scan.py"
LETTERS = "AbCdEfGhIjKlMnOpQrStUvWxYz0123456789"
# Put together here, so that this file holds none itself.
PLANTED = [
    "TOKEN=" + "7123456789" + ":" + "AA" + LETTERS[:33],
    "-----BEGIN RSA " + "PRIVATE KEY-----",
    "AKIA" + "ABCDEFGHIJKLMNOP",
    "ghp_" + LETTERS,
    "postgresql://potside:" + "hunter2hunter2" + "@db.example/potside",
    "api_key = " + '"' + LETTERS[:16] + '"',
]
PLAIN = [
    "postgresql://potside@db.example/potside",
    "Authorization is asked for",
    'password = ""',
    "12:30 watered",
    "https://example.org:8443/path@here",
]


@pytest.fixture
def scan() -> ModuleType:
    """The script as a module."""
    spec = importlib.util.spec_from_file_location("secrets_scan", SCAN)
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize("secret", PLANTED, ids=range(len(PLANTED)))
def test_a_secret_is_found_and_not_shown(secret: str, tmp_path: Path) -> None:
    subprocess.run(["git", "init", "-q", str(tmp_path)], check=True)
    (tmp_path / "notes.txt").write_text(f"first line\n{secret}\n", encoding="utf-8")
    done = subprocess.run([sys.executable, str(SCAN), str(tmp_path)], capture_output=True, text=True, check=False)
    assert done.returncode == 1
    assert done.stdout.startswith("notes.txt:2: ")
    assert secret not in done.stdout


@pytest.mark.parametrize("text", PLAIN)
def test_plain_text_is_no_secret(scan: ModuleType, text: str) -> None:
    assert list(scan.finds(text)) == []


def test_this_repository_holds_none() -> None:
    if not (ROOT / ".git").exists():
        pytest.skip("no repository here")
    done = subprocess.run([sys.executable, str(SCAN), str(ROOT)], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout
