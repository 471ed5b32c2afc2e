"""Invitations: codes that a clinic makes on the command line, each good for one family.

A code is made and checked with a key in the data folder and needs no record until it is
used: so it can be made while the server runs. Used, it becomes the id of the family's
record, which can come into being only once.
"""

from __future__ import annotations

import hmac
import secrets
import struct
from base64 import urlsafe_b64decode, urlsafe_b64encode
from datetime import UTC, datetime, timedelta
from hashlib import sha256

FAMILY = "f-"
"""What the id of an invited family begins with."""
DAYS = 14
"""How long an invitation is good for, unless told otherwise."""
_NUMBER, _TIME, _CODE = 6, 4, 11
"""Bytes of the random number, of the time (seconds since 1970), of the code that proves it."""


def make(key: bytes, now: datetime, days: int = DAYS) -> str:
    """A new code of 28 letters, fit for a deep link (A-Z a-z 0-9 _ -, at most 64)."""
    until = int((now + timedelta(days=days)).timestamp())
    body = secrets.token_bytes(_NUMBER) + struct.pack(">I", until)
    return urlsafe_b64encode(body + _proof(key, body)).decode().rstrip("=")


def family_of(key: bytes, code: str, now: datetime) -> str | None:
    """The id of the family that the code founds; None for a code that is wrong or too old."""
    try:
        raw = urlsafe_b64decode(code + "=" * (-len(code) % 4))
    except ValueError:
        return None
    body, proof = raw[: _NUMBER + _TIME], raw[_NUMBER + _TIME :]
    if len(raw) != _NUMBER + _TIME + _CODE or not hmac.compare_digest(proof, _proof(key, body)):
        return None
    until = datetime.fromtimestamp(struct.unpack(">I", body[_NUMBER:])[0], UTC)
    return FAMILY + body[:_NUMBER].hex() if now < until else None


def _proof(key: bytes, body: bytes) -> bytes:
    return hmac.new(key, b"invitation\n" + body, sha256).digest()[:_CODE]
