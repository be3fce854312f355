"""Who is answered: each row is a way in that was tried, and what it gets."""

import pytest
from tests.web.guard.asking import HERE, LAPTOP, PATHS, PHONE, PORT, SHOP, THERE, ask

from hoopwright.web.door.bodies import SMALL_BYTES
from hoopwright.web.guard import DEVICE_COOKIE, laptop_cookie


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


def test_a_device_that_asks_without_end_is_slowed(house, phone):
    answers = [ask(house, "GET", "/bend", ends=PHONE, cookies=phone.cookies) for _ in range(402)]
    assert answers[0].status_code == 200
    assert answers[-1].status_code == 429
    assert int(answers[-1].headers["retry-after"]) >= 1
    house.clock.now_s += 5.0
    assert ask(house, "GET", "/bend", ends=PHONE, cookies=phone.cookies).status_code == 200


def test_a_damaged_list_lets_nobody_in(house, phone):
    house.devices.file.write_text('{"version": 1, "devices": [{"name": "')
    assert ask(house, "GET", "/bend", ends=PHONE, cookies=phone.cookies).status_code == 401


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
