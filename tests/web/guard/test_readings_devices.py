"""Each reading of the bender screen is kept with the device that it came from, up to the log of the shop."""

import json

import pytest
from fastapi import FastAPI
from tests.web.guard.asking import HERE, LAPTOP, PHONE, THERE, ask

from hoopwright.bender.rescue.records import Reading
from hoopwright.jobs.bending import correct_reading, log_bar
from hoopwright.jobs.bent_sticks import bent_sticks
from hoopwright.jobs.logs import LogFilter, logged
from hoopwright.jobs.sticks import BendWishes
from hoopwright.store import ProjectFolder
from hoopwright.web.guard import Guard
from hoopwright.web.screen import add_screen_routes

API = "/bend/_/api/"
NOW = "2026-03-14T10:00:00+00:00"


@pytest.fixture
def screens(house, hoop_project):
    """The screens at the bender behind the guard, and their project."""
    app = FastAPI()
    add_screen_routes(app, ProjectFolder(path=hoop_project))
    house.guard = Guard(app, house.guard.house)
    return ProjectFolder(path=hoop_project)


def take(house, who, cookies, released_deg):
    """A reading as a screen sends it, after it was told where the bar stands."""
    origin = f"http://{HERE if who is LAPTOP else THERE}"
    state = ask(house, "GET", f"{API}bar/MH", ends=who, cookies=cookies).json()["state"]
    sent = {
        "bar": "MH",
        "stick": state["stick"],
        "shown": state["number"],
        "key": f"key-{state['number']:08d}",
        "released_deg": released_deg,
    }
    headers = {"content-type": "application/json", "origin": origin}
    content = json.dumps(sent).encode()
    answer = ask(
        house, "POST", f"{API}reading", ends=who, cookies=cookies, headers=headers.items(), content=content
    )
    assert answer.status_code == 200, answer.text
    return sent, lambda other, kept: ask(
        house, "POST", f"{API}reading", ends=other, cookies=kept, headers=headers.items(), content=content
    )


def devices_of(folder):
    (stick,) = bent_sticks(folder)
    return [one.reading.device for one in stick.readings]


def test_a_reading_says_from_which_device_it_came(
    house, laptop, phone, screens, hoopwright, tmp_path, monkeypatch
):
    monkeypatch.setenv("HOOPWRIGHT_SHOP", str(tmp_path / "shop.sqlite"))
    take(house, PHONE, phone.cookies, 18.96)
    take(house, LAPTOP, laptop, 73.81)
    assert devices_of(screens) == ["Bender phone", "the laptop"]
    # put right in a terminal, which says no name: it is still the phone's reading
    mended = Reading(step=0, released_deg=19.0, at=NOW, key="mended-01")
    correct_reading(screens, "MH", 2, mended, BendWishes(at=NOW, solve=False))
    assert devices_of(screens) == ["Bender phone", "the laptop"]
    # a phone that is taken out keeps its name on what it read
    house.devices.revoke(phone.device.device_id)
    hoopwright.keys("bender", "add", "Red", "--swings", "clockwise", "--clamp", "60")
    hoopwright.keys("die", "add", "45", "--od", "45", "--clr", "137.5", "--reach", "180", "--bender", "Red")
    hoopwright.keys("batch", "add", "B1", "--tube", "45 x 2.5")
    log_bar(screens, "MH", batch="B1", at=NOW)
    kept = logged(None, LogFilter())
    assert [(one.released_deg, one.device) for one in kept] == [(19.0, "Bender phone"), (73.81, "the laptop")]
    keys = hoopwright.keys("log", "show")["bends"]
    assert [one["device"] for one in keys] == ["Bender phone", "the laptop"]
    # of the person nothing is kept but the name that was given to the device
    records = (screens.bending / "MH-r1.jsonl").read_text()
    assert phone.device.device_id not in records
    assert PHONE[0] not in records
    table = hoopwright.run("log", "show").out
    assert "Bender phone" in table
    assert "the laptop" in table


def test_a_reading_sent_again_once_its_device_is_called_otherwise_counts_once(house, phone, screens):
    _, again = take(house, PHONE, phone.cookies, 18.96)
    house.devices.revoke(phone.device.device_id)
    _, token = house.devices.add("Anna's phone", on="2026-03-15")
    answer = again(PHONE, dict.fromkeys(phone.cookies, token))
    assert answer.status_code == 200, answer.text
    assert answer.json()["counted_before"]
    assert devices_of(screens) == ["Bender phone"]
