"""The screen at the bender where a bar begins and ends: the sheet in the hand, the last bend, the tape."""

import pytest
from tests.web.phones import check_screen

from hoopwright.store import ProjectFolder
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
    phone.page.wait_for_selector("[data-slot=done] .sub", timeout=90_000)
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
            check_screen(phone, 15.0, f"measure {number} is kept")
        phone.press()
    phone.wait("done")
    check_screen(phone, 15.0, "bent")
    assert "Taped: most +0.5 mm off (4). Only here: type them at the Bender tab." in phone.page.inner_text(
        "main"
    )
