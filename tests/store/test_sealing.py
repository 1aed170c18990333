"""What is sealed opens with its passphrase alone, whole or not at all, in one piece or in parts."""

from __future__ import annotations

import hashlib
import random
from pathlib import Path

import pytest
from cryptography.hazmat.primitives.ciphers.aead import ChaCha20Poly1305

from bot.store.problems import DatabaseProblem
from bot.store.sealing import FORMAT, PIECE_BYTES, SALT_BYTES, TAG_BYTES, cut, is_sealed, parts_of, seal, unseal

WORDS = "four words from memory"
SIZES = [0, 1, PIECE_BYTES - 1, PIECE_BYTES, PIECE_BYTES + 1, 3 * PIECE_BYTES]


def sealed_file(folder: Path, size: int) -> tuple[bytes, Path]:
    plain = random.Random(size).randbytes(size)
    (folder / "plain").write_bytes(plain)
    seal(folder / "plain", folder / "sealed", WORDS)
    return plain, folder / "sealed"


@pytest.mark.parametrize("size", SIZES)
def test_it_comes_back_as_it_was(tmp_path: Path, size: int) -> None:
    plain, sealed = sealed_file(tmp_path, size)
    assert is_sealed(sealed)
    assert not is_sealed(tmp_path / "plain")
    assert size < 64 or plain[:64] not in sealed.read_bytes()
    unseal(sealed, tmp_path / "back", WORDS)
    assert (tmp_path / "back").read_bytes() == plain


def test_the_scheme_is_the_one_that_is_described(tmp_path: Path) -> None:
    # opened with nothing but the standards: RFC 7914 for the key, RFC 8439 for the pieces
    plain, sealed = sealed_file(tmp_path, PIECE_BYTES + 5)
    held = sealed.read_bytes()
    salt = held[len(FORMAT) : len(FORMAT) + SALT_BYTES]
    key = hashlib.scrypt(WORDS.encode(), salt=salt, n=32768, r=8, p=1, maxmem=2**26, dklen=32)
    body, size = held[len(FORMAT) + SALT_BYTES :], PIECE_BYTES + TAG_BYTES
    first = ChaCha20Poly1305(key).decrypt(bytes(12), body[:size], None)
    last = ChaCha20Poly1305(key).decrypt(bytes(10) + b"\1\1", body[size:], None)
    assert first + last == plain


def test_another_passphrase_opens_nothing(tmp_path: Path) -> None:
    _, sealed = sealed_file(tmp_path, 100)
    with pytest.raises(DatabaseProblem, match="another passphrase"):
        unseal(sealed, tmp_path / "back", WORDS + " ")
    assert not (tmp_path / "back").exists()


def test_a_change_a_cut_or_an_exchange_is_found(tmp_path: Path) -> None:
    _, sealed = sealed_file(tmp_path, 3 * PIECE_BYTES)
    whole, head, piece = sealed.read_bytes(), len(FORMAT) + SALT_BYTES, PIECE_BYTES + TAG_BYTES
    generator = random.Random(3)
    wrong = [whole[: head + piece], whole[: head + 2 * piece], whole[:-1], whole[:head]]
    wrong.append(whole[:head] + whole[head + piece : head + 2 * piece] + whole[head : head + piece] + whole[head + 2 * piece :])
    places = [generator.randrange(len(FORMAT), len(whole)) for _ in range(12)]
    wrong += [whole[:place] + bytes([whole[place] ^ 1]) + whole[place + 1 :] for place in places]
    for number, changed in enumerate(wrong):
        (tmp_path / "changed").write_bytes(changed)
        with pytest.raises(DatabaseProblem, match="does not open"):
            unseal(tmp_path / "changed", tmp_path / f"back{number}", WORDS)
        assert not (tmp_path / f"back{number}").exists()


def test_two_seals_of_one_file_differ(tmp_path: Path) -> None:
    _, sealed = sealed_file(tmp_path, 100)
    seal(tmp_path / "plain", tmp_path / "again", WORDS)
    assert sealed.read_bytes()[len(FORMAT) :] != (tmp_path / "again").read_bytes()[len(FORMAT) :]


def test_parts_are_joined_whichever_is_given(tmp_path: Path) -> None:
    plain, sealed = sealed_file(tmp_path, 250_000)
    parts = cut(sealed, 25_000)
    assert len(parts) == 11
    assert all(one.stat().st_size <= 25_000 for one in parts)
    sealed.unlink()
    for number, part in enumerate((parts[0], parts[-1])):
        assert parts_of(part) == parts
        assert is_sealed(part)
        unseal(part, tmp_path / f"back{number}", WORDS)
        assert (tmp_path / f"back{number}").read_bytes() == plain
    parts[4].unlink()
    with pytest.raises(DatabaseProblem, match=r"part5of11 is missing"):
        unseal(parts[0], tmp_path / "back", WORDS)
    assert cut(tmp_path / "plain") == [tmp_path / "plain"]
