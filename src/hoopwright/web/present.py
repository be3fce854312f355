"""The windows in which a project is open."""

import threading
from collections import Counter


class Present:
    """The windows in which one project is open."""

    def __init__(self) -> None:
        self._one = threading.Lock()
        self._windows: dict[str, str] = {}

    def come(self, client_id: str, name: str) -> None:
        """A window has opened."""
        with self._one:
            self._windows[client_id] = name

    def go(self, client_id: str) -> None:
        """A window was closed, or its network is away."""
        with self._one:
            self._windows.pop(client_id, None)

    def words(self) -> str:
        """`open in 2 windows: this laptop, Office tablet`; empty while it is open in one."""
        with self._one:
            names = Counter(self._windows.values())
        count = sum(names.values())
        if count < 2:
            return ""
        told = ", ".join(name if many == 1 else f"{name} ({many})" for name, many in sorted(names.items()))
        return f"open in {count} windows: {told}"
