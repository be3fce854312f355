"""A guarded app, its keys, and a laptop and a phone that are let in."""

from types import SimpleNamespace

import pytest
from fastapi import FastAPI, Request, WebSocket
from tests.web.guard.asking import PORT, SHOP

from hoopwright.store.devices import DeviceList
from hoopwright.web.door.asking import asker_of
from hoopwright.web.door.network import InShop, Network
from hoopwright.web.door.opening import Openings
from hoopwright.web.door.pairing import Pairing
from hoopwright.web.door.routes import add_opening, add_pairing
from hoopwright.web.guard import DEVICE_COOKIE, Guard, House, laptop_cookie


class Clock:
    now_s = 1000.0

    def __call__(self):
        return self.now_s


@pytest.fixture
def house(tmp_path):
    """A guarded app, its keys, and ways to ask it as a laptop, a phone or somebody else."""
    clock = Clock()
    devices, pairing, openings = DeviceList(tmp_path / "devices.json"), Pairing(clock), Openings()
    network = Network(now=InShop(host=SHOP, port=PORT))
    knows = House(
        port=PORT, openings=openings, devices=devices, network=network, now_s=clock, upload_bytes=3_000_000
    )
    app = FastAPI(openapi_url=None)
    used, heard = [], []
    add_opening(app, knows, used=lambda: used.append(1))
    add_pairing(app, devices, pairing)

    @app.api_route("/{path:path}", methods=["GET", "POST", "DELETE", "PUT"])
    async def anything(request: Request):
        return {"asker": asker_of(request.scope).name, "body": len(await request.body())}

    @app.websocket("/{path:path}")
    async def socket(socket: WebSocket):
        await socket.accept()
        async for text in socket.iter_text():
            heard.append(text)
            await socket.send_text(text)
            if text == "take me out":
                devices.revoke(devices.all()[0].device_id)
                await socket.send_text("too late")

    return SimpleNamespace(
        guard=Guard(app, knows),
        heard=heard,
        devices=devices,
        pairing=pairing,
        network=network,
        openings=openings,
        clock=clock,
        used=used,
    )


@pytest.fixture
def laptop(house):
    secret = house.openings.open_with(house.openings.new_key())
    return {laptop_cookie(PORT): secret}


@pytest.fixture
def phone(house):
    device, token = house.devices.add("Bender phone", on="2026-03-14")
    return SimpleNamespace(device=device, cookies={DEVICE_COOKIE: token})
