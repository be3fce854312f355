"""What comes with a request: no more of it, and for no longer, than what it is for."""

import asyncio
from dataclasses import dataclass, field

from hoopwright.web.door.wire import Message, Receive, Send, answer

SMALL_BYTES = 1_100_000
"""A message of the page library may have a million bytes."""
SMALL_S = 20.0
UPLOAD_BYTES = 4 * 1024**3 + 1024**2
"""A little over what the page takes, which says more about why."""
UPLOAD_S = 1800.0


class RefusedBodyError(Exception):
    """A body is too large, or too slow.

    Args:
        status: 413 or 408.
    """

    def __init__(self, status: int) -> None:
        super().__init__(status)
        self.status = status


async def small_body(receive: Receive) -> Receive:
    """Read a whole small body, so that nothing behind the guard waits for it; gives what plays it back.

    Raises:
        RefusedBodyError: Too large, or too slow.
    """
    content = bytearray()
    try:
        async with asyncio.timeout(SMALL_S):
            while True:
                message = await receive()
                if message["type"] == "http.disconnect":
                    break
                content += message.get("body", b"")
                if len(content) > SMALL_BYTES:
                    raise RefusedBodyError(413)
                if not message.get("more_body", False):
                    break
    except TimeoutError:
        raise RefusedBodyError(408) from None
    waiting = [{"type": "http.request", "body": bytes(content), "more_body": False}]

    async def played() -> Message:
        return waiting.pop() if waiting else await receive()

    return played


@dataclass
class Upload:
    """A large body on its way through: counted, and cut off where it is too large or too slow.

    Args:
        receive: Where it comes from.
        send: Where the answer goes.
        most_bytes: How much of it may come.
    """

    receive: Receive
    send: Send
    most_bytes: int
    refused: int = 0
    _read_bytes: int = 0
    _answered: bool = False
    _until_s: float = field(default_factory=lambda: asyncio.get_running_loop().time() + UPLOAD_S)

    async def receiving(self) -> Message:
        """The next part; as if the sender had gone where there is too much."""
        if self.refused:
            return {"type": "http.disconnect"}
        try:
            async with asyncio.timeout_at(self._until_s):
                message = await self.receive()
        except TimeoutError:
            self.refused = 408
            return {"type": "http.disconnect"}
        self._read_bytes += len(message.get("body", b""))
        if self._read_bytes > self.most_bytes:
            self.refused = 413
            return {"type": "http.disconnect"}
        return message

    async def sending(self, message: Message) -> None:
        """The answer; the refusal in its place."""
        if not self.refused:
            await self.send(message)
        else:
            await self.settle()

    async def settle(self) -> None:
        """See that a refusal is told."""
        if self.refused and not self._answered:
            self._answered = True
            await answer(self.send, self.refused, "This is too large, or came too slowly.")
