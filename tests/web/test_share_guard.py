"""Who is answered: each row is a way in that was tried, and what it gets."""

from types import SimpleNamespace
from urllib.parse import unquote

import anyio
import httpx
import pytest
from fastapi import FastAPI, Request, WebSocket

from hoopwright.store.devices import DeviceList
from hoopwright.web.door.asking import asker_of
from hoopwright.web.door.bodies import SMALL_BYTES
from hoopwright.web.door.network import InShop, Network
from hoopwright.web.door.opening import Openings
from hoopwright.web.door.pairing import WRONG_TRIES, Pairing
from hoopwright.web.door.routes import add_opening, add_pairing
from hoopwright.web.guard import DEVICE_COOKIE, Guard, House, laptop_cookie

PORT = 8655
SHOP = "192.168.1.20"
HERE, THERE = f"127.0.0.1:{PORT}", f"{SHOP}:{PORT}"
LAPTOP, PHONE = ("127.0.0.1", "127.0.0.1"), ("192.168.1.77", SHOP)


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


@pytest.fixture
def laptop(house):
    secret = house.openings.open_with(house.openings.new_key())
    return {laptop_cookie(PORT): secret}


@pytest.fixture
def phone(house):
    device, token = house.devices.add("Bender phone", on="2026-03-14")
    return SimpleNamespace(device=device, cookies={DEVICE_COOKIE: token})


def test_the_laptop_that_opened_it_is_answered(house, laptop):
    answer = ask(house, "GET", "/", cookies=laptop)
    assert answer.status_code == 200
    assert answer.json()["asker"] == "this laptop"


def test_a_key_opens_one_browser_and_no_second(house):
    key = house.openings.new_key()
    first = ask(house, "GET", f"/open?key={key}")
    assert first.status_code == 200
    kept = first.headers["set-cookie"]
    assert "HttpOnly" in kept
    assert "SameSite=strict" in kept
    name, value = kept.split(";")[0].split("=", 1)
    assert ask(house, "GET", "/", cookies={name: value}).status_code == 200
    assert ask(house, "GET", f"/open?key={key}").status_code == 401
    assert house.used == [1]


@pytest.mark.parametrize("key", ["", "x", "../../etc/passwd", "%00", "a" * 5000])
def test_no_other_key_opens(house, key):
    house.openings.new_key()
    assert ask(house, "GET", f"/open?key={key}").status_code in {400, 401}


def test_a_key_does_not_open_from_the_network(house):
    key = house.openings.new_key()
    assert ask(house, "GET", f"/open?key={key}", ends=PHONE).status_code == 401
    assert ask(house, "GET", f"/open?key={key}").status_code == 200


PATHS = ("/", "/bend", "/bend/MH", "/seen/shell/x/light", "/_nicegui/3/static/nicegui.js", "/nothing")


@pytest.mark.parametrize("path", PATHS)
@pytest.mark.parametrize("ends", [LAPTOP, PHONE])
def test_without_a_cookie_nothing_is_answered(house, path, ends):
    assert ask(house, "GET", path, ends=ends).status_code == 401
    assert ask(house, "POST", path, ends=ends, content=b"{}").status_code == 401


@pytest.mark.parametrize("cookies", [{DEVICE_COOKIE: "guess"}, {laptop_cookie(PORT): "guess"}])
@pytest.mark.parametrize("path", PATHS)
def test_a_guessed_cookie_opens_nothing(house, phone, laptop, cookies, path):
    for ends in (LAPTOP, PHONE):
        assert ask(house, "GET", path, cookies=cookies, ends=ends).status_code == 401


def test_a_stolen_laptop_cookie_is_worth_nothing_on_the_network(house, laptop):
    assert ask(house, "GET", "/", cookies=laptop, ends=PHONE).status_code == 401


@pytest.mark.parametrize(
    ("ends", "host"),
    [
        (LAPTOP, "shop.example"),
        (LAPTOP, f"shop.example:{PORT}"),
        (LAPTOP, "127.0.0.1:9000"),
        (LAPTOP, "127.0.0.1"),
        (LAPTOP, THERE),
        (LAPTOP, ""),
        (PHONE, HERE),
        (PHONE, f"localhost:{PORT}"),
        (PHONE, f"{SHOP}.shop.example:{PORT}"),
        (PHONE, f"0.0.0.0:{PORT}"),
    ],
)
def test_another_host_is_refused(house, laptop, phone, ends, host):
    cookies = laptop | phone.cookies
    assert ask(house, "GET", "/bend", host=host, ends=ends, cookies=cookies).status_code == 403


@pytest.mark.parametrize(
    "origin",
    [
        "http://shop.example",
        "null",
        f"http://{HERE}.shop.example",
        f"https://{HERE}",
        "http://127.0.0.1:9000",
        f"http://localhost:{PORT}",
        f"http://{THERE}",
        "file://",
    ],
)
def test_another_origin_is_refused(house, laptop, origin):
    for method in ("GET", "POST"):
        told = {"origin": origin}
        assert ask(house, method, "/seen/moved", cookies=laptop, headers=told).status_code == 403


@pytest.mark.parametrize(
    ("site", "mode", "dest", "status"),
    [
        ("same-origin", "cors", "empty", 200),
        ("none", "navigate", "document", 200),
        ("cross-site", "navigate", "document", 200),
        ("cross-site", "navigate", "iframe", 403),
        ("cross-site", "no-cors", "image", 403),
        ("same-site", "no-cors", "script", 403),
        ("same-site", "cors", "empty", 403),
    ],
)
def test_other_pages_load_nothing_from_here(house, laptop, site, mode, dest, status):
    """A page at another port of this machine has the same site, and its requests bring the cookie."""
    told = {"sec-fetch-site": site, "sec-fetch-mode": mode, "sec-fetch-dest": dest}
    assert ask(house, "GET", "/", cookies=laptop, headers=told).status_code == status


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "CONNECT", "BREW"])
def test_other_methods_are_refused(house, laptop, method):
    assert ask(house, method, "/", cookies=laptop).status_code == 405


@pytest.mark.parametrize(
    ("path", "kind", "status"),
    [
        ("/seen/moved", "application/json", 200),
        ("/seen/moved", "text/xml", 415),
        ("/seen/moved", "multipart/form-data; boundary=x", 415),
        ("/seen/moved", "application/x-python-pickle", 415),
        ("/seen/scan", "application/octet-stream", 200),
        ("/seen/scan", "application/zip", 415),
    ],
)
def test_other_kinds_of_content_are_refused(house, laptop, path, kind, status):
    told = {"content-type": kind}
    answer = ask(house, "POST", path, cookies=laptop, headers=told, content=b"x")
    assert answer.status_code == status


WAYS_UP = (
    "/../etc/passwd",
    "/bend/../../etc/passwd",
    "/bend/%2e%2e/%2e%2e/etc/passwd",
    "/bend/..%2f..%2fetc%2fpasswd",
    "/bend/%252e%252e%252fetc",
    "/bend/..%5c..%5cwindows",
    "/bend/x%00.svg",
    "/bend/%0d%0aset-cookie:x",
    "/seen/shell/./light",
    "/_nicegui/3/static/../../../secret",
    "/_nicegui/3/esm/hoopwright-view/%2e%2e/%2e%2e/guard.py",
    "/%25252525252e%25252525252e/x",
)


@pytest.mark.parametrize("path", WAYS_UP)
def test_no_path_leads_up(house, laptop, path):
    assert ask(house, "GET", path, cookies=laptop).status_code == 400
    assert ask(house, "POST", path, cookies=laptop).status_code == 400


@pytest.mark.parametrize("path", ["/bend/SB-L", "/bend/S%C3%A4ule%201", "/bend/a%25b", "/bend/a..b"])
def test_plain_names_go_through(house, laptop, path):
    assert ask(house, "GET", path, cookies=laptop).status_code == 200


def test_a_body_that_is_too_large_is_refused_before_it_is_used(house, laptop):
    answer = ask(house, "POST", "/seen/moved", cookies=laptop, content=b"x" * (SMALL_BYTES + 1))
    assert answer.status_code == 413
    fits = ask(house, "POST", "/seen/moved", cookies=laptop, content=b"x" * 1000)
    assert fits.json()["body"] == 1000


def test_an_upload_is_counted_as_it_comes(house, laptop):
    answer = ask(house, "POST", "/seen/scan", cookies=laptop, content=b"x" * 2_000_000)
    assert answer.json()["body"] == 2_000_000
    assert ask(house, "POST", "/seen/scan", cookies=laptop, content=b"x" * 3_000_001).status_code == 413


def test_a_false_length_is_refused(house, laptop):
    told = {"content-length": "-5"}
    assert ask(house, "POST", "/seen/moved", cookies=laptop, headers=told).status_code == 400


def test_a_phone_sees_the_screen_alone_until_the_laptop_allows_more(house, phone):
    for path, status in {"/bend": 200, "/bend/MH": 200, "/bend/_/api/bars": 200, "/seen/moved": 403}.items():
        assert ask(house, "GET", path, ends=PHONE, cookies=phone.cookies).status_code == status, path
    assert ask(house, "GET", "/bendx", ends=PHONE, cookies=phone.cookies).status_code == 403
    front = ask(house, "GET", "/", ends=PHONE, cookies=phone.cookies, headers={"accept": "text/html"})
    assert (front.status_code, front.headers["location"]) == (303, "/bend")
    house.devices.allow_workbench(phone.device.device_id, True)
    answer = ask(house, "GET", "/seen/moved", ends=PHONE, cookies=phone.cookies)
    assert answer.status_code == 200
    assert answer.json()["asker"] == "Bender phone"


def test_a_revoked_device_is_refused_at_once(house, phone):
    assert ask(house, "GET", "/bend", ends=PHONE, cookies=phone.cookies).status_code == 200
    house.devices.revoke(phone.device.device_id)
    assert ask(house, "GET", "/bend", ends=PHONE, cookies=phone.cookies).status_code == 401


def test_a_phone_that_is_not_paired_is_led_to_where_it_is(house):
    told = {"accept": "text/html"}
    answer = ask(house, "GET", "/bend/MH?code=abc", ends=PHONE, headers=told)
    assert answer.status_code == 303
    assert answer.headers["location"] == "/pair?then=%2Fbend%2FMH%3Fcode%3Dabc"
    assert ask(house, "GET", "/bend/MH", ends=LAPTOP, headers=told).status_code == 401


def pair(house, code, *, name="Bender phone", then=""):
    told = {"content-type": "application/x-www-form-urlencoded", "origin": f"http://{THERE}"}
    body = f"code={code}&name={name}&then={then}".encode()
    return ask(house, "POST", "/pair", ends=PHONE, headers=told, content=body)


def test_pairing(house):
    assert pair(house, "ABCDEF").status_code == 403  # closed
    house.pairing.start()
    code = house.pairing.shown().code
    answer = pair(house, f"{code[:3].lower()}%20{code[3:]}", then="%2Fbend%2FMH%3Fcode%3Dabc")
    assert answer.status_code == 200
    assert 'href="/bend/MH?code=abc"' in answer.text
    kept = answer.headers["set-cookie"]
    assert "HttpOnly" in kept
    assert "SameSite=strict" in kept
    name, value = kept.split(";")[0].split("=", 1)
    assert ask(house, "GET", "/bend", ends=PHONE, cookies={name: value}).status_code == 200
    assert value not in house.devices.file.read_text()  # the secret is on the device alone
    assert house.devices.file.stat().st_mode & 0o077 == 0
    assert pair(house, code).status_code == 403  # used up


@pytest.mark.parametrize(
    "then", ["//shop.example", "https:%2F%2Fshop.example", "/bend/..%2F..%2F", "/open?key=1", "javascript:x"]
)
def test_pairing_leads_to_a_bar_or_to_the_list_and_nowhere_else(house, then):
    house.pairing.start()
    answer = pair(house, house.pairing.shown().code, then=then)
    assert answer.status_code == 200
    assert 'href="/bend"' in answer.text


def test_guessing_a_code(house):
    """Five wrong ones change it, and it rests: about 600 guesses an hour against 30 to the power of 6 codes."""
    house.pairing.start()
    first = house.pairing.shown().code
    wrong = "222222" if first != "222222" else "333333"
    told = [pair(house, wrong) for _ in range(WRONG_TRIES)]
    assert all("WEB-083" in answer.text for answer in told)
    assert house.pairing.shown().code != first
    held = pair(house, house.pairing.shown().code)
    assert "WEB-085" in held.text
    house.clock.now_s += 31.0
    assert pair(house, house.pairing.shown().code).status_code == 200
    house.pairing.start()
    answers = [pair(house, wrong).status_code for _ in range(60)]
    assert answers[-1] == 429  # one address does not even get that far


def test_a_code_grows_old(house):
    house.pairing.start()
    old = house.pairing.shown().code
    house.clock.now_s += 301.0
    assert "WEB-084" in pair(house, old).text
    assert house.pairing.shown().code != old
    house.pairing.stop()
    assert house.pairing.shown() is None


def test_a_device_that_asks_without_end_is_slowed(house, phone):
    answers = [ask(house, "GET", "/bend", ends=PHONE, cookies=phone.cookies) for _ in range(402)]
    assert answers[0].status_code == 200
    assert answers[-1].status_code == 429
    assert int(answers[-1].headers["retry-after"]) >= 1
    house.clock.now_s += 5.0
    assert ask(house, "GET", "/bend", ends=PHONE, cookies=phone.cookies).status_code == 200


@pytest.mark.parametrize("text", ["", "   ", "x" * 41, "%0a"])
def test_a_device_wants_a_name(house, text):
    house.pairing.start()
    code = house.pairing.shown().code
    assert "WEB-086" in pair(house, code, name=text).text
    assert house.pairing.shown().code == code  # a slip of the finger does not use it up


def test_a_damaged_list_lets_nobody_in(house, phone):
    house.devices.file.write_text('{"version": 1, "devices": [{"name": "')
    assert ask(house, "GET", "/bend", ends=PHONE, cookies=phone.cookies).status_code == 401


# Sockets ------------------------------------------------------------------------------------------------------


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


def test_the_laptops_socket_is_opened(house, laptop):
    sent = talk(house, headers=opened(laptop))
    assert [one["type"] for one in sent] == ["websocket.accept", "websocket.send"]


@pytest.mark.parametrize(
    ("cookies", "origin", "code"),
    [
        ({}, f"http://{HERE}", 4401),
        ({laptop_cookie(PORT): "guess"}, f"http://{HERE}", 4401),
        (None, "http://shop.example", 4403),
        (None, "null", 4403),
        (None, "", 4403),
    ],
)
def test_other_sockets_are_refused(house, laptop, cookies, origin, code):
    sent = talk(house, headers=opened(laptop if cookies is None else cookies, origin=origin))
    assert sent == [{"type": "websocket.close", "code": code}]


def test_a_phone_without_the_workbench_has_no_socket(house, phone):
    told = opened(phone.cookies, THERE, f"http://{THERE}")
    assert talk(house, headers=told, ends=PHONE)[0] == {"type": "websocket.close", "code": 4403}


def test_a_revoked_device_loses_its_open_socket(house, phone):
    house.devices.allow_workbench(phone.device.device_id, True)
    told = opened(phone.cookies, THERE, f"http://{THERE}")
    revoke = lambda: house.devices.revoke(phone.device.device_id)  # noqa: E731
    sent = talk(house, headers=told, ends=PHONE, says=("one", "two"), between=revoke)
    assert [one.get("text", one.get("code")) for one in sent] == [None, "one", 4401]
    assert house.heard == ["one"]


def test_a_revoked_device_is_told_nothing_more(house, phone):
    house.devices.allow_workbench(phone.device.device_id, True)
    told = opened(phone.cookies, THERE, f"http://{THERE}")
    sent = talk(house, headers=told, ends=PHONE, says=("take me out",))
    assert [one.get("text", one.get("code")) for one in sent] == [None, "take me out", 4401]


# Sharing ended --------------------------------------------------------------------------------------------------


def end(house):
    house.network.now = None


def begin_again(house):
    house.network.now = InShop(host=SHOP, port=PORT)


def test_when_sharing_has_ended_no_phone_is_answered_anywhere(house, phone, laptop):
    assert ask(house, "GET", "/bend", ends=PHONE, cookies=phone.cookies).status_code == 200
    house.pairing.start()
    end(house)
    for path in (*PATHS, "/pair", "/open", "/bend/_/api/bars"):
        for host in (THERE, HERE, None):
            answer = ask(house, "GET", path, ends=PHONE, host=host, cookies=phone.cookies | laptop)
            assert answer.status_code == 403, (path, host)
    # the secret is worth nothing on this machine either, and nobody is led to a pairing page
    for path in (*PATHS, "/pair"):
        told = {"accept": "text/html"}
        assert ask(house, "GET", path, cookies=phone.cookies, headers=told).status_code == 401, path
    assert ask(house, "GET", "/", cookies=laptop).status_code == 200


def test_nobody_pairs_while_nothing_is_shared(house):
    house.pairing.start()
    code = house.pairing.shown().code
    end(house)
    told = {"content-type": "application/x-www-form-urlencoded"}
    body = f"code={code}&name=Bender phone".encode()
    for ends, status in ((PHONE, 403), (LAPTOP, 401)):
        assert ask(house, "POST", "/pair", ends=ends, headers=told, content=body).status_code == status
    assert house.devices.all() == ()


def test_a_paired_phone_comes_in_again_when_sharing_is_begun_again(house, phone):
    end(house)
    begin_again(house)
    assert ask(house, "GET", "/bend", ends=PHONE, cookies=phone.cookies).status_code == 200


@pytest.mark.parametrize("between", [(end,), (end, begin_again)], ids=["ended", "ended and begun again"])
def test_a_socket_from_before_the_end_hears_and_says_nothing_more(house, phone, between):
    house.devices.allow_workbench(phone.device.device_id, True)
    told = opened(phone.cookies, THERE, f"http://{THERE}")
    steps = lambda: [step(house) for step in between]  # noqa: E731
    sent = talk(house, headers=told, ends=PHONE, says=("one", "two"), between=steps)
    assert [one.get("text", one.get("code")) for one in sent] == [None, "one", 4401]
    assert house.heard == ["one"]


def test_the_laptops_socket_goes_on_when_sharing_ends(house, laptop):
    sent = talk(house, headers=opened(laptop), says=("one", "two"), between=lambda: end(house))
    assert [one.get("text", one.get("code")) for one in sent] == [None, "one", "two"]


# What goes with answers ---------------------------------------------------------------------------------------


def test_answers_keep_to_themselves(house, laptop):
    headers = ask(house, "GET", "/", cookies=laptop).headers
    assert headers["x-frame-options"] == "DENY"
    assert headers["cache-control"] == "no-store"
    assert headers["x-content-type-options"] == "nosniff"
    refused = ask(house, "GET", "/").headers
    assert refused["content-security-policy"].startswith("default-src 'none'")


def test_scripts_of_a_page_are_named_by_their_hashes():
    from hoopwright.web.door.policy import page_policy

    # example of the W3C's Content Security Policy, on hashes of scripts
    policy = page_policy(
        b"<html><script>alert('Hello, world.');</script><script src='/x.js'></script>"
    ).decode()
    assert "'sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng='" in policy
    assert policy.count("sha256-") == 1
    scripts = next(part for part in policy.split(";") if part.strip().startswith("script-src"))
    assert "unsafe-inline" not in scripts
    assert "http" not in policy  # no other host is named
