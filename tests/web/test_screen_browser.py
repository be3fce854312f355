"""The screen at the bender as it is used: a phone's browser, a network that goes, a server that is killed."""

import os
from pathlib import Path

import numpy as np
import pytest
from tests.web.phones import AT, Phone, Server, check_screen, wait_for

from hoopwright.bender.rescue.records import Decision, Reading
from hoopwright.jobs.bend_answers import look
from hoopwright.jobs.bending import take_reading
from hoopwright.jobs.sticks import BendWishes
from hoopwright.store import ProjectFolder
from hoopwright.store.bending import last_stick
from hoopwright.web.screen import files

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not (files.BUILT / "index.js").is_file(), reason="the bundle is not built"),
]
TAPE = (
    "inside width: 1360: -900,680,620: -900,-680,620",
    "roof underside: 1118: =-900,0,0: -900,0,1118",
    "length: 1800: 0,680,300: -1800,680,300",
)


def records(server):
    stick = last_stick(ProjectFolder(path=server.project), "MH")
    return () if stick is None else stick.records


def readings(server):
    return [one.released_deg for one in records(server) if isinstance(one, Reading)]


def last_of(server):
    """The last record's kind; nothing before there is one."""
    return next((one.kind for one in reversed(records(server))), "")


@pytest.fixture
def hoop_in_shell(hoopwright, hoop_project, tmp_path, bodies):
    """The hoop of A7 in its shell, so that a gap can be predicted."""
    corners = np.asarray(bodies.section_soup(), dtype="<f4")
    body = np.zeros(len(corners), dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("more", "<u2")])
    body["corners"] = corners
    stl = tmp_path / "shell.stl"
    stl.write_bytes(b"\0" * 80 + np.uint32(len(body)).tobytes() + body.tobytes())
    tape = [word for one in TAPE for word in ("--tape", one)]
    hoopwright.keys("scan", hoop_project, stl, "--unit", "mm", "--as-given", *tape)
    return hoop_project


def test_a7_with_the_network_cut_the_server_killed_and_the_power_lost(chromium, hoop_in_shell):
    server = Server(hoop_in_shell)
    phone = Phone(chromium, server).open("/bend/MH")
    phone.wait("take").read(18.4).wait("add")
    assert phone.number == "0.6"
    phone.read(18.96).wait("slip")
    wait_for(lambda: readings(server), [18.4, 18.96])

    phone.context.set_offline(True)
    phone.press().wait("load").read(73.8).wait("slip")
    phone.wait_link("network away, 1 kept here")
    phone.press().wait("load")
    assert phone.question.startswith("Bend 3")
    assert readings(server) == [18.4, 18.96]

    server.kill()
    phone.press()  # the mark is on the edge: the turn is asked
    phone.wait("turn").wait_kept()
    phone.page.close()  # the phone's battery is empty
    phone.open().wait("turn")
    assert "3 of 4" in phone.page.inner_text(".head")
    phone.wait_link("1 kept here")

    server.start()
    phone.context.set_offline(False)
    phone.wait_link("with the workbench")
    wait_for(lambda: readings(server), [18.4, 18.96, 73.8])

    phone.read(74.6).wait("slip").press().wait("decide")
    phone.page.wait_for_selector(".sub")
    assert phone.question == "Predicted worst gap"
    assert 7.9 < float(phone.number) < 10.6
    phone.press().wait("load")
    target = look(ProjectFolder(path=server.project), "MH", BendWishes(at=AT, solve=False)).asked.target_deg
    phone.read(round(target, 1)).wait("slip").press()
    phone.page.wait_for_selector(".head:has-text('bent')")
    wait_for(lambda: readings(server), [18.4, 18.96, 73.8, 74.6, round(target, 1)])
    decisions = [one.choice for one in records(server) if isinstance(one, Decision)]
    assert decisions == ["go on"]
    assert len({one.key for one in records(server)}) == len(records(server)) == 7
    phone.context.close()
    server.kill()
    assert phone.faults == []


def test_over_its_band_without_a_network_the_person_decides(phone, hoop_server):
    phone.open().read(18.9).wait("slip").press().wait("load")
    wait_for(lambda: readings(hoop_server), [18.9])
    phone.context.set_offline(True)
    phone.read(75.5).wait("slip").press().wait("decide")
    phone.page.wait_for_selector("h1:has-text('No network')")
    assert "go on with the sheet's numbers" in phone.page.inner_text("main")
    before = phone.page.evaluate("window.hoopwrightBend.app.sync.bar.steps.map((one) => one.target_deg)")
    phone.press("other").wait("load")
    phone.read(73.8).wait("slip")
    phone.wait_link("3 kept here")
    phone.context.set_offline(False)
    phone.wait_link("with the workbench")
    wait_for(
        lambda: [type(one).__name__ for one in records(hoop_server)],
        ["Started", "Reading", "Reading", "Decision", "Reading"],
    )
    assert readings(hoop_server) == [18.9, 75.5, 73.8]
    plan = records(hoop_server)[3].plan
    assert plan.angles_deg[2:] == pytest.approx(before[2:])


def two_readings_of_one_bend(phone, server):
    """One that the phone keeps without a network, and another that another device sent meanwhile."""
    phone.open().go_to("typing")
    phone.context.set_offline(True)
    phone.page.keyboard.type("18.8")
    phone.press().wait("slip")
    folder = ProjectFolder(path=server.project)
    take_reading(folder, "MH", Reading(step=0, released_deg=18.95, at=AT, key="other"), BendWishes(at=AT))
    phone.context.set_offline(False)


def test_what_another_device_took_meanwhile_is_shown_and_nothing_is_lost(phone, hoop_server):
    two_readings_of_one_bend(phone, hoop_server)
    phone.wait("problem")
    assert phone.question == "Another device has gone on meanwhile"
    words = phone.page.inner_text("main")
    assert "18.80" in words
    assert "18.95" in words
    phone.press()
    phone.page.wait_for_selector("#screen:not([data-view^='problem'])")
    assert readings(hoop_server) == [18.95]
    phone.press("head").wait("more")
    assert "Put aside: 1" in phone.page.inner_text("main")


def test_of_two_readings_of_one_bend_the_person_says_which_is_right(phone, hoop_server):
    two_readings_of_one_bend(phone, hoop_server)
    phone.wait("problem").press("other")
    wait_for(lambda: [one.kind for one in records(hoop_server)], ["started", "reading", "correction"])
    assert records(hoop_server)[-1].reading.released_deg == 18.8
    phone.wait("load")


def test_an_answer_that_is_lost_on_the_way_doubles_nothing(chromium, hoop_server):
    phone = Phone(chromium, hoop_server, service_workers="block").open()
    phone.go_to("typing")
    lost = []

    def lose(route):
        if lost:
            return route.continue_()
        lost.append(route.fetch().status)  # the workbench has it, the phone does not know
        return route.abort()

    phone.page.route("**/api/reading", lose)
    phone.page.keyboard.type("18.9")
    phone.press().wait("slip")
    phone.wait_link("network away, 1 kept here")
    phone.wait_sent()
    assert lost == [200]
    assert readings(hoop_server) == [18.9]
    assert len(records(hoop_server)) == 2
    phone.context.close()


def test_it_turns_red_when_the_sheet_is_old(phone, hoop_server, hoopwright):
    phone.open().read(18.9).wait("slip")
    wait_for(lambda: readings(hoop_server), [18.9])
    phone.wait_sent()
    assert phone.page.locator(".head.old").count() == 0
    hoopwright.keys("bar", "move", hoop_server.project, "MH", "3", "--", "-900,515,1085")
    phone.page.wait_for_selector(".head.old:has-text('OLD')")


def test_keys_and_a_pedal_do_all_of_it(phone, hoop_server):
    phone.open().wait("take")
    phone.go_to("typing", on=lambda: phone.rest().page.keyboard.press("PageDown"))
    phone.page.keyboard.type("18,9")
    phone.rest().page.keyboard.press("Enter")
    phone.wait("slip")
    wait_for(lambda: readings(hoop_server), [18.9])
    phone.rest().page.keyboard.press("PageDown")
    phone.wait("load").rest().page.keyboard.press("PageUp")
    phone.wait("last")


def test_a_scrap_is_held_and_a_slip_is_put_on_record(phone, hoop_server):
    phone.open().read(18.9).wait("slip").press("other")
    phone.wait("typing")
    phone.page.keyboard.type("38.0")  # of about 44.7 mm
    phone.press().wait("decide")
    wait_for(lambda: last_of(hoop_server), "correction")
    mark = records(hoop_server)[-1].reading.mark_mm
    assert mark == pytest.approx(616.3 - (2.3556 * 18.96 - 38.0), abs=0.2)
    phone.page.wait_for_selector("[data-slot=done] .sub")
    phone.press("back")  # a tap alone scraps nothing
    phone.page.wait_for_timeout(1200)  # longer than it is held
    assert phone.moment == "decide"
    phone.hold("back", "scrapped")
    wait_for(lambda: getattr(records(hoop_server)[-1], "choice", ""), "scrap")
    phone.hold("other", "take")  # another stick, its first record on the disk
    assert "stick 2" in phone.page.inner_text(".head")
    wait_for(lambda: [one.kind for one in records(hoop_server)], ["started"])


def look_at_each_until_it_is_typed(phone, digits_mm, name, shots):
    def look():
        named = f"{name}-{phone.moment}"
        phone.page.screenshot(path=shots / f"{named}.png")
        check_screen(phone, digits_mm, named)

    def go_on():
        look()
        phone.press()

    phone.go_to("typing", on=go_on)
    look()
    phone.page.keyboard.type("18.9")
    phone.page.wait_for_selector(".figure .digits:text-is('18.9')")
    check_screen(phone, digits_mm, "read")


def test_digits_buttons_and_room_on_every_screen(chromium, hoop_server):
    """Digits of 15 mm and buttons of 18 mm on a phone, 30 mm digits on a tablet, nothing cut off, all named."""
    shots = Path(os.environ.get("HOOPWRIGHT_SCREENSHOTS", hoop_server.project.parent))
    for size, digits_mm in (((360, 640), 15.0), ((412, 915), 15.0), ((800, 1280), 30.0)):
        for theme in ("light", "dark"):
            phone = Phone(chromium, hoop_server, size=size, color_scheme=theme).open()
            look_at_each_until_it_is_typed(phone, digits_mm, f"bend-{size[0]}x{size[1]}-{theme}", shots)
            phone.context.close()
            assert phone.faults == []
