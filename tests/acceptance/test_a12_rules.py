"""A rule set that a tester types, held against a cage with five faults in it; through the commands alone."""

import numpy as np
import pytest

BOOK = """\
[book]
id = "hill-club-2026"
body = "Hill Club"
edition = "2026"
unit = "mm"
provenance = "read"

[[rule]]
id = "backstays"
page = "42"
kind = "angle"
of = "vertical"
applies = "backstay"
least = 30
case = [{ vector = [-440, -30, -900], expect = "fail" }, { vector = [-650, -40, -370], expect = "pass" }]

[[rule]]
id = "plates"
page = "43"
kind = "plate"
area_least = "120 cm2"

[[rule]]
id = "ovality"
page = "41"
kind = "ovality"
least = 0.90

[[rule]]
id = "front-legs"
page = "42"
kind = "bends"
applies = "side bar"
part = "leg"
most = 1

[[rule]]
id = "radius"
page = "41"
kind = "bend radius"
least_times_od = 3

[[rule]]
id = "hoop"
page = "41"
kind = "tube size"
applies = "main hoop"
sizes = ["45 x 2.5"]

[[rule]]
id = "helmet"
page = "47"
kind = "helmet"
least = 50
"""
HOOP = "".join(
    f"-1560,{left},{up}\n"
    for left, up in ((610, 0), (640, 620), (505, 1150), (-505, 1150), (-640, 620), (-610, 0))
)
BARS = {
    "MH": ("main hoop", HOOP, ("--end-a", "shell", "--end-b", "shell")),
    "SC": ("screen bar", "-880,525,1125\n-880,-525,1125\n", ()),
    "BS-L": ("backstay", "-1560,400,1150\n-2000,370,250\n", ("--end-a", "MH")),
}


@pytest.fixture(scope="module")
def car(hoopwright, files, bodies, tmp_path_factory):
    folder = tmp_path_factory.mktemp("a12")
    project = folder / "car"
    hoopwright.keys("new", project)
    corners = bodies.cabin_soup()
    facets = np.zeros(len(corners), dtype=[("normal", "<f4", 3), ("corners", "<f4", 9), ("tag", "<u2")])
    facets["corners"] = corners.reshape(-1, 9)
    (folder / "cabin.stl").write_bytes(
        b"cabin".ljust(80) + np.uint32(len(facets)).tobytes() + facets.tobytes()
    )
    hoopwright.keys("scan", project, folder / "cabin.stl", "--unit", "mm", "--as-given")
    for name, (role, nodes, ends) in BARS.items():
        (folder / f"{name}.csv").write_text(f"forward,left,up\n{nodes}", encoding="utf-8")
        hoopwright.keys("bar", "add", project, name, "--role", role, "--nodes", folder / f"{name}.csv", *ends)
    hoopwright.keys("bar", "add", project, "SB-L", "--role", "side bar", "--nodes", files / "side_bar.csv")
    hoopwright.keys("bar", "mirror", project, "SB-L", "SB-R")
    hoopwright.keys("calibrate", files / "cal-1.toml", "--project", project)
    hoopwright.keys("driver", "set", project, "anna", "--helmet", "-1330,0,1010", "--helmet-radius", "140")
    (folder / "hill-club-2026.toml").write_text(BOOK, encoding="utf-8")
    hoopwright.keys("rules", "pin", project, folder / "hill-club-2026.toml")
    return project


@pytest.fixture(scope="module")
def before(hoopwright, car):
    """Before the plate, the ovality and the leg are known."""
    return hoopwright.keys("rules", "check", car)["rows"]


@pytest.fixture(scope="module")
def after(hoopwright, car, before):
    size = ("--length", "110", "--width", "100")
    hoopwright.keys("landing", "set", car, "MH", "A", "--kind", "plate", *size, "--turn", "0")
    hoopwright.keys("measured", car, "MH", "--bend", "2", "--ovality", "40.9/46.2")
    hoopwright.keys("bar", "leg", car, "SB-L", "1500")
    return hoopwright.keys("rules", "check", car)


def of(rows, rule, about):
    (row,) = (row for row in rows if (row["rule_id"], row["about"]) == (rule, about))
    return row


def test_the_book_and_its_cases_are_read_alone(hoopwright, car):
    keys = hoopwright.keys("rules", "check", car / "books" / "hill-club-2026.toml")
    assert (keys["edition"], keys["rules"], keys["cases"]) == ("2026", 7, 2)


def test_what_is_not_known_is_not_checked(before):
    for rule, about in (("plates", "MH foot A"), ("ovality", "MH"), ("front-legs", "SB-L")):
        row = of(before, rule, about)
        assert row["verdict"] == "not checked"
        assert row["todo"]


def test_the_faults(after):
    rows = after["rows"]
    backstay = of(rows, "backstays", "BS-L")
    assert (backstay["verdict"], backstay["measured"]) == ("fail", pytest.approx(26.1, abs=0.05))
    assert backstay["other_words"].startswith("26.1°")
    plate = of(rows, "plates", "MH foot A")
    assert (plate["verdict"], plate["measured"], plate["unit"]) == ("fail", pytest.approx(110.0), "cm2")
    oval = of(rows, "ovality", "MH")
    assert (oval["verdict"], oval["measured"]) == ("fail", pytest.approx(0.885, abs=0.0005))
    for side in "LR":
        leg = of(rows, "front-legs", f"SB-{side}")
        assert (leg["verdict"], leg["measured"], leg["limit"]) == ("fail", 2.0, 1.0)
    helmet = of(rows, "helmet", "anna")
    assert (helmet["verdict"], helmet["measured"]) == ("fail", pytest.approx(13.9, abs=0.05))


def test_what_holds(after):
    for bar in ("MH", "SB-L", "SB-R"):
        radius = of(after["rows"], "radius", bar)
        assert (radius["verdict"], radius["measured"]) == ("pass", pytest.approx(3.06, abs=0.005))
        assert radius["unit"] == "x OD"
    hoop = of(after["rows"], "hoop", "MH")
    assert (hoop["verdict"], hoop["measured_words"]) == ("pass", "45 x 2.5 mm")


def test_every_fault_is_told_with_edition_and_page(after):
    told = [one["sentence"] for one in after["findings"] if one["code"] == "HELD-020"]
    assert len(told) == 6
    assert "BS-L: 26.1°, limit >= 30° (rule backstays, page 42, Hill Club, edition 2026)." in told
    assert all("edition 2026" in one and "page" in one for one in told)


def test_another_vector_holds(hoopwright, car, after, tmp_path):
    import shutil

    other = shutil.copytree(car, tmp_path / "car")
    hoopwright.keys("bar", "move", other, "BS-L", "2", "--", "-2210,360,780")
    backstay = of(hoopwright.keys("rules", "check", other)["rows"], "backstays", "BS-L")
    assert (backstay["verdict"], backstay["measured"]) == ("pass", pytest.approx(60.4, abs=0.05))


def test_one_bend_in_the_leg_holds(hoopwright, car, after, tmp_path):
    import shutil

    other = shutil.copytree(car, tmp_path / "car")
    hoopwright.keys("bar", "leg", other, "SB-L", "800")
    leg = of(hoopwright.keys("rules", "check", other)["rows"], "front-legs", "SB-L")
    assert (leg["verdict"], leg["measured"]) == ("pass", 1.0)


def test_the_check_of_the_whole_project_has_the_book_too(hoopwright, car, after):
    keys = hoopwright.keys("check", car)
    ruled = [row for row in keys["checks"] if row["check"].startswith("rule ")]
    assert len(ruled) == len(after["rows"])
    assert keys["rule_book"]["edition"] == "2026"
    words = hoopwright.run("check", car).out + hoopwright.run("rules", "check", car).out
    assert "0.885" in words
    # the yard-stick for every page and paper: nothing claims what nobody can know
    assert not any(word in words.lower() for word in (" safe", "legal", "approved"))
