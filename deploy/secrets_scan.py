"""Looks for secrets in the files that git keeps, without a network: `python deploy/secrets_scan.py [FOLDER]`.

Prints a line for each find, file and line number without the secret, and ends with 1 where there is one. Tokens that tests
invent are known by their SHA-256 sums below.
"""

from __future__ import annotations

import hashlib
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

KINDS = {
    "a bot token": r"\b\d{6,12}:[A-Za-z0-9_-]{33,}",
    "a private key": r"-----BEGIN [A-Z ]*PRIVATE KEY-----",
    "an access key": r"\b(?:AKIA|ASIA)[0-9A-Z]{16}\b",
    "a forge's token": r"\b(?:gh[pousr]_[A-Za-z0-9]{36}|github_pat_[A-Za-z0-9_]{22,}|glpat-[A-Za-z0-9_-]{20,})",
    "an address with a password": r"\b[a-z][a-z0-9+]{2,20}://[^\s/:@\"'<>{}]+:[^\s/:@\"'<>{}]{3,}@[A-Za-z0-9.-]",
    "a password or key written out": r"(?i)\b(?:password|passwd|secret|api_?key)\b[\"']?\s*[:=]\s*[\"'][^\"'\s]{12,}[\"']",
}
# Invented for tests and examples; nothing opens with them.
HARMLESS = frozenset(
    {
        "0b5dd075ccdd03c42f4edda8e299e6838e2a75d3486a2a8d86940ed1541e9178",
        "33754ceba96e81d31fb76c502c1761997e4f0d05eb0ab40610edfbaa81e440b2",
    }
)
MOST_BYTES = 5_000_000


def finds(text: str) -> Iterator[tuple[int, str, str]]:
    """Yield line number, kind and the secret itself for each secret in a text that is not known to be harmless."""
    for kind, pattern in KINDS.items():
        for match in re.finditer(pattern, text):
            if hashlib.sha256(match[0].encode()).hexdigest() not in HARMLESS:
                yield text.count("\n", 0, match.start()) + 1, kind, match[0]


def files_of(folder: Path) -> list[Path]:
    """Return the files that git keeps, or would keep, below a folder."""
    command = ["git", "-C", str(folder), "ls-files", "-z", "--cached", "--others", "--exclude-standard"]
    listed = subprocess.run(command, capture_output=True, check=True)  # noqa: S603  a fixed command
    return [folder / name for name in listed.stdout.decode().split("\0") if name]


def main(folder: Path) -> int:
    """Look through a folder; return the exit code."""
    looked, found = 0, 0
    for path in files_of(folder):
        if not path.is_file() or path.is_symlink() or path.stat().st_size > MOST_BYTES:
            continue
        looked += 1
        for line, kind, _ in finds(path.read_bytes().decode("utf-8", errors="replace")):
            print(f"{path.relative_to(folder)}:{line}: {kind}")
            found += 1
    print(f"{looked} files looked through, {found} secrets found")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1] if len(sys.argv) > 1 else ".").resolve()))
