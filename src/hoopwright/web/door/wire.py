"""Types of what goes between server and guard, and short answers."""

from collections.abc import Awaitable, Callable, Iterable, MutableMapping
from typing import Any

from hoopwright.web.door.policy import HEADERS, NO_PAGE

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]
Headers = Iterable[tuple[bytes, bytes]]


async def answer(
    send: Send, status: int, words: str, *, more: Headers = (), kind: bytes = b"text/plain; charset=utf-8"
) -> None:
    """Send a short answer with all that keeps it to itself."""
    body = words.encode()
    headers = [
        (b"content-type", kind),
        (b"content-length", str(len(body)).encode()),
        (b"content-security-policy", NO_PAGE),
        *HEADERS,
        *more,
    ]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})


async def refuse_socket(receive: Receive, send: Send, status: int) -> None:
    """Refuse a socket before it is opened."""
    await receive()
    await send({"type": "websocket.close", "code": 4000 + status})


def header(scope: Scope, name: bytes) -> str | None:
    """A header of a request, or None."""
    return next((value.decode("latin-1") for key, value in scope["headers"] if key == name), None)


def cookie(scope: Scope, name: str) -> str | None:
    """A cookie of a request, or None; the first where it is there twice."""
    for key, value in scope["headers"]:
        if key != b"cookie":
            continue
        for part in value.decode("latin-1").split(";"):
            there, _, content = part.strip().partition("=")
            if there == name:
                return str(content)
    return None
