"""Who is answered."""

import asyncio

import pytest

from hoopwright.web.guard import Guard

HOSTS = frozenset({"127.0.0.1:8000", "localhost:8000"})


def answer(kind, *headers):
    """What a guarded app sends for one request."""
    sent = []

    async def app(scope, receive, send):
        if scope["type"] == "http":
            await send({"type": "http.response.start", "status": 200, "headers": []})
        else:
            await send({"type": "websocket.accept"})

    async def receive():
        return {"type": "websocket.connect"}

    async def send(message):
        sent.append(message)

    scope = {"type": kind, "headers": [(name.encode(), value.encode()) for name, value in headers]}
    asyncio.run(Guard(app, HOSTS)(scope, receive, send))
    return sent[0]


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ([("host", "127.0.0.1:8000")], 200),
        ([("host", "LOCALHOST:8000")], 200),
        ([("host", "127.0.0.1:8000"), ("origin", "http://127.0.0.1:8000")], 200),
        ([], 403),
        ([("host", "shop.example")], 403),
        ([("host", "127.0.0.1:9000")], 403),
        ([("host", "127.0.0.1:8000"), ("origin", "http://shop.example")], 403),
        ([("host", "127.0.0.1:8000"), ("origin", "null")], 403),
        ([("host", "127.0.0.1:8000"), ("origin", "http://127.0.0.1:8000.shop.example")], 403),
    ],
)
def test_only_its_own_pages_are_answered(headers, status):
    assert answer("http", *headers)["status"] == status
    opened = answer("websocket", *headers)
    assert opened["type"] == ("websocket.accept" if status == 200 else "websocket.close")


def test_answers_keep_to_themselves():
    headers = dict(answer("http", ("host", "localhost:8000"))["headers"])
    assert headers[b"x-frame-options"] == b"DENY"
    policy = headers[b"content-security-policy"].decode()
    assert "http" not in policy  # no other host is named
