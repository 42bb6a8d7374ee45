"""Sealing a file with a passphrase: scrypt makes the key, AES-256-GCM seals the contents piece by piece.

The layout, all numbers big-endian:

    19 bytes  FLOORWARD-SEALED-1 and a line feed
     1 byte   base-2 logarithm of scrypt's cost N (r = 8, p = 1)
    16 bytes  salt
     7 bytes  start of every nonce
    16 bytes  check: the last 16 of the 48 bytes that scrypt derives; the first 32 are the key
    then      pieces of 2**20 bytes, each followed by its 16-byte tag; the last piece is shorter, and may be empty

A piece's nonce is the start, its number in 4 bytes, and one byte that is 1 for the last piece alone, so that pieces can neither be
exchanged nor left out. The header is authenticated with every piece.
"""

import hmac
import os
from collections.abc import Iterator
from typing import BinaryIO

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.kdf.scrypt import Scrypt

from floorward.errors import StorageError

MAGIC = b"FLOORWARD-SEALED-1\n"
COST = 16  # 64 MiB and a fraction of a second for each guess
HIGHEST_COST = 20
HEADER = len(MAGIC) + 1 + 16 + 7 + 16
PIECE = 2**20
TAG = 16


def is_sealed(start: bytes) -> bool:
    """Whether a file that begins with `start` is sealed."""
    return start.startswith(MAGIC)


def seal(source: BinaryIO, target: BinaryIO, passphrase: str, *, cost: int = COST) -> None:
    """Write `source` to `target`, sealed."""
    salt, prefix = os.urandom(16), os.urandom(7)
    key, check = _derived(passphrase, salt, cost)
    header = MAGIC + bytes([cost]) + salt + prefix + check
    target.write(header)
    cipher = AESGCM(key)
    target.writelines(cipher.encrypt(nonce, piece, header) for nonce, piece in _pieces(source, prefix, PIECE))


def unseal(source: BinaryIO, target: BinaryIO, passphrase: str) -> None:
    """Write what was sealed in `source` to `target`.

    Raises:
        StorageError: the passphrase is another, or the file was damaged or cut short.
    """
    header = source.read(HEADER)
    if not is_sealed(header) or len(header) < HEADER or header[len(MAGIC)] > HIGHEST_COST:
        raise StorageError("this is not a sealed backup, or its start is damaged; take another copy of it")
    rest = header[len(MAGIC) :]
    cost, salt, prefix, check = rest[0], rest[1:17], rest[17:24], rest[24:]
    key, own_check = _derived(passphrase, salt, cost)
    if not hmac.compare_digest(check, own_check):
        raise StorageError("the passphrase is not the one this backup was sealed with; nothing was changed")
    cipher = AESGCM(key)
    try:
        target.writelines(
            cipher.decrypt(nonce, piece, header) for nonce, piece in _pieces(source, prefix, PIECE + TAG)
        )
    except InvalidTag as error:
        raise StorageError("the backup is damaged or cut short; take another copy of it") from error


def _derived(passphrase: str, salt: bytes, cost: int) -> tuple[bytes, bytes]:
    derived = Scrypt(salt=salt, length=48, n=2**cost, r=8, p=1).derive(passphrase.encode())
    return derived[:32], derived[32:]


def _pieces(source: BinaryIO, prefix: bytes, size: int) -> Iterator[tuple[bytes, bytes]]:
    """Each piece of `source` with its nonce. A full piece is never the last: an empty one follows it."""
    number = 0
    while True:
        piece = source.read(size)
        last = len(piece) < size
        yield prefix + number.to_bytes(4, "big") + bytes([last]), piece
        if last:
            return
        number += 1
