"""How often somebody may ask."""

import threading
from collections import OrderedDict
from collections.abc import Callable

_NAMES_KEPT = 2000


class Rate:
    """So many at once, and then so many per second, for each name.

    Args:
        at_once: How many at once.
        per_s: How many come back each second.
        now_s: A clock that never goes back.
    """

    def __init__(self, *, at_once: int, per_s: float, now_s: Callable[[], float]) -> None:
        self._at_once, self._per_s, self._now_s = at_once, per_s, now_s
        self._one = threading.Lock()
        self._left: OrderedDict[str, tuple[float, float]] = OrderedDict()

    def wait_s(self, name: str) -> float:
        """Take one; 0 when it may be done now, else how long to wait."""
        with self._one:
            now = self._now_s()
            left, then = self._left.pop(name, (self._at_once, now))
            left = min(self._at_once, left + (now - then) * self._per_s)
            may = left >= 1.0
            self._left[name] = (left - 1.0 if may else left, now)
            # those that were quiet longest are forgotten: names cannot be piled up
            while len(self._left) > _NAMES_KEPT:
                self._left.popitem(last=False)
            return 0.0 if may else (1.0 - left) / self._per_s
