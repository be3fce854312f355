"""Whose socket is opened, and when it is shut."""

import pytest
from tests.web.guard.asking import HERE, PHONE, PORT, THERE, opened, talk

from hoopwright.web.guard import laptop_cookie


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
