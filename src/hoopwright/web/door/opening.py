"""The key in the address that opens the workbench on this machine, and the cookie that it is changed for."""

import hashlib
import secrets
import threading
from collections import deque

_KEY_BYTES = 24
_SECRET_BYTES = 32
_KEYS_KEPT = 20


class Openings:
    """Keys that open once, and the sessions that they opened.

    Other users of a machine reach its loopback too; they have no key. Kept in memory: they end with the server.
    """

    def __init__(self) -> None:
        self._one = threading.Lock()
        self._keys: deque[str] = deque(maxlen=_KEYS_KEPT)
        self._sessions: set[str] = set()

    def new_key(self) -> str:
        """A key that opens one browser."""
        key = secrets.token_urlsafe(_KEY_BYTES)
        with self._one:
            self._keys.append(digest(key))
        return key

    def open_with(self, key: str) -> str | None:
        """The secret of a new session for a key that was not used yet; None for any other."""
        named = digest(key)
        with self._one:
            if named not in self._keys:
                return None
            self._keys.remove(named)
            secret = secrets.token_urlsafe(_SECRET_BYTES)
            self._sessions.add(digest(secret))
            return secret

    def is_open(self, secret: str) -> bool:
        """Whether a session has this secret."""
        return digest(secret) in self._sessions


def digest(secret: str) -> str:
    """What is kept and compared in place of a secret: how long comparing takes tells nothing of the secret."""
    return hashlib.sha256(secret.encode()).hexdigest()
