"""What is typed and not taken yet survives what else happens: an edit of another field, and another window's edit."""

import re
from contextlib import contextmanager
from dataclasses import replace

import pytest

from hoopwright.cage import Driver
from hoopwright.jobs.bar_edits import set_bar_end, set_bar_tube
from hoopwright.jobs.cage_bars import end_on, mirror_bar, move_bar_node
from hoopwright.jobs.cars import TypedCar, describe_car
from hoopwright.jobs.drivers import keep_driver
from hoopwright.jobs.landmarks import set_landmarks
from hoopwright.store import ProjectFolder
from hoopwright.tubes import TubeSize

expect = pytest.importorskip("playwright.sync_api").expect
pytestmark = pytest.mark.slow


@pytest.fixture
def project(small):
    return small


@pytest.fixture
def window(served, page_of):
    """A window, and the project as another one changes it."""
    page = page_of(served.url)
    page.wait_for_function("window.hoopwrightView && window.hoopwrightView.shell")
    page.wait_for_selector("button.hw-item")
    page.elsewhere = ProjectFolder(path=served.project)
    return page


def choose(page, name):
    page.get_by_role("button", name=re.compile(rf"^{name}\b")).first.click()


def tab(page, name):
    page.get_by_role("tab", name=name, exact=True).click()


def answered(page):
    """Until the workbench has answered: messages keep their order, so all that was sent before is taken by then."""
    page.evaluate(
        """() => {
          window.wasDark = document.body.classList.contains('body--dark');
          // not by the mouse: the field that is typed in keeps the keyboard
          [...document.querySelectorAll('button')].find((one) => one.innerText === 'Light / dark').click();
        }"""
    )
    page.wait_for_function("document.body.classList.contains('body--dark') !== window.wasDark")


@contextmanager
def seen(page):
    """Until the page shows the step that comes of what is done meanwhile."""
    answered(page)
    status = page.get_by_role("status").filter(has_text="saved, step")
    step = int(status.inner_text().split()[-1])
    yield
    page.get_by_text(f"saved, step {step + 1}").wait_for()
    answered(page)


def elsewhere(page, job, *args, **given):
    with seen(page):
        job(page.elsewhere, *args, **given)


def move_a_backstay(page):
    elsewhere(page, move_bar_node, "BS-L", 2, (-1610.0, 565.0, 205.0))


def test_a_node_is_typed_while_another_window_edits_another_bar(window):
    choose(window, "HB")
    entry = window.get_by_label("Node 2: forward, left, up")
    entry.fill("-900, -6")
    move_a_backstay(window)
    window.keyboard.type("20, 450")
    expect(entry).to_have_value("-900, -620, 450")
    with seen(window):
        entry.press("Enter")
    # taken: it shows what is kept, and follows it again
    expect(entry).to_have_value("-900.0, -620.0, 450.0")
    window.get_by_role("button", name="Undo").click()
    expect(entry).to_have_value("-900.0, -632.0, 450.0")


def test_the_other_node_keeps_what_is_typed_when_one_is_taken(window):
    choose(window, "HB")
    first = window.get_by_label("Node 1: forward, left, up")
    second = window.get_by_label("Node 2: forward, left, up")
    second.fill("-900, -625, 450")
    first.fill("-900, 625, 450")
    with seen(window):
        first.press("Enter")
    expect(first).to_have_value("-900.0, 625.0, 450.0")
    expect(second).to_have_value("-900, -625, 450")


def test_units_are_switched_while_a_node_is_typed(window):
    choose(window, "HB")
    entry = window.get_by_label("Node 2: forward, left, up")
    entry.fill("-900, -62")
    window.get_by_role("button", name="in", exact=True).click()
    expect(window.get_by_label("Node 1: forward, left, up")).to_have_value(re.compile('"'))
    expect(entry).to_have_value("-900, -62")


def test_one_end_is_kept_while_the_other_is_typed(window):
    choose(window, "HB")
    window.get_by_text("Ends", exact=True).click()
    other = window.get_by_label("Trim at end A")
    other.fill("12.5")
    window.get_by_label("Trim at end B").fill("20")
    with seen(window):
        window.get_by_role("button", name="Keep end B").click()
    expect(window.get_by_label("Trim at end B")).to_have_value("20.0 mm")
    expect(other).to_have_value("12.5")
    other.wait_for()  # the fold stays open
    # the bar itself is changed elsewhere, in the very end that is typed in
    elsewhere(window, set_bar_end, "HB", "A", end_on("shell", 15.0, None))
    expect(other).to_have_value("12.5")


def test_tube_and_die_are_typed_while_another_window_gives_the_bar_another_tube(window):
    choose(window, "HB")
    window.get_by_text("Tube and die", exact=True).click()
    die = window.get_by_label("Die", exact=True)
    die.fill("my die")
    elsewhere(window, set_bar_tube, "HB", tube=TubeSize(od_mm=40.0, wall_mm=2.0), die="40", clr_mm=120.0)
    expect(die).to_have_value("my die")
    expect(window.get_by_label("Tube", exact=True)).to_have_value("40 x 2")


def test_the_name_of_a_mirror_is_typed(window):
    choose(window, "HB")
    window.get_by_text("Mirror, free, take out", exact=True).click()
    name = window.get_by_label("Name of its mirror").last
    name.fill("HB-ri")
    name.press("End")
    move_a_backstay(window)
    window.keyboard.type("ght")
    expect(name).to_have_value("HB-right")


def test_what_is_asked_of_a_fit_is_typed(window):
    choose(window, "HB")
    tab(window, "Fit")
    gap = window.get_by_label("Gap to keep")
    gap.fill("17")
    elsewhere(window, move_bar_node, "HB", 2, (-900.0, -630.0, 450.0))
    expect(gap).to_have_value("17")


def test_a_landmark_is_typed_while_another_is_taken(window):
    tab(window, "Cage")
    window.get_by_text("Landmarks", exact=True).click()
    first = window.get_by_label("hoop_foot: forward, left, up")
    second = window.get_by_label("backstay_foot: forward, left, up")
    first.fill("-900, 610, 0")
    with seen(window):
        first.press("Enter")
        second.fill("-1600, 560, 2")
    window.get_by_text(re.compile("^= 900.0 back, 610.0 left, 0.0 up mm")).wait_for()
    expect(second).to_have_value("-1600, 560, 2")
    elsewhere(window, set_landmarks, {"hoop_foot": (-905.0, 610.0, 0.0)})
    window.get_by_text(re.compile("^= 905.0 back")).wait_for()
    expect(second).to_have_value("-1600, 560, 2")


def test_a_driver_is_typed_while_another_window_adds_one(window):
    tab(window, "Driver")
    name = window.get_by_label("Name of the driver")
    name.fill("Ben")
    window.get_by_label("Hip point", exact=True).fill("-300, 300, 250")
    elsewhere(window, keep_driver, Driver(name="Anna", helmet_mm=(-350.0, 330.0, 900.0)))
    expect(name).to_have_value("Ben")
    expect(window.get_by_label("Hip point", exact=True)).to_have_value("-300, 300, 250")
    with seen(window):
        window.get_by_role("button", name="Keep this driver").click()
    names = [one.name for one in window.elsewhere.open().project.cage.drivers]
    assert sorted(names) == ["Anna", "Ben"]


def test_a_kept_driver_is_typed_while_another_window_measures_him(window):
    elsewhere(window, keep_driver, Driver(name="Anna", helmet_mm=(-350.0, 330.0, 900.0)))
    tab(window, "Driver")
    window.get_by_text("As measured, in the fixed seat").click()
    eye = window.get_by_label("Between the eyes", exact=True)
    eye.fill("-300, 330, 880")
    driver = window.elsewhere.open().project.cage.drivers[0]
    elsewhere(window, keep_driver, replace(driver, hip_mm=(-300.0, 300.0, 250.0)))
    expect(window.get_by_label("Hip point", exact=True)).to_have_value("-300.0, 300.0, 250.0")
    expect(eye).to_have_value("-300, 330, 880")


def test_a_gusset_is_typed_while_another_window_adds_a_bar(window):
    tab(window, "Joints")
    window.get_by_text("Gussets and ties", exact=True).click()
    window.get_by_text("Add one", exact=True).click()
    name = window.get_by_label("Name", exact=True).last
    name.fill("G3")
    elsewhere(window, mirror_bar, "HB", "HB-2")
    expect(name).to_have_value("G3")


def test_the_car_is_typed_while_another_window_says_who_builds(window):
    tab(window, "Rule book")
    chassis = window.get_by_label("Chassis number")
    chassis.fill("X 12")
    elsewhere(window, describe_car, TypedCar(builder="Shop"))
    expect(window.get_by_label("Who builds the cage")).to_have_value("Shop")
    expect(chassis).to_have_value("X 12")
    with seen(window):
        window.get_by_role("button", name="Keep the car").click()
    car = window.elsewhere.open().project.car
    assert (car.chassis_number, car.builder) == ("X 12", "Shop")


def test_a_number_by_hand_is_typed_while_another_window_adds_a_bar(window):
    tab(window, "Rule book")
    window.get_by_text("Measured by hand", exact=True).click()
    number = window.get_by_label("Measured", exact=True)
    number.fill("3.2")
    elsewhere(window, mirror_bar, "HB", "HB-2")
    expect(number).to_have_value("3.2")


def test_samples_are_typed_while_another_window_calibrates(window, hoopwright, tmp_path):
    choose(window, "MH")
    tab(window, "Bender")
    window.get_by_text("? not calibrated").wait_for()
    window.get_by_text("Sample bends: calibrate die and tube").click()
    read = window.get_by_label("Angle pair 1: Read under load, °")
    read.fill("9")
    read.press("End")
    file = tmp_path / "samples.toml"
    file.write_text(
        'od_mm = 45.0\nwall_mm = 2.5\ndie = "45"\n[[angle]]\ncommand_deg = 90.0\nreleased_deg = 86.5\n'
        "[[leg]]\ncut_mm = 900.0\nmark_mm = 300.0\nreleased_deg = 90.0\nleg_a_mm = 471.5\nleg_b_mm = 536.5\n"
    )
    hoopwright.keys("calibrate", file, "--project", window.elsewhere.path)
    # by itself: the tab stays open, and whoever types goes on typing
    window.get_by_text(re.compile("^Go on from the samples of")).wait_for()
    window.get_by_text("? not calibrated").wait_for(state="detached")
    window.keyboard.type("0")
    expect(read).to_have_value("90")


def test_tape_of_a_finished_bar_is_typed_while_units_are_switched(window):
    choose(window, "MH")
    tab(window, "Bender")
    window.get_by_text("The finished bar by tape").click()
    window.get_by_text(re.compile("should be .* mm$")).first.wait_for()
    field = window.locator(".q-expansion-item:has-text('The finished bar by tape') input").first
    field.fill("1265")
    window.get_by_role("button", name="in", exact=True).click()
    window.get_by_text(re.compile('should be .*"$')).first.wait_for()
    expect(field).to_have_value("1265")


def test_the_next_line_of_the_log_is_typed_while_one_is_written(window):
    tab(window, "The file")
    window.get_by_text("Build log", exact=True).click()
    words = window.get_by_label("What was done")
    words.fill("First")
    # as one who does not wait for an answer
    window.evaluate(
        "() => { const field = document.querySelector('[aria-label=\"What was done\"]');"
        "[...document.querySelectorAll('button')].find((b) => b.innerText === 'Write it in the log').click();"
        "field.value = 'Second'; field.dispatchEvent(new Event('input', {bubbles: true})); }"
    )
    window.get_by_role("cell", name="First").wait_for()
    answered(window)
    expect(words).to_have_value("Second")
