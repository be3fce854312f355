"""Connections that are opened and ask nothing, or never come to the end of asking, are closed."""

import asyncio
from typing import Any

from uvicorn.protocols.http.auto import AutoHTTPProtocol

HEAD_S = 10.0
HEAD_BYTES = 65_536


class TimedProtocol(AutoHTTPProtocol):  # type: ignore[misc, valid-type]
    """The server's own protocol, with a limit on the time and the size of the head of a request."""

    _until: asyncio.TimerHandle | None = None
    _head_bytes: int = 0

    def connection_made(self, transport: Any) -> None:
        """A connection was opened."""
        super().connection_made(transport)
        self._wait()

    def data_received(self, data: bytes) -> None:
        """Something came."""
        waited = self._is_waiting()
        super().data_received(data)
        if not self._is_waiting():
            self._stop_waiting()
            return
        self._head_bytes = self._head_bytes + len(data) if waited else 0
        if self._head_bytes > HEAD_BYTES:
            self.transport.abort()
        elif self._until is None:
            self._wait()

    def connection_lost(self, exc: Exception | None) -> None:
        """The connection is gone."""
        self._stop_waiting()
        super().connection_lost(exc)

    def _is_waiting(self) -> bool:
        """Whether no whole head was read since the last answer."""
        return self.cycle is None or bool(self.cycle.response_complete)

    def _wait(self) -> None:
        self._until = self.loop.call_later(HEAD_S, self._too_slow)

    def _stop_waiting(self) -> None:
        self._head_bytes = 0
        if self._until is not None:
            self._until.cancel()
            self._until = None

    def _too_slow(self) -> None:
        self._until = None
        is_ours = self.transport.get_protocol() is self
        if is_ours and self._is_waiting() and not self.transport.is_closing():
            self.transport.abort()
