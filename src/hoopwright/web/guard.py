"""What stands before every request: who asks, from where, and for what."""

import time
from collections.abc import Callable
from dataclasses import dataclass, field
from urllib.parse import quote_plus, unquote

from hoopwright.store.devices import DeviceList
from hoopwright.web.door.asking import LAPTOP, NOBODY, Asker, Who, name_asker
from hoopwright.web.door.bodies import UPLOAD_BYTES, RefusedBodyError, Upload, small_body
from hoopwright.web.door.network import Network
from hoopwright.web.door.opening import Openings
from hoopwright.web.door.policy import HEADERS, LOOPBACK_HEADERS, page_policy
from hoopwright.web.door.rates import Rate
from hoopwright.web.door.wire import App, Message, Receive, Scope, Send, answer, cookie, header, refuse_socket

LOOPBACK = frozenset({"127.0.0.1", "::1"})
OPENING, PAIRING = "/open", "/pair"
SCREEN = "/bend"
UPLOADS = ("/_nicegui/client/", "/seen/scan", "/seen/file/")
DEVICE_COOKIE = "hoopwright_device"
METHODS = frozenset({"GET", "HEAD", "POST"})
KINDS = frozenset(
    {"application/json", "text/plain", "application/x-www-form-urlencoded", "application/octet-stream"}
)
SOCKETS_EACH = 12
_WORDS = {
    400: "That address is none.",
    401: "Not open for this browser. At the laptop: use the address that 'hoopwright open' printed. "
    "On a phone: pair it first.",
    403: "This workbench does not answer there.",
    405: "That is not done here.",
    408: "That came too slowly.",
    413: "That is too large.",
    415: "That is of a kind that is not taken here.",
    429: "Too much at once: wait a little.",
}


def laptop_cookie(port: int) -> str:
    """Name of the laptop's cookie; browsers do not keep cookies of different ports apart."""
    return f"hoopwright_laptop_{port}"


@dataclass(frozen=True, kw_only=True)
class House:
    """What the guard knows.

    Args:
        port: Where the server listens on this machine.
        openings: Sessions of this machine.
        devices: Paired devices, who are let in while something is shared.
        network: Where the shop network comes in at this moment.
        now_s: A clock that never goes back.
        upload_bytes: How large a scan may be that a browser sends.
        sockets: How many each has open.
    """

    port: int
    openings: Openings
    devices: DeviceList
    network: Network
    now_s: Callable[[], float] = time.monotonic
    upload_bytes: int = UPLOAD_BYTES
    sockets: dict[str, int] = field(default_factory=dict)

    def hosts(self, *, loopback: bool) -> frozenset[str]:
        """Hosts with port that a request may name, by where it came in."""
        if loopback:
            return frozenset(f"{name}:{self.port}" for name in ("127.0.0.1", "localhost"))
        now = self.network.now
        return frozenset() if now is None else frozenset({f"{now.host}:{now.port}"})

    @property
    def shared(self) -> bool:
        """Whether devices are let in at this moment."""
        return self.network.now is not None


class Guard:
    """Answers the laptop that opened the workbench and the devices that it paired, and refuses all others.

    Other pages that a browser has open, other users of this machine and others on the shop network must not reach it.

    Args:
        app: What answers.
        house: What the guard knows.
    """

    def __init__(self, app: App, house: House) -> None:
        self.app = app
        self.house = house
        self._strangers = Rate(at_once=30, per_s=0.5, now_s=house.now_s)
        self._devices = Rate(at_once=400, per_s=60.0, now_s=house.now_s)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer, or refuse with 400, 401, 403, 405, 408, 413, 415 or 429."""
        if scope["type"] not in {"http", "websocket"}:
            await self.app(scope, receive, send)
            return
        asker = self._asker(scope)
        status, more = self._judge(scope, asker)
        if status and scope["type"] == "websocket":
            await refuse_socket(receive, send, status)
        elif status:
            await answer(send, status, _WORDS.get(status, ""), more=more)
        elif scope["type"] == "websocket":
            name_asker(scope, asker)
            await self._socket(scope, receive, send, asker)
        else:
            name_asker(scope, asker)
            await self._request(scope, receive, _keeping(scope, send))

    def _judge(self, scope: Scope, asker: Asker) -> tuple[int, list[tuple[bytes, bytes]]]:
        """The status to refuse with, or 0, and what goes with it."""
        if not self._from_a_page_of_ours(scope):
            return 403, []
        if not is_plain_path(scope):
            return 400, []
        status = _form(scope) if scope["type"] == "http" else 0
        if status:
            return status, []
        wait_s = self._wait_s(scope, asker)
        if wait_s:
            return 429, [(b"retry-after", str(int(wait_s) + 1).encode())]
        path = scope["path"]
        if scope["type"] == "http" and (path == OPENING or (path == PAIRING and self.house.shared)):
            return 0, []
        if asker.who is Who.NOBODY:
            return self._to_pairing(scope)
        if not asker.workbench and path != SCREEN and not path.startswith(f"{SCREEN}/"):
            is_front = path == "/" and scope["type"] == "http" and _wants_page(scope)
            return (303, [(b"location", SCREEN.encode())]) if is_front else (403, [])
        return 0, []

    def _to_pairing(self, scope: Scope) -> tuple[int, list[tuple[bytes, bytes]]]:
        """A phone that opened the address of a bar is led to where it is paired."""
        path = scope["path"]
        is_page = scope["type"] == "http" and scope["method"] == "GET" and _wants_page(scope)
        if is_page and self.house.shared and not came_over_loopback(scope):
            asked = scope.get("query_string", b"").decode("latin-1")
            whole = f"{path}?{asked}" if asked else path
            then = quote_plus(whole) if path.startswith(f"{SCREEN}/") else ""
            return 303, [(b"location", f"/pair?then={then}".encode() if then else b"/pair")]
        return 401, []

    def _asker(self, scope: Scope) -> Asker:
        if came_over_loopback(scope):
            secret = cookie(scope, laptop_cookie(self.house.port))
            if secret and self.house.openings.is_open(secret):
                return LAPTOP
        token = cookie(scope, DEVICE_COOKIE)
        device = self.house.devices.by_token(token) if token and self.house.shared else None
        if device is None:
            return NOBODY
        return Asker(who=Who.DEVICE, name=device.name, device_id=device.device_id, workbench=device.workbench)

    def _from_a_page_of_ours(self, scope: Scope) -> bool:
        hosts = self.house.hosts(loopback=came_over_loopback(scope))
        named = [value for key, value in scope["headers"] if key == b"host"]
        if len(named) != 1 or named[0].decode("latin-1").lower() not in hosts:
            return False
        origin = header(scope, b"origin")
        if origin is None:
            # a browser says where a socket or a form comes from
            return scope["type"] == "http" and _site(scope)
        return origin.lower() == f"http://{named[0].decode('latin-1').lower()}" and _site(scope)

    def _wait_s(self, scope: Scope, asker: Asker) -> float:
        if asker.who is Who.LAPTOP:
            return 0.0
        if asker.who is Who.DEVICE:
            return self._devices.wait_s(asker.device_id)
        return self._strangers.wait_s(str((scope.get("client") or ("",))[0]))

    async def _request(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["method"] != "POST":
            await self.app(scope, receive, send)
            return
        if scope["path"].startswith(UPLOADS):
            upload = Upload(receive=receive, send=send, most_bytes=self.house.upload_bytes)
            try:
                await self.app(scope, upload.receiving, upload.sending)
            except Exception:
                if not upload.refused:
                    raise
            await upload.settle()
            return
        try:
            played = await small_body(receive)
        except RefusedBodyError as refused:
            await answer(send, refused.status, _WORDS[refused.status], more=[(b"connection", b"close")])
            return
        await self.app(scope, played, send)

    async def _socket(self, scope: Scope, receive: Receive, send: Send, asker: Asker) -> None:
        """A socket for as long as the one who opened it may come in."""
        name = asker.device_id or asker.who.value
        sockets = self.house.sockets
        if asker.who is Who.DEVICE and sockets.get(name, 0) >= SOCKETS_EACH:
            await refuse_socket(receive, send, 429)
            return
        sockets[name] = sockets.get(name, 0) + 1
        began = self.house.network.now
        gone = False

        def is_out() -> bool:
            # a socket that was open when sharing was ended stays out when it is begun again
            ended = asker.who is Who.DEVICE and self.house.network.now is not began
            return ended or self._asker(scope) != asker

        async def shut() -> None:
            nonlocal gone
            if not gone:
                gone = True
                await send({"type": "websocket.close", "code": 4401})

        async def receiving() -> Message:
            message = await receive()
            if gone or is_out():
                await shut()
                return {"type": "websocket.disconnect", "code": 4401}
            return message

        async def sending(message: Message) -> None:
            if gone or (message["type"] == "websocket.send" and is_out()):
                await shut()
                return
            await send(message)

        try:
            await self.app(scope, receiving, sending)
        finally:
            sockets[name] -= 1


def came_over_loopback(scope: Scope) -> bool:
    """Whether a request comes from this machine, to an address that only this machine has."""
    ends = (scope.get("client"), scope.get("server"))
    return all(end is not None and end[0] in LOOPBACK for end in ends)


def is_plain_path(scope: Scope) -> bool:
    """Whether a path is what it looks like: no way up, no second coding, nothing that a disk reads otherwise."""
    path = scope["path"]
    for _ in range(3):
        parts = path.split("/")
        if not path.startswith("/") or ".." in parts or "." in parts or "\\" in path:
            return False
        if any(ord(letter) < 32 or ord(letter) == 127 for letter in path):
            return False
        path, before = unquote(path), path
        if path == before:
            return True
    return False


def _form(scope: Scope) -> int:
    """The status for a request of the wrong form, or 0."""
    if scope["method"] not in METHODS:
        return 405
    if scope["method"] != "POST":
        return 0
    length = header(scope, b"content-length")
    if length is not None and not (length.isascii() and length.isdigit()):
        return 400
    kind = (header(scope, b"content-type") or "application/octet-stream").partition(";")[0].strip().lower()
    if scope["path"].startswith(UPLOADS):
        return 0 if kind in KINDS or kind == "multipart/form-data" else 415
    return 0 if kind in KINDS else 415


def _site(scope: Scope) -> bool:
    """Whether the browser, where it says so, says that one of our pages asks, or that the person opened the address."""
    site = header(scope, b"sec-fetch-site")
    if site in (None, "same-origin", "none"):
        return True
    opened = header(scope, b"sec-fetch-mode") == "navigate" and header(scope, b"sec-fetch-dest") == "document"
    return scope["type"] == "http" and scope["method"] == "GET" and opened


def _wants_page(scope: Scope) -> bool:
    return "text/html" in (header(scope, b"accept") or "")


def _keeping(scope: Scope, send: Send) -> Send:
    """Sends with the headers that keep an answer to itself; a page waits until its policy can be told."""
    ours = (*HEADERS, *LOOPBACK_HEADERS) if came_over_loopback(scope) else HEADERS
    held: list[Message] = []
    parts: list[bytes] = []

    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            there = {name.lower(): value for name, value in message["headers"]}
            message["headers"] = [*message["headers"], *(one for one in ours if one[0] not in there)]
            is_page = there.get(b"content-type", b"").startswith(b"text/html")
            if is_page and b"content-security-policy" not in there and b"content-encoding" not in there:
                held.append(message)
                return
        elif held and message["type"] == "http.response.body":
            parts.append(message.get("body", b""))
            if message.get("more_body", False):
                return
            start, body = held.pop(), b"".join(parts)
            start["headers"] = [*start["headers"], (b"content-security-policy", page_policy(body))]
            await send(start)
            message = {"type": "http.response.body", "body": body}
        await send(message)

    return sending
