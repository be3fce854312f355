"""Places that are picked or typed, in a real browser: the scan laid by landmarks, a bar's hole, the plane of a fit."""

import re

import numpy as np
import pytest

from hoopwright.store import ProjectFolder

pytestmark = pytest.mark.slow


@pytest.fixture
def project(small):
    return small


@pytest.fixture
def page(served, page_of):
    page = page_of(served.url)
    page.wait_for_function("window.hoopwrightView && window.hoopwrightView.shell")
    page.wait_for_selector("button.hw-item")
    return page


TOWARD = {"Front": 0, "Left": 1, "Top": 2}


def look(page, side):
    page.get_by_role("button", name=f"Look from: {side}").click()
    page.wait_for_function(
        "axis => { const { camera, controls } = hoopwrightView.stage; "
        "return camera.position.clone().sub(controls.target).normalize().toArray()[axis] > 0.99; }",
        arg=TOWARD[side],
    )


def pick(page, place):
    page.get_by_text("Click in the picture:").wait_for()
    at = page.evaluate("place => hoopwrightView.onPage(place)", place)
    page.mouse.click(at["x"], at["y"])


def choose(page, name, tab):
    page.get_by_role("button", name=re.compile(rf"^{name}\b")).first.click()
    page.get_by_role("tab", name=tab).click()


def project_of(served):
    return ProjectFolder(path=served.project).open().project


def axes_of(served):
    return project_of(served).scan.to_vehicle


def holes_of(served):
    return project_of(served).cage.holes


# corners of the roof, apart from each other and from every bar as seen from above
ROOF = [(-700.0, 480.0, 1118.0), (-700.0, -480.0, 1118.0), (-1200.0, 300.0, 1118.0)]


def test_the_scan_is_laid_by_landmarks(served, page, screenshot):
    before = axes_of(served)
    page.get_by_role("tab", name="Scan").click()
    page.get_by_text("triangles, read as mm").wait_for()  # what is told of the scan moves all below it
    page.get_by_text("Lay it by landmarks").click()
    page.get_by_role("button", name="Lay it by these").click()
    page.get_by_text("No landmark is picked yet").wait_for()
    assert axes_of(served).shift_mm == pytest.approx(before.shift_mm)
    look(page, "Top")
    for number, place in enumerate(ROOF, start=1):
        page.get_by_label(f"Landmark {number}", exact=True).fill(f"roof {number}")
        page.get_by_role("button", name=f"Pick landmark {number} in the picture").click()
        page.get_by_text(f"Click in the picture: landmark {number}").wait_for()
        pick(page, place)
        page.get_by_text("Click in the picture:").wait_for(state="hidden")
        field = page.get_by_label(f"Landmark {number} on the scan")
        page.wait_for_function("field => field.value !== ''", arg=field.element_handle())
        if number == 1:
            page.get_by_role("button", name="Lay it by these").click()
            page.get_by_text("there are too few known places").first.wait_for(timeout=60_000)
        at = [float(part) for part in field.input_value().split(",")]
        assert at == pytest.approx(place, abs=3.0)  # a pixel
        for axis, value in zip(("forward", "left", "up"), (at[0] + 100.0, at[1], at[2] + 25.0), strict=True):
            page.get_by_label(f"Landmark {number}: {axis}, if known").fill(f"{value:.1f}")
    page.get_by_role("button", name="Lay it by these").click()
    page.get_by_text("✓ Laid by these landmarks.").wait_for(timeout=60_000)
    screenshot(page, "laid-by-landmarks")
    after = axes_of(served)
    assert (after.shift_mm - before.shift_mm) == pytest.approx([100.0, 0.0, 25.0], abs=0.3)
    # the fields hold the metal that was picked where it lies now, so that once more changes nothing
    field = page.get_by_label("Landmark 1 on the scan")
    page.wait_for_function("field => Math.abs(parseFloat(field.value) + 600) < 5", arg=field.element_handle())
    page.get_by_role("button", name="Lay it by these").click()
    page.wait_for_timeout(3000)
    page.get_by_text("✓ Laid by these landmarks.").wait_for(timeout=60_000)
    assert np.abs(axes_of(served).shift_mm - after.shift_mm).max() < 0.3


def test_a_hole_is_cut_where_a_bar_passes(served, page, screenshot):
    page.get_by_role("tab", name="Cage").click()
    page.get_by_text("Holes that bars pass through", exact=True).click()
    page.get_by_role("button", name="Pick where it passes").click()
    page.get_by_text("Choose the bar that passes first.").wait_for()
    choose(page, "HB", "Cage")
    # far from it: nothing is put, and the page says so where the form is
    look(page, "Left")
    page.get_by_role("button", name="Pick where it passes").click()
    pick(page, (-150.0, 680.0, 300.0))
    page.locator(".hw-finding", has_text="HOLE-009").wait_for(timeout=60_000)
    assert holes_of(served) == ()
    page.get_by_label("Diameter").fill("2 1/4 in")
    page.get_by_role("button", name="Pick where it passes").click()
    pick(page, (-900.0, 680.0, 450.0))
    page.get_by_text("HB 1: 57.2 mm wide").wait_for(timeout=60_000)
    (hole,) = holes_of(served)
    assert hole.diameter_mm == pytest.approx(57.15)
    assert hole.place_mm[::2] == pytest.approx((-900.0, 450.0), abs=0.1)
    # on the bar itself, where the metal is hidden; another bar is not meant
    page.get_by_label("Diameter").fill("")
    page.get_by_role("button", name="Show", exact=True).click()
    page.get_by_role("checkbox", name="Shell").click()
    look(page, "Top")
    page.get_by_role("button", name="Pick where it passes").click()
    pick(page, (-1250.0, 532.5, 642.5))
    page.get_by_text("That is BS-L: choose it first").wait_for()
    look(page, "Front")
    page.get_by_role("button", name="Pick where it passes").click()
    pick(page, (-900.0, -300.0, 450.0))
    page.get_by_text("HB 2: 55.0 mm wide").wait_for(timeout=60_000)
    assert holes_of(served)[1].place_mm == pytest.approx((-900.0, -300.0, 450.0), abs=5.0)
    screenshot(page, "hole-in-the-wall")
    page.get_by_role("button", name="Take out hole 2 of HB").click()
    page.get_by_text("HB 2: 55.0 mm wide").wait_for(state="hidden")
    assert holes_of(served) == (hole,)


PLANES = [
    ("one plane, leaning rearward", {"Leaning rearward by": "10"}),
    ("the plane of both ends and a place", {"Place in the plane": "-1000, 0, 1000"}),
]


@pytest.mark.parametrize(("plane", "typed"), PLANES)
def test_a_fit_keeps_to_the_plane_that_is_typed(served, page, screenshot, plane, typed):
    choose(page, "MH", "Fit")
    page.get_by_role("combobox", name="Bends", exact=True).click()
    page.get_by_role("option", name="4", exact=True).click()
    page.get_by_text("Plane and way", exact=True).click()
    page.get_by_role("combobox", name="Bends lie in").click()
    page.get_by_role("option", name=plane, exact=True).click()
    for label, text in typed.items():
        page.get_by_role("textbox", name=label).fill("")
        page.get_by_role("button", name="Fit it", exact=True).click()
        page.locator(".hw-finding", has_text="STOP").first.wait_for(timeout=60_000)
        page.get_by_role("textbox", name=label).fill(text)
    page.get_by_role("button", name="Fit it", exact=True).click()
    page.get_by_role("button", name="Keep 4 bends").click(timeout=120_000)  # some fits are a minute's work
    page.get_by_text("MH with 4 bends is in the project").wait_for(timeout=60_000)
    screenshot(page, f"fit-{len(plane)}")
    nodes = np.array(project_of(served).cage.member("MH").nodes_mm)
    # rise over run of the plane, through both feet: tan 10 is 0.1763; 100 over 1000 is 0.1
    slope = {"Leaning rearward by": np.tan(np.radians(10.0)), "Place in the plane": 0.1}[next(iter(typed))]
    assert nodes[:, 0] == pytest.approx(nodes[0, 0] - slope * (nodes[:, 2] - nodes[0, 2]), abs=0.5)
