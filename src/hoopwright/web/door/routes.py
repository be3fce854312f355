"""How a browser comes in: with the key that the command printed, or with a pairing code."""

from collections.abc import Callable
from datetime import UTC, datetime
from urllib.parse import parse_qs, unquote

from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse, Response

from hoopwright.findings import UserError, as_text
from hoopwright.store.devices import DeviceList
from hoopwright.web.door.opening import Openings
from hoopwright.web.door.pages import POLICY, going_on, key_used, pairing_page
from hoopwright.web.door.pairing import Pairing
from hoopwright.web.guard import (
    DEVICE_COOKIE,
    SCREEN,
    House,
    came_over_loopback,
    is_plain_path,
    laptop_cookie,
)

DEVICE_DAYS = 180
_KEY_LETTERS = 64
_FORM_BYTES = 2000


def add_opening(app: FastAPI, house: House, *, used: Callable[[], None]) -> None:
    """Let the key in the printed address open a browser on this machine.

    Args:
        app: The app.
        house: What the guard knows.
        used: Called when a key was used up.
    """

    @app.get("/open")
    async def _open(request: Request, key: str = "") -> Response:
        openings: Openings = house.openings
        here = came_over_loopback(request.scope)
        secret = openings.open_with(key[:_KEY_LETTERS]) if here else None
        if secret is None:
            return _html(key_used(), 401)
        answer = _html(going_on("/"), 200)
        answer.set_cookie(laptop_cookie(house.port), secret, httponly=True, samesite="strict", path="/")
        used()
        return answer


def add_pairing(app: FastAPI, devices: DeviceList, pairing: Pairing) -> None:
    """Let a device that types the code be paired.

    Args:
        app: The app.
        devices: The paired devices.
        pairing: The code that holds.
    """

    @app.get("/pair")
    async def _ask(code: str = "", then: str = "") -> Response:
        return _html(pairing_page(code=code[:12], then=_onward(then) if then else ""), 200)

    @app.post("/pair")
    async def _pair(request: Request) -> Response:
        typed = _typed(await request.body())
        name, then = typed.get("name", ""), typed.get("then", "")
        try:
            token = _paired(devices, pairing, name, typed.get("code", ""))
        except UserError as error:
            told = "\n".join(as_text(one) for one in error.findings)
            return _html(pairing_page(told=told, name=name[:40], then=_onward(then) if then else ""), 403)
        answer = _html(going_on(_onward(then)), 200)
        answer.set_cookie(
            DEVICE_COOKIE, token, max_age=DEVICE_DAYS * 86_400, httponly=True, samesite="strict", path="/"
        )
        return answer


def _paired(devices: DeviceList, pairing: Pairing, name: str, code: str) -> str:
    devices.check_name(name)
    pairing.check(code)
    return devices.add(name, on=datetime.now(UTC).astimezone().date().isoformat())[1]


def _onward(then: str) -> str:
    """Where a paired device goes on: a bar's own page, or the list of bars; nowhere else."""
    path = unquote(then.partition("?")[0])
    plain = is_plain_path({"path": path})
    return then if plain and path.startswith(f"{SCREEN}/") and len(then) < 300 else SCREEN


def _typed(body: bytes) -> dict[str, str]:
    if len(body) > _FORM_BYTES:
        return {}
    fields = parse_qs(body.decode("utf-8", errors="replace"), max_num_fields=8)
    return {name: values[0] for name, values in fields.items()}


def _html(content: str, status: int) -> HTMLResponse:
    return HTMLResponse(content, status_code=status, headers={"content-security-policy": POLICY})
