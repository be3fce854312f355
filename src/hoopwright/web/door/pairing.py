"""The short code with which a phone in the shop is paired."""

import hmac
import secrets
import threading
from collections.abc import Callable
from dataclasses import dataclass

from hoopwright.findings import Finding, Severity, UserError

LETTERS = "23456789ABCDEFGHJKMNPQRSTVWXYZ"
"""Without letters and digits that are taken for each other."""
CODE_LENGTH = 6
CODE_LIFE_S = 300.0
WRONG_TRIES = 5
HOLD_S = 30.0


@dataclass(frozen=True, kw_only=True)
class PairingCode:
    """A code as it is shown at the laptop.

    Args:
        code: Its letters.
        left_s: How long it holds.
    """

    code: str
    left_s: float


class Pairing:
    """Pairing as the laptop opened it: a code that changes when it was used, guessed at, or is old.

    Args:
        now_s: A clock that never goes back.
    """

    def __init__(self, now_s: Callable[[], float]) -> None:
        self._now_s = now_s
        self._one = threading.Lock()
        self._code: str | None = None
        self._until_s = self._hold_until_s = 0.0
        self._wrong = 0

    def start(self) -> None:
        """Let a device be paired."""
        with self._one:
            self._renew()

    def stop(self) -> None:
        """Let none be paired any more."""
        with self._one:
            self._code = None

    def shown(self) -> PairingCode | None:
        """The code that holds now, a fresh one where the last is old; None while pairing is closed."""
        with self._one:
            if self._code is None:
                return None
            if self._now_s() >= self._until_s:
                self._renew()
            return PairingCode(code=self._code, left_s=self._until_s - self._now_s())

    def check(self, typed: str) -> None:
        """Use the code up.

        Raises:
            UserError: `WEB-084` no code holds, `WEB-085` too many wrong ones, `WEB-083` a wrong one.
        """
        with self._one:
            now = self._now_s()
            if self._code is None or now >= self._until_s:
                raise _refused(
                    "WEB-084",
                    "No pairing code holds at the moment.",
                    "At the laptop, press Shop network, then Pair a device, and type the code that it shows.",
                )
            if now < self._hold_until_s:
                raise _refused(
                    "WEB-085",
                    f"{WRONG_TRIES} wrong codes were typed; pairing rests for {HOLD_S:.0f} seconds.",
                    "Wait, then type the new code that the laptop shows.",
                )
            if not hmac.compare_digest(plain(typed).encode(), self._code.encode()):
                self._wrong += 1
                if self._wrong >= WRONG_TRIES:
                    self._renew()
                    self._hold_until_s = now + HOLD_S
                raise _refused(
                    "WEB-083", "That is not the pairing code.", "Type the code that the laptop shows now."
                )
            self._code = None

    def _renew(self) -> None:
        self._code = "".join(secrets.choice(LETTERS) for _ in range(CODE_LENGTH))
        self._until_s = self._now_s() + CODE_LIFE_S
        self._wrong = 0


def plain(typed: str) -> str:
    """A code as it is compared: small letters, gaps and dashes do not count."""
    return "".join(letter for letter in typed.upper() if letter in LETTERS)[: CODE_LENGTH + 1]


def _refused(code: str, sentence: str, todo: str) -> UserError:
    return UserError(Finding(code=code, severity=Severity.STOP, sentence=sentence, todo=todo))
