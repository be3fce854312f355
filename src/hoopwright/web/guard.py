"""What stands before every request: only known hosts and origins, and headers that keep a page to itself."""

from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

HEADERS = (
    (b"x-content-type-options", b"nosniff"),
    (b"x-frame-options", b"DENY"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (
        b"content-security-policy",
        b"default-src 'self'; script-src 'self' 'unsafe-inline' 'unsafe-eval'; style-src 'self' 'unsafe-inline'; "
        b"img-src 'self' data: blob:; connect-src 'self'; worker-src 'self' blob:; frame-ancestors 'none'; "
        b"base-uri 'self'; form-action 'self'; object-src 'none'",
    ),
)


class Guard:
    """Refuses requests that name another host, or come from another page.

    A page on the internet that a browser on this machine has open must not reach the workbench.

    Args:
        app: What answers.
        hosts: Hosts with port that may be named.
    """

    def __init__(self, app: App, hosts: frozenset[str]) -> None:
        self.app = app
        self.hosts = hosts

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer, or refuse with 403."""
        if scope["type"] not in {"http", "websocket"}:
            await self.app(scope, receive, send)
        elif self._is_known(scope):
            await self.app(scope, receive, _with_headers(scope, send))
        else:
            await _refuse(scope, receive, send)

    def _is_known(self, scope: Scope) -> bool:
        headers = {name: value.decode("latin-1") for name, value in scope["headers"]}
        if headers.get(b"host", "").lower() not in self.hosts:
            return False
        origin = headers.get(b"origin")
        if origin is None:
            return True
        return origin.lower().partition("://")[2] in self.hosts


def _with_headers(scope: Scope, send: Send) -> Send:
    if scope["type"] != "http":
        return send

    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            there = {name.lower() for name, _ in message["headers"]}
            message["headers"] = [
                *message["headers"],
                *(header for header in HEADERS if header[0] not in there),
            ]
        await send(message)

    return sending


async def _refuse(scope: Scope, receive: Receive, send: Send) -> None:
    if scope["type"] == "websocket":
        await receive()
        await send({"type": "websocket.close", "code": 4403})
        return
    await send({"type": "http.response.start", "status": 403, "headers": [(b"content-type", b"text/plain")]})
    await send({"type": "http.response.body", "body": b"This workbench does not answer there."})
