"""The screen at the bender where a bar begins and ends: the sheet in the hand, the last bend, the tape."""

import pytest
from tests.web.phones import AT, Phone, check_screen, wait_for

from hoopwright.bender.rescue.records import Reading, Taped
from hoopwright.bender.rescue.session import standing
from hoopwright.jobs.bending import take_reading
from hoopwright.jobs.sticks import BendWishes
from hoopwright.jobs.taping import take_distance
from hoopwright.store import ProjectFolder
from hoopwright.store.bending import last_stick
from hoopwright.web.screen import files

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not (files.BUILT / "index.js").is_file(), reason="the bundle is not built"),
]


def listed(phone):
    phone.open("/bend/MH").page.goto(f"{phone.server.address}/bend")
    phone.page.get_by_label('Or what stands on a sheet after "identity"').wait_for()
    return phone.page


def open_typed(page, words):
    page.get_by_label('Or what stands on a sheet after "identity"').fill(words)
    page.get_by_role("button", name="Open it").click()


def test_the_identity_that_stands_on_the_sheet_opens_its_bar(phone, hoop_server):
    identity = ProjectFolder(path=hoop_server.project).open().project.last_issued("MH").identity
    page = listed(phone)
    open_typed(page, "0123456789")
    page.get_by_text("Neither a bar nor a sheet in force: 0123456789.").wait_for()
    for typed in (f"identity {identity.upper()}", identity):
        open_typed(page, typed)
        page.wait_for_url(f"**/bend/MH?code={identity}")
        phone.wait("take")
        page = listed(phone)


def test_after_the_last_bend_there_is_one_way_on_and_every_measure_fits(phone, hoop_server):
    phone.open()
    for number, angle_deg in enumerate((18.96, 73.81, 73.81), start=1):
        phone.read(angle_deg).wait("slip")
        # until its slip is checked the bend that was read is the one in hand
        assert phone.question.startswith(f"Bend {number}, slip check")
        assert f"{number} of 4: bend {number}" in phone.page.inner_text(".head")
        phone.press()
    phone.read(19.6).wait("slip").press().wait("decide")
    phone.page.wait_for_selector("[data-slot=done] .sub")
    assert phone.page.inner_text("[data-slot=done] .label") == "Go on: it is bent"
    assert phone.page.locator("[data-slot=other]").count() == 0
    check_screen(phone, 15.0, "the last bend is decided")
    phone.press().wait("measure")
    for number in range(1, 6):
        phone.page.wait_for_selector(f"h1:has-text('{number} of 5')")
        check_screen(phone, 15.0, f"measure {number}")
        if number > 3:
            assert "diagonal" in phone.question
            phone.press("other").wait("typing")
            phone.page.keyboard.type("1563.1")
            check_screen(phone, 15.0, f"measure {number} is typed")
            phone.press().wait("measure")
            phone.page.wait_for_selector("main:has-text('✓ It is with the workbench.')")
            check_screen(phone, 15.0, f"measure {number} is kept")
        phone.press()
    phone.wait("done")
    check_screen(phone, 15.0, "bent")
    phone.wait_sent()
    told = phone.page.inner_text("main")
    assert "✓ All is with the workbench: every reading and 2 distances." in told
    assert "Taped: most +0.5 mm off (4)." in told
    assert taped(hoop_server) == {"diagonal A": 1563.1, "diagonal B": 1563.1}
    phone.wait_kept().page.reload()
    phone.wait("done").press("back").wait("measure")
    assert phone.number == "1563.1"


def taped(server):
    return {one.name: one.measured_mm for one in standing(every_record(server)).taped}


def every_record(server):
    return last_stick(ProjectFolder(path=server.project), "MH").records


def bent_hoop(server):
    folder = ProjectFolder(path=server.project)
    for number, angle_deg in enumerate((18.96, 73.81, 73.81, 18.96)):
        read = Reading(step=0, released_deg=angle_deg, at=AT, key=f"bent-{number}")
        take_reading(folder, "MH", read, BendWishes(at=AT, solve=False))


def tape(phone, value_mm):
    phone.press("other").wait("typing")
    phone.page.keyboard.type(f"{value_mm:g}")
    return phone.press().wait("measure")


def taped_elsewhere(server, **distances):
    for name, value_mm in distances.items():
        one = Taped(name=name, measured_mm=value_mm, at=AT, key=f"other-{name}")
        take_distance(ProjectFolder(path=server.project), "MH", one, BendWishes(at=AT, solve=False))


def test_distances_taped_without_a_network_are_kept_and_sent_once(phone, hoop_server):
    bent_hoop(hoop_server)
    phone.open().wait("measure")
    tape(phone, 1266.0)
    wait_for(lambda: taped(hoop_server), {"feet": 1266.0})

    phone.context.set_offline(True)
    tape(phone, 1267.0)  # put right
    phone.press().page.wait_for_selector("h1:has-text('2 of 5')")
    tape(phone, 1326.0)
    phone.page.wait_for_selector("main:has-text('Kept here until the workbench has it')")
    check_screen(phone, 15.0, "a distance is kept without a network")
    phone.wait_link("network away, 2 kept here")
    for number in (3, 4, 5):
        phone.press().page.wait_for_selector(f"h1:has-text('{number} of 5')")
    phone.press().wait("done")
    check_screen(phone, 15.0, "bent, and not all is with the workbench")
    assert "▲ Not all is with the workbench: 2 still here." in phone.page.inner_text("main")

    hoop_server.kill()
    phone.wait_kept().page.close()  # the phone's battery is empty
    phone.open().wait("done")
    assert "2 still here" in phone.page.inner_text("main")
    assert taped(hoop_server) == {"feet": 1266.0}

    hoop_server.start()
    phone.context.set_offline(False)
    phone.page.wait_for_selector(
        "main:has-text('✓ All is with the workbench: every reading and 2 distances.')"
    )
    assert taped(hoop_server) == {"feet": 1267.0, "knees": 1326.0}
    told = [(one.name, one.measured_mm) for one in every_record(hoop_server) if one.kind == "taped"]
    assert told == [("feet", 1266.0), ("feet", 1267.0), ("knees", 1326.0)]


def test_a_distance_whose_answer_is_lost_with_the_server_is_not_doubled(chromium, hoop_server):
    bent_hoop(hoop_server)
    phone = Phone(chromium, hoop_server, service_workers="block").open().wait("measure")
    lost = []

    def lose(route):
        if lost:
            return route.continue_()
        lost.append(route.fetch().status)  # the workbench has it on its disk, the phone does not know
        hoop_server.kill()
        return route.abort()

    phone.page.route("**/api/distance", lose)
    tape(phone, 1266.0)
    phone.wait_link("network away, 1 kept here")
    hoop_server.start()
    phone.page.wait_for_selector("main:has-text('✓ It is with the workbench.')")
    assert lost == [200]
    assert len(every_record(hoop_server)) == 6
    assert taped(hoop_server) == {"feet": 1266.0}
    phone.context.close()


def test_another_phone_begins_with_what_is_not_taped_yet(phone, chromium, hoop_server):
    bent_hoop(hoop_server)
    phone.open().wait("measure")
    tape(phone, 1266.0)
    wait_for(lambda: taped(hoop_server), {"feet": 1266.0})
    other = Phone(chromium, hoop_server).open().wait("measure")
    assert other.question.startswith("2 of 5")
    other.press("back").page.wait_for_selector("h1:has-text('1 of 5')")
    assert other.number == "1266.0"
    tape(other, 1265.5)
    # the first phone stays where its person is, and shows what came
    phone.page.wait_for_selector(".figure .digits:has-text('1265.5')")
    assert phone.question.startswith("1 of 5")
    other.context.close()
    assert other.faults == []


def two_phones_tape_the_feet(phone, server, **elsewhere):
    """This one without a network, and the knees after it."""
    bent_hoop(server)
    phone.open().wait("measure")
    phone.context.set_offline(True)
    tape(phone, 1266.0)
    phone.press().page.wait_for_selector("h1:has-text('2 of 5')")
    tape(phone, 1326.0)
    taped_elsewhere(server, **elsewhere)
    phone.context.set_offline(False)
    phone.wait("problem")


def test_of_two_phones_that_tape_one_distance_the_person_says_which_is_right(phone, hoop_server):
    two_phones_tape_the_feet(phone, hoop_server, feet=1264.0, height=1107.0)
    words = phone.page.inner_text("main")
    assert "'feet' of bar MH was taped as 1264.0 mm on another device meanwhile" in words
    assert "Typed here and not in the record: feet 1266.0 mm." in words
    check_screen(phone, 15.0, "two phones taped one distance")
    phone.press("other").wait("measure")
    # of the other distances nobody is asked: each phone's own counts
    wait_for(lambda: taped(hoop_server), {"feet": 1266.0, "height": 1107.0, "knees": 1326.0})
    phone.press().page.wait_for_selector("h1:has-text('3 of 5')")
    assert phone.number == "1107.0"


def test_a_distance_put_aside_leaves_the_others_on_their_way(phone, hoop_server):
    two_phones_tape_the_feet(phone, hoop_server, feet=1264.0)
    phone.press().wait("measure")
    wait_for(lambda: taped(hoop_server), {"feet": 1264.0, "knees": 1326.0})
    phone.press("head").wait("more")
    assert "Put aside: 1" in phone.page.inner_text("main")


def test_a_distance_that_cannot_be_is_asked_again_before_it_is_kept(phone, hoop_server):
    bent_hoop(hoop_server)
    phone.open().wait("measure")
    for number in range(2, 6):  # the one with the most words
        phone.press().page.wait_for_selector(f"h1:has-text('{number} of 5')")
    phone.press("other").wait("typing")
    phone.page.keyboard.type("156.3")
    phone.press().wait("beyond")
    check_screen(phone, 15.0, "a distance that cannot be")
    assert phone.question == "That cannot be on this bar"
    assert taped(hoop_server) == {}
    phone.press().wait("typing")
    phone.page.keyboard.type("1563")
    phone.press().page.wait_for_selector("main:has-text('✓ It is with the workbench.')")
    told = [one.measured_mm for one in every_record(hoop_server) if one.kind == "taped"]
    assert told == [1563.0]  # the other was never sent
    assert taped(hoop_server) == {"diagonal B": 1563.0}
