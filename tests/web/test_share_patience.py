"""Connections that never come to the end of asking, against the server itself."""

import socket
import threading
import time

import pytest
import uvicorn

from hoopwright.web.door import patience
from hoopwright.web.shop_network import listening


@pytest.fixture
def server(monkeypatch):
    async def app(scope, receive, send):
        if scope["type"] == "http":
            await send({"type": "http.response.start", "status": 200, "headers": [(b"content-length", b"2")]})
            await send({"type": "http.response.body", "body": b"ok"})

    monkeypatch.setattr(patience, "HEAD_S", 0.5)
    made = uvicorn.Server(
        uvicorn.Config(
            app, http=patience.TimedProtocol, log_level="error", lifespan="off", timeout_keep_alive=60
        )
    )
    with listening("127.0.0.1", 0) as at:
        thread = threading.Thread(target=made.run, kwargs={"sockets": [at]}, daemon=True)
        thread.start()
        while not made.started:
            time.sleep(0.01)
        yield at.getsockname()
        made.should_exit = True
        thread.join(timeout=10)


def sent(address, *parts, pause_s=0.0):
    """What comes back until the server closes the connection."""
    with socket.create_connection(address, timeout=20) as line:
        told = b""
        try:
            for part in parts:
                line.sendall(part)
                time.sleep(pause_s)
            while more := line.recv(65_536):
                told += more
        except ConnectionError:
            pass
        return told


@pytest.mark.parametrize(
    "parts",
    [
        (),
        (b"GET / HTT",),
        (b"GET / HTTP/1.1\r\nhost: x\r\n",),
    ],
)
def test_what_asks_nothing_is_closed(server, parts):
    assert sent(server, *parts) == b""


def test_a_second_question_has_its_own_time(server):
    whole, part = b"GET / HTTP/1.1\r\nhost: x\r\n\r\n", b"GET / HTTP/1.1\r\nho"
    told = sent(server, whole, part, pause_s=0.3)
    assert told.count(b"200 OK") == 1


def test_a_head_without_end_is_closed(server, monkeypatch):
    monkeypatch.setattr(patience, "HEAD_S", 600.0)
    assert b"200 OK" not in sent(server, b"GET / HTTP/1.1\r\n", *[b"x: " + b"y" * 8000 + b"\r\n"] * 400)
