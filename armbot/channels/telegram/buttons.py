"""Signed buttons: what comes back was shown by this bot, in this chat, and nothing else.

A button sends back a text of at most 64 bytes (Bot API, InlineKeyboardButton,
callback_data), and whoever holds a changed client may send any other. So each act goes out
with a code that only the holder of the key can make, for one chat.
"""

from __future__ import annotations

import hmac
from base64 import urlsafe_b64encode
from hashlib import sha256
from typing import Final

PAYLOAD_BYTES: Final = 64
"""Bot API, InlineKeyboardButton, callback_data: 1 to 64 bytes."""
_CODE_BYTES: Final = 9
"""72 bits of the code: each guess costs a request, and 9 bytes are 12 letters exactly."""
_CODE_LETTERS: Final = 12
ACT_BYTES: Final = PAYLOAD_BYTES - _CODE_LETTERS
"""What is left for the act, in UTF-8."""
_KEY_BYTES: Final = 16


class ButtonKey:
    """The secret that signs buttons; it must outlive a restart, or old buttons go stale.

    ``secret`` has at least 16 bytes; raises ValueError when it is shorter.
    """

    def __init__(self, secret: bytes) -> None:
        if len(secret) < _KEY_BYTES:
            raise ValueError(f"the key that signs buttons needs {_KEY_BYTES} bytes or more")
        self._secret = secret

    def sign(self, chat: int, act: str) -> str:
        """What the button sends back: at most 64 bytes.

        Raises ValueError for an act that is empty, is no Unicode text or has more than
        52 bytes of UTF-8.
        """
        size = len(act.encode())
        if not 1 <= size <= ACT_BYTES:
            raise ValueError(f"the act of a button has 1 to {ACT_BYTES} bytes, not {size}: {act!r}")
        return self._code(chat, act) + act

    def read(self, chat: int, payload: str) -> str:
        """The act, or "" where it was not signed for that chat; never raises."""
        code, act = payload[:_CODE_LETTERS], payload[_CODE_LETTERS:]
        try:
            expected = self._code(chat, act).encode()
            given = code.encode()
        except UnicodeEncodeError:  # half of a surrogate pair: nothing that was ever signed
            return ""
        # Compared in constant time, so that answers cannot be timed to find a code.
        return act if hmac.compare_digest(expected, given) else ""

    def _code(self, chat: int, act: str) -> str:
        signed = f"button\n{chat}\n{act}".encode()
        digest = hmac.new(self._secret, signed, sha256).digest()
        return urlsafe_b64encode(digest[:_CODE_BYTES]).decode()
