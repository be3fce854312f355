"""A phone is paired with the code that the laptop shows, and in no other way."""

import pytest
from tests.web.guard.asking import PHONE, ask, pair

from hoopwright.web.door.pairing import WRONG_TRIES


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


@pytest.mark.parametrize("text", ["", "   ", "x" * 41, "%0a"])
def test_a_device_wants_a_name(house, text):
    house.pairing.start()
    code = house.pairing.shown().code
    assert "WEB-086" in pair(house, code, name=text).text
    assert house.pairing.shown().code == code  # a slip of the finger does not use it up
