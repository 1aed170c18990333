"""Seals a file under a passphrase, so that it may lie where others can read it, and cuts it into parts that can be sent.

A line that names the format, 16 bytes of salt, then pieces of 64 KiB, each with ChaCha20-Poly1305 (RFC 8439) under a key that
scrypt (RFC 7914; N = 2^15, r = 8, p = 1) makes of passphrase and salt. The nonce is the number of the piece, its last byte 1 for
the last one, so that pieces cannot be left out, exchanged or cut off.
"""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from bot.store.problems import DatabaseProblem

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.ciphers.aead import ChaCha20Poly1305

FORMAT = b"potside sealed 1\n"
SALT_BYTES, KEY_BYTES, TAG_BYTES, PIECE_BYTES = 16, 32, 16, 64 * 1024
MOST_PART_BYTES = 45 * 1000 * 1000
_PART = re.compile(r"(.+)\.part(\d+)of(\d+)")


def seal(source: Path, target: Path, passphrase: str) -> None:
    """Write a sealed copy of a file to a new one. Raises DatabaseProblem where the library for it is missing."""
    salt = os.urandom(SALT_BYTES)
    cipher = _cipher(passphrase, salt)
    with source.open("rb") as plain, target.open("xb") as out:
        out.write(FORMAT + salt)
        for number, piece, last in _pieces(plain, PIECE_BYTES):
            out.write(cipher.encrypt(_nonce(number, last=last), piece, None))


def is_sealed(file: Path) -> bool:
    """Whether a file, or the one that a part belongs to, is sealed."""
    first = parts_of(file)[0]
    if not first.is_file():
        return False
    with first.open("rb") as opened:
        return opened.read(len(FORMAT)) == FORMAT


def unseal(file: Path, target: Path, passphrase: str) -> None:
    """Write what is sealed in a file, or in the parts of one of which any is given, to a new file.

    Raises DatabaseProblem where the passphrase is another, or something is missing or was changed.
    """
    cipher_parts()
    from cryptography.exceptions import InvalidTag  # noqa: PLC0415  an extra of the project

    joined = target.with_name(f"{target.name}-joined")
    with joined.open("xb") as whole:
        for part in parts_of(file):
            if not part.is_file():
                raise DatabaseProblem("missing", f"The part {part.name} is missing. Put all of them into one folder.")
            whole.write(part.read_bytes())
    try:
        with joined.open("rb") as sealed, target.open("xb") as out:
            header = sealed.read(len(FORMAT) + SALT_BYTES)
            cipher = _cipher(passphrase, header[len(FORMAT) :])
            for number, piece, last in _pieces(sealed, PIECE_BYTES + TAG_BYTES):
                out.write(cipher.decrypt(_nonce(number, last=last), piece, None))
    except InvalidTag:
        target.unlink()
        raise DatabaseProblem("damaged", f"{file} does not open: another passphrase, or a damaged file.") from None
    finally:
        joined.unlink()


def cut(file: Path, most_bytes: int = MOST_PART_BYTES) -> list[Path]:
    """Cut a file into parts of at most so many bytes beside it and return them; a file that is small enough is its only part."""
    count = -(-file.stat().st_size // most_bytes)
    if count <= 1:
        return [file]
    made = []
    with file.open("rb") as whole:
        for number in range(1, count + 1):
            part = file.with_name(f"{file.name}.part{number}of{count}")
            part.write_bytes(whole.read(most_bytes))
            made.append(part)
    return made


def parts_of(file: Path) -> list[Path]:
    """Return all the parts that a part belongs to, in order, there or not; the file alone where it is no part."""
    match = _PART.fullmatch(file.name)
    if match is None:
        return [file]
    return [file.with_name(f"{match[1]}.part{number}of{match[3]}") for number in range(1, int(match[3]) + 1)]


def _pieces(file: BinaryIO, size: int) -> Iterator[tuple[int, bytes, bool]]:
    """Yield number, bytes and whether it is the last for each piece; an empty file has one empty piece."""
    number, piece = 0, file.read(size)
    while True:
        following = file.read(size)
        yield number, piece, not following
        if not following:
            return
        number, piece = number + 1, following


def _nonce(number: int, *, last: bool) -> bytes:
    return number.to_bytes(11) + bytes([last])


def _cipher(passphrase: str, salt: bytes) -> ChaCha20Poly1305:
    key = hashlib.scrypt(passphrase.encode(), salt=salt, n=2**15, r=8, p=1, maxmem=64 * 1024 * 1024, dklen=KEY_BYTES)
    return cipher_parts()(key)


def cipher_parts() -> type[ChaCha20Poly1305]:
    """Return the cipher. Raises DatabaseProblem where its package is missing."""
    try:
        from cryptography.hazmat.primitives.ciphers.aead import ChaCha20Poly1305  # noqa: PLC0415  an extra of the project
    except ModuleNotFoundError:
        raise DatabaseProblem(
            "driver", "Sealed backups need one more package. Install it: pip install 'potside[sealed]'."
        ) from None
    return ChaCha20Poly1305
