"""`hoopwright asbent` with what was taped at the bender: typed once, used everywhere."""

import pytest
from tests.cli.test_bend import CAL_1, HOOP

READ = ("18.96", "73.81", "73.81", "18.96")


@pytest.fixture
def car(hoopwright, project, tmp_path):
    (tmp_path / "nodes.csv").write_text(HOOP)
    (tmp_path / "cal.toml").write_text(CAL_1)
    hoop = (
        "MH",
        "--role",
        "main hoop",
        "--nodes",
        tmp_path / "nodes.csv",
        "--trim-a",
        "30",
        "--trim-b",
        "30",
    )
    hoopwright.keys("bar", "add", project, *hoop)
    hoopwright.keys("calibrate", tmp_path / "cal.toml", "--project", project)
    hoopwright.keys("sheets", project, "--order", "A to B", "--swings", "clockwise")
    return project


def bend(hoopwright, car, *taped):
    for read in READ:
        hoopwright.keys("bend", car, "MH", "--reading", read)
    for one in taped:
        hoopwright.keys("bend", car, "MH", "--taped", one)


def codes(made):
    return [finding["code"] for finding in made["findings"]]


def test_it_tells_the_same_as_the_same_distances_typed(hoopwright, car):
    bend(hoopwright, car, "feet 1250", "knees 1317.4", "feet 1252")
    ours = hoopwright.keys("asbent", car, "MH")
    typed = hoopwright.keys("asbent", car, "MH", "--tape", "feet 1252", "--tape", "knees 1317.4")
    assert (ours.pop("taped_on"), typed.pop("taped_on")) == ("stick 1 of revision 1", "")
    assert ours == typed
    # A7's figure: feet 1252 and knees 1317.4 are shoulders 0.34 over, in the acceptance figures of the project
    shoulders = next(kind for kind in ours["kinds"] if "shoulders" in kind["name"])
    assert shoulders["over_deg"] == pytest.approx(0.34, abs=0.05)
    assert "taken at the bender (stick 1 of revision 1)" in hoopwright.run("asbent", car, "MH").out


def test_it_is_kept_as_one_that_was_typed_is(hoopwright, car):
    bend(hoopwright, car, "feet 1252", "knees 1317.4")
    assert hoopwright.keys("asbent", car, "MH", "--keep")["kept"]
    assert hoopwright.keys("asbent", car, "MH", "--drop")["kept"] is False


def test_without_anything_taped_it_says_so(hoopwright, car):
    assert hoopwright.stops("asbent", car, "MH") == ["ASBENT-047"]
    hoopwright.keys("bend", car, "MH", "--reading", READ[0])
    assert "its stick is not finished: step 2" in hoopwright.run("asbent", car, "MH").err
    for read in READ[1:]:
        hoopwright.keys("bend", car, "MH", "--reading", read)
    assert hoopwright.stops("asbent", car, "MH") == ["ASBENT-047"]


def test_another_stick_is_another_bar(hoopwright, car):
    bend(hoopwright, car, "feet 1252", "knees 1317.4")
    hoopwright.keys("bend", car, "MH", "--again")
    assert hoopwright.stops("asbent", car, "MH") == ["ASBENT-047"]
    bend(hoopwright, car, "feet 1265", "knees 1323")
    assert hoopwright.keys("asbent", car, "MH")["taped_on"] == "stick 2 of revision 1"


def test_a_bar_drawn_otherwise_since_is_told(hoopwright, car):
    bend(hoopwright, car, "feet 1252", "knees 1317.4")
    assert "ASBENT-048" not in codes(hoopwright.keys("asbent", car, "MH"))
    hoopwright.keys("bar", "move", car, "MH", "3", "--", "-900,507,1085")
    hoopwright.keys("bar", "move", car, "MH", "4", "--", "-900,-507,1085")
    assert "ASBENT-048" in codes(hoopwright.keys("asbent", car, "MH"))


@pytest.mark.parametrize("words", [[], ["--tape", "feet 1252", "--bent"]])
def test_wrong_use(hoopwright, car, words):
    assert hoopwright.run("asbent", car, *(words and ["MH"]), *words).status == 2
