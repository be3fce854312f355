"""Asking the guard as a laptop, a phone or somebody else would, over no network."""

from urllib.parse import unquote

import anyio
import httpx

PORT = 8655
SHOP = "192.168.1.20"
HERE, THERE = f"127.0.0.1:{PORT}", f"{SHOP}:{PORT}"
LAPTOP, PHONE = ("127.0.0.1", "127.0.0.1"), ("192.168.1.77", SHOP)
PATHS = ("/", "/bend", "/bend/MH", "/seen/shell/x/light", "/_nicegui/3/static/nicegui.js", "/nothing")


def ask(house, method, path, *, ends=LAPTOP, host=None, cookies=None, headers=(), content=None):
    """One answer, over no network."""
    client, server = ends
    host = host if host is not None else f"{server}:{PORT}"
    told = {"host": host, **dict(headers)}
    if cookies:
        told["cookie"] = "; ".join(f"{name}={value}" for name, value in cookies.items())

    raw, _, query = path.partition("?")
    # as it goes over the wire: a client of its own would tidy the path up
    as_sent = {
        "path": unquote(raw),
        "raw_path": raw.encode(),
        "query_string": query.encode(),
        "client": (client, 50_000),
        "server": (server, PORT),
    }

    async def at_server(scope, receive, send):
        await house.guard({**scope, **as_sent}, receive, send)

    async def go():
        transport = httpx.ASGITransport(app=at_server)
        async with httpx.AsyncClient(transport=transport, base_url="http://never") as asking:
            return await asking.request(method, "/", headers=told, content=content)

    return anyio.run(go)


def pair(house, code, *, name="Bender phone", then=""):
    told = {"content-type": "application/x-www-form-urlencoded", "origin": f"http://{THERE}"}
    body = f"code={code}&name={name}&then={then}".encode()
    return ask(house, "POST", "/pair", ends=PHONE, headers=told, content=body)


def talk(house, *, headers, ends=LAPTOP, says=("one",), between=lambda: None):
    """What a socket sends for what is said to it; `between` happens before each message but the first."""
    sent = []
    client, server = ends
    waiting = [{"type": "websocket.connect"}]
    waiting += [{"type": "websocket.receive", "text": text} for text in says]
    waiting.append({"type": "websocket.disconnect", "code": 1000})

    async def receive():
        message = waiting.pop(0)
        if message["type"] == "websocket.receive" and message["text"] != says[0]:
            between()
        return message

    async def send(message):
        sent.append(message)

    scope = {
        "type": "websocket",
        "path": "/_nicegui_ws/socket.io/",
        "raw_path": b"/_nicegui_ws/socket.io/",
        "query_string": b"",
        "headers": [(name.encode(), value.encode()) for name, value in headers],
        "client": (client, 50_000),
        "server": (server, PORT),
        "subprotocols": [],
    }
    anyio.run(house.guard, scope, receive, send)
    return sent


def opened(cookies, host=HERE, origin=f"http://{HERE}"):
    kept = "; ".join(f"{name}={value}" for name, value in cookies.items())
    return [("host", host), *([("origin", origin)] if origin else []), ("cookie", kept)]
