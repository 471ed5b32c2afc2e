"""Whether a clinician has signed a piece of content, and for how long."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class SignState(StrEnum):
    """The state of one content item."""

    SIGNED = "signed"
    UNSIGNED = "unsigned"
    EXPIRED = "expired"
    BROKEN = "broken"
    """Signed once, edited since: the hash no longer fits."""


@dataclass(frozen=True, slots=True)
class SignOff:
    """A clinician's signature under one item: a role, never a name."""

    item: str
    digest: str
    role: str
    signed_on: date
    valid_until: date


@dataclass(frozen=True, slots=True)
class ContentItem:
    """One signable item: its id (such as "topics/ll_elbow"), hash and signature."""

    id: str
    digest: str
    signature: SignOff | None = None

    def state(self, today: date) -> SignState:
        """Signed only while the hash fits and the signature has not run out."""
        if self.signature is None:
            return SignState.UNSIGNED
        if self.signature.digest != self.digest:
            return SignState.BROKEN
        if today > self.signature.valid_until:
            return SignState.EXPIRED
        return SignState.SIGNED
