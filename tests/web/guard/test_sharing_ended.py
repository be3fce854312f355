"""When sharing has ended, no device is let in, on a socket that was open neither."""

import pytest
from tests.web.guard.asking import HERE, LAPTOP, PATHS, PHONE, PORT, SHOP, THERE, ask, opened, talk

from hoopwright.web.door.network import InShop


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
