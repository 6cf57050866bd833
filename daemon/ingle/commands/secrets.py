"""Secrets: made from the system's random source, kept only as what cannot be turned back.

A password is a person's and may be guessable, so each try must be dear: scrypt (RFC 7914) with a salt of its own and
32 MiB of memory a try, the parameters written beside the hash so that they can be raised later. A token, a session or
a claim code is 256 random bits and cannot be tried out, so its SHA-256 is enough, and can be looked up. Comparisons
take the same time whatever differs.
"""

from __future__ import annotations

import base64
import hashlib
import hmac
import secrets
from typing import Final

#: Shortest and longest password [characters]; longer ones cost time and nothing else. A sentence fits.
SHORTEST: Final = 10
LONGEST: Final = 200

_N: Final = 2**15
_R: Final = 8
_P: Final = 1
_MEMORY: Final = 64 * 1024 * 1024


def hash_password(password: str) -> str:
    """Return what is kept of a password: ``scrypt$n$r$p$salt$hash``. Takes a tenth of a second or more."""
    salt = secrets.token_bytes(16)
    return f"scrypt${_N}${_R}${_P}${_text(salt)}${_text(_scrypt(password, salt, _N, _R, _P))}"


def is_password(password: str, kept: str | None) -> bool:
    """Return whether a password is the one that was kept; with None kept, take as long and return False.

    >>> is_password("a sentence is best", hash_password("a sentence is best"))
    True
    >>> is_password("another", None)
    False
    """
    if kept is None:
        _scrypt(password, b"nobody's account", _N, _R, _P)
        return False
    _, n, r, p, salt, digest = kept.split("$")
    found = _scrypt(password, base64.b64decode(salt), int(n), int(r), int(p))
    return hmac.compare_digest(found, base64.b64decode(digest))


def new_secret(prefix: str = "") -> str:
    """Return 256 random bits as text that fits a header and a cookie."""
    return prefix + secrets.token_urlsafe(32)


def new_claim() -> str:
    """Return a claim code: 130 random bits, in groups that can be read out and typed."""
    letters = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789"  # 32 of them: none that looks like another
    text = "".join(secrets.choice(letters) for _ in range(26))
    return "-".join(text[at : at + 5] for at in range(0, 26, 5))


def plain_claim(typed: str) -> str:
    """Return a claim code as it was made, whatever blanks, dashes and small letters it was typed with.

    >>> plain_claim(" abcde-fghjk ")
    'ABCDEFGHJK'
    """
    return "".join(letter for letter in typed.upper() if letter.isalnum())


def digest(secret: str) -> str:
    """Return what is kept of a session, token or claim code."""
    return hashlib.sha256(secret.encode()).hexdigest()


def _scrypt(password: str, salt: bytes, n: int, r: int, p: int) -> bytes:
    return hashlib.scrypt(password.encode(), salt=salt, n=n, r=r, p=p, maxmem=_MEMORY, dklen=32)


def _text(raw: bytes) -> str:
    return base64.b64encode(raw).decode()
