"""Sharing begun and ended beside the server of this machine: two real servers in one process.

The shop network is 127.0.0.2 here: Linux answers at every address of that block, and the guard takes it for another
machine's, since it is none of those that this machine alone has.
"""

import asyncio
import socket
import sys
import threading
import time
from types import SimpleNamespace

import httpx
import pytest
import uvicorn
import websockets.exceptions
import websockets.sync.client
from fastapi import FastAPI, Request, WebSocket
from fastapi.responses import StreamingResponse

from hoopwright.findings import UserError
from hoopwright.store.devices import DeviceList
from hoopwright.web import sharing as sharing_module
from hoopwright.web.door.network import Network
from hoopwright.web.door.opening import Openings
from hoopwright.web.door.pairing import Pairing
from hoopwright.web.door.routes import add_pairing
from hoopwright.web.guard import DEVICE_COOKIE, Guard, House, laptop_cookie
from hoopwright.web.serve import free_port
from hoopwright.web.sharing import Sharing
from hoopwright.web.shop_listener import ShopListener, server_config
from hoopwright.web.shop_network import listening, named_address, named_port

SHOP = "127.0.0.2"
pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="only Linux has all of 127.0.0.0/8")


def port_at(address):
    with socket.socket() as probe:
        probe.bind((address, 0))
        return probe.getsockname()[1]


@pytest.fixture
def running(tmp_path):
    """A guarded app on this machine, its sharing, and a way to do something in its loop."""
    here, network = free_port(), Network()
    devices, pairing, openings = DeviceList(tmp_path / "devices.json"), Pairing(time.monotonic), Openings()
    app = FastAPI(openapi_url=None)
    guard = Guard(app, House(port=here, openings=openings, devices=devices, network=network))
    shared = Sharing(devices=devices, pairing=pairing, network=network, listener=ShopListener(guard, network))
    add_pairing(app, devices, pairing)
    heard, bodies, after_the_end = [], [], []

    @app.get("/slow")
    async def slow():
        async def parts():
            for _ in range(600):
                yield b"x" * 1000
                if not shared.address:
                    after_the_end.append(1)
                await asyncio.sleep(0.05)

        return StreamingResponse(parts())

    @app.get("/bend")
    async def bend():
        return {"told": "bars"}

    @app.get("/")
    async def front():
        return {"told": "front"}

    @app.post("/seen/scan")
    async def scan(request: Request):
        bodies.append(len(await request.body()))
        return {}

    @app.websocket("/ws")
    async def talk(line: WebSocket):
        await line.accept()
        async for text in line.iter_text():
            heard.append(text)
            await line.send_text(text)

    server = uvicorn.Server(server_config(guard, lifespan="off"))
    loops = []

    async def go():
        loops.append(asyncio.get_running_loop())
        await server.serve(sockets=[listening("127.0.0.1", here)])
        await shared.end()

    thread = threading.Thread(target=lambda: asyncio.run(go()), daemon=True)
    thread.start()
    until = time.monotonic() + 30
    while not server.started and time.monotonic() < until:
        time.sleep(0.02)
    device, token = devices.add("Bender phone", on="2026-03-14")
    devices.allow_workbench(device.device_id, True)
    secret = openings.open_with(openings.new_key())

    def soon(coroutine):
        return asyncio.run_coroutine_threadsafe(coroutine, loops[0])

    def do(coroutine):
        return soon(coroutine).result(timeout=30)

    yield SimpleNamespace(
        here=here,
        there=port_at(SHOP),
        sharing=shared,
        devices=devices,
        do=do,
        soon=soon,
        after_the_end=after_the_end,
        heard=heard,
        bodies=bodies,
        phone={"cookie": f"{DEVICE_COOKIE}={token}"},
        laptop={"cookie": f"{laptop_cookie(here)}={secret}"},
    )
    server.should_exit = True
    thread.join(timeout=20)
    assert not thread.is_alive()


@pytest.fixture
def shared(running):
    running.do(running.sharing.begin(host=SHOP, port=str(running.there)))
    running.url = f"http://{SHOP}:{running.there}"
    return running


def laptop_answers(at):
    return httpx.get(f"http://127.0.0.1:{at.here}/", headers=at.laptop).status_code == 200


def code_of(stopped):
    return stopped.value.findings[0].code


def dial(at, path="/ws"):
    return websockets.sync.client.connect(
        f"ws://{SHOP}:{at.there}{path}", origin=at.url, additional_headers=at.phone
    )


def test_nothing_listens_there_until_it_is_begun(running):
    with pytest.raises(httpx.ConnectError):
        httpx.get(f"http://{SHOP}:{running.there}/bend", headers=running.phone)
    assert running.sharing.address == ""
    assert laptop_answers(running)


def test_begun_it_answers_the_paired_and_nobody_else(shared):
    assert shared.sharing.address == f"{shared.url}/"
    assert httpx.get(f"{shared.url}/bend", headers=shared.phone).json() == {"told": "bars"}
    assert httpx.get(f"{shared.url}/bend").status_code == 401
    assert httpx.get(f"{shared.url}/", headers=shared.laptop).status_code == 401
    assert (
        httpx.get(f"{shared.url}/bend", headers={**shared.phone, "host": "shop.example"}).status_code == 403
    )
    elsewhere = {**shared.phone, "origin": "http://shop.example"}
    assert httpx.get(f"{shared.url}/bend", headers=elsewhere).status_code == 403
    assert httpx.get(f"{shared.url}/%2e%2e/x", headers=shared.phone).status_code == 400
    assert laptop_answers(shared)


def test_ended_nothing_listens_there_and_this_machine_goes_on(shared):
    with httpx.Client(headers=shared.phone) as kept_open, httpx.Client(headers=shared.laptop) as laptop:
        assert kept_open.get(f"{shared.url}/bend").status_code == 200
        assert laptop.get(f"http://127.0.0.1:{shared.here}/").status_code == 200
        shared.do(shared.sharing.end())
        with pytest.raises(httpx.TransportError):
            kept_open.get(f"{shared.url}/bend")
        # the very connection that was open before
        assert laptop.get(f"http://127.0.0.1:{shared.here}/").status_code == 200
    assert shared.sharing.address == ""
    with listening(SHOP, shared.there):
        pass  # the port is free again


def test_a_socket_that_was_open_is_hung_up_on(shared):
    with dial(shared) as line:
        line.send("one")
        assert line.recv(timeout=10) == "one"
        shared.do(shared.sharing.end())
        with pytest.raises(websockets.exceptions.ConnectionClosed):
            line.recv(timeout=10)
    shared.do(shared.sharing.begin(host=SHOP, port=str(shared.there)))
    assert shared.heard == ["one"]
    assert laptop_answers(shared)


def test_the_laptops_socket_goes_on(shared):
    here = f"127.0.0.1:{shared.here}"
    with websockets.sync.client.connect(
        f"ws://{here}/ws", origin=f"http://{here}", additional_headers=shared.laptop
    ) as line:
        shared.do(shared.sharing.end())
        line.send("still here")
        assert line.recv(timeout=10) == "still here"


def test_an_answer_under_way_is_cut_off(shared):
    with httpx.stream("GET", f"{shared.url}/slow", headers=shared.phone) as answer:
        parts = answer.iter_raw()
        next(parts)
        shared.do(shared.sharing.end())
        with pytest.raises(httpx.TransportError):
            for _ in parts:
                pass
    assert len(shared.after_the_end) <= 2  # it does not run on for as long as a server may take to stop
    assert laptop_answers(shared)


def test_an_upload_under_way_is_cut_off(shared):
    with socket.create_connection((SHOP, shared.there), timeout=20) as line:
        head = [
            "POST /seen/scan HTTP/1.1",
            f"host: {SHOP}:{shared.there}",
            f"cookie: {shared.phone['cookie']}",
            "content-type: application/octet-stream",
            "content-length: 1000",
        ]
        line.sendall("\r\n".join([*head, "", ""]).encode() + b"x" * 500)
        time.sleep(0.3)
        ending = shared.soon(shared.sharing.end())
        while shared.sharing.address:
            time.sleep(0.001)
        told = b""
        try:
            line.sendall(b"x" * 500)
            while more := line.recv(1000):
                told += more
        except ConnectionError:
            pass
    ending.result(timeout=30)
    assert b"200" not in told
    assert shared.bodies == []


def test_begun_twice_it_is_begun_once(running):
    async def twice():
        begin = lambda: running.sharing.begin(host=SHOP, port=str(running.there))  # noqa: E731
        await asyncio.gather(begin(), begin(), begin())
        await begin()

    running.do(twice())
    url = f"http://{SHOP}:{running.there}"
    assert httpx.get(f"{url}/bend", headers=running.phone).status_code == 200
    running.do(running.sharing.end())
    with pytest.raises(httpx.TransportError):
        httpx.get(f"{url}/bend", headers=running.phone)
    running.do(running.sharing.end())  # ended twice is ended
    assert laptop_answers(running)


def test_ended_and_begun_many_times(running):
    url = f"http://{SHOP}:{running.there}"
    for _ in range(4):
        running.do(running.sharing.begin(host=SHOP, port=str(running.there)))
        assert httpx.get(f"{url}/bend", headers=running.phone).status_code == 200
        running.do(running.sharing.end())
    with pytest.raises(httpx.TransportError):
        httpx.get(f"{url}/bend", headers=running.phone)


def test_a_port_in_use_is_told_and_shares_nothing(running):
    with listening(SHOP, running.there), pytest.raises(UserError) as stopped:
        running.do(running.sharing.begin(host=SHOP, port=str(running.there)))
    assert code_of(stopped) == "WEB-080"
    assert "--port" not in stopped.value.findings[0].todo  # the page has no options
    assert running.sharing.address == ""
    assert laptop_answers(running)
    running.do(running.sharing.begin(host=SHOP, port=str(running.there)))
    assert running.sharing.address


def test_no_network_is_told_and_shares_nothing(running, monkeypatch):
    def none():
        return named_address("0.0.0.0")  # noqa: S104

    monkeypatch.setattr(sharing_module, "own_address", none)
    with pytest.raises(UserError) as stopped:
        running.do(running.sharing.begin())
    assert code_of(stopped) == "WEB-081"
    assert "--host" not in stopped.value.findings[0].todo
    assert running.sharing.address == ""
    assert laptop_answers(running)


@pytest.mark.parametrize("host", ["203.0.113.7", "127.0.0.1", "localhost", "0.0.0.0", "not a host"])  # noqa: S104
def test_an_address_that_no_phone_could_reach_is_told(running, host):
    with pytest.raises(UserError) as stopped:
        running.do(running.sharing.begin(host=host, port=str(running.there)))
    assert code_of(stopped) == "WEB-081"
    assert running.sharing.address == ""


@pytest.mark.parametrize("port", ["0", "65536", "-1", "8655.0", "nan", "٣٤٥٦", "9" * 400, "http"])
def test_what_is_no_port_is_told(port):
    with pytest.raises(UserError) as stopped:
        named_port(port)
    assert code_of(stopped) == "WEB-089"


def test_pairing_ends_with_sharing(shared):
    shared.sharing.pairing.start()
    code = shared.sharing.pairing.shown().code
    shared.do(shared.sharing.end())
    assert shared.sharing.pairing.shown() is None
    shared.do(shared.sharing.begin(host=SHOP, port=str(shared.there)))
    answer = httpx.post(f"{shared.url}/pair", data={"code": code, "name": "Late phone"})
    assert answer.status_code == 403
    assert "WEB-084" in answer.text
