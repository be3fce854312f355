"""`hoopwright landmark`: typed, kept, mirrored, refused, taken back, and what uses them."""

import pytest


@pytest.fixture
def scanned(hoopwright, project, inch_scan):
    hoopwright.keys("scan", project, inch_scan, "--unit", "in", "--as-given")
    return project


def kept(hoopwright, project):
    return {one["name"]: one["place_mm"] for one in hoopwright.keys("landmark", "show", project)["landmarks"]}


def test_typed_landmarks_are_kept_moved_and_taken_back(hoopwright, project):
    hoopwright.keys("landmark", "set", project, "hoop_foot=-900,590,0", "backstay_foot=-1.7 m,450,300")
    hoopwright.keys("landmark", "set", project, "hoop_foot=-910,590,0")
    assert kept(hoopwright, project) == {"hoop_foot": [-910, 590, 0], "backstay_foot": [-1700, 450, 300]}
    hoopwright.run("undo", project)
    assert kept(hoopwright, project)["hoop_foot"] == [-900, 590, 0]
    hoopwright.keys("landmark", "remove", project, "hoop_foot", "backstay_foot")
    assert kept(hoopwright, project) == {}
    hoopwright.run("undo", project)
    assert len(kept(hoopwright, project)) == 2


def test_what_is_not_set_is_told_with_where_to_put_it(hoopwright, project):
    hoopwright.keys("landmark", "set", project, "door_opening_1=-300,700,300")
    not_set = hoopwright.keys("landmark", "show", project)["not_set"]
    assert {"hoop_foot", "front_strut", "door_opening_2", "door_opening_3"} <= set(not_set)
    assert "door_opening_1" not in not_set
    assert "sill" in not_set["hoop_foot"]


def test_a_right_hand_place_is_mirrored_only_where_a_left_one_is_wanted(hoopwright, project):
    told = hoopwright.keys(
        "landmark",
        "set",
        project,
        "hoop_foot=-900,-590,0",
        "door_opening_1=-300,-700,300",
        "jack_point=0,-600,100",
    )
    assert [finding["code"] for finding in told["findings"]] == ["MARK-003", "MARK-005"]
    assert kept(hoopwright, project) == {
        "hoop_foot": [-900, 590, 0], "door_opening_1": [-300, -700, 300], "jack_point": [0, -600, 100]
    }  # fmt: skip


@pytest.mark.parametrize(
    ("word", "code"),
    [
        ("Hoop foot=1,2,3", "MARK-001"),
        (f"{'a' * 41}=1,2,3", "MARK-001"),
        ("../x=1,2,3", "MARK-001"),
        ("hoop_foot=-25 m,650,0", "MARK-001"),
        ("hoop_foot=nan,650,0", "UNIT-001"),
        ("hoop_foot=1,2", "TYPED-001"),
        ("hoop_foot", "TYPED-001"),
    ],
)
def test_what_cannot_be_stops_and_nothing_is_kept(hoopwright, project, word, code):
    assert hoopwright.stops("landmark", "set", project, "front_foot=1,2,3", word) == [code]
    assert kept(hoopwright, project) == {}


def test_a_name_typed_twice_or_not_there_stops(hoopwright, project):
    assert hoopwright.stops("landmark", "set", project, "a=1,2,3", "a=1,2,4") == ["TYPED-001"]
    assert hoopwright.stops("landmark", "remove", project, "hoop_foot") == ["MARK-004"]
    assert hoopwright.stops("landmark", "find", project) == ["SCAN-014"]


def test_distance_to_metal_is_measured_with_a_scan_and_not_checked_without(hoopwright, scanned, tmp_path):
    bare = tmp_path / "bare"
    hoopwright.keys("new", bare)
    (one,) = hoopwright.keys("landmark", "set", bare, "hoop_foot=-900,590,5000")["landmarks"]
    assert one["metal_mm"] is None
    assert "not checked" in hoopwright.run("landmark", "show", bare).out
    told = hoopwright.keys("landmark", "set", scanned, "hoop_foot=-900,590,5000", "front_foot=-900,590,0")
    far, near = told["landmarks"]
    assert [finding["code"] for finding in told["findings"]] == ["MARK-002"]
    # straight above the roof the nearest metal is no nearer than the highest metal
    assert far["metal_mm"] > 3000.0
    assert near["metal_mm"] < 150.0


def test_layout_uses_typed_landmarks_and_keeps_the_rest_and_the_driver(hoopwright, scanned):
    hoopwright.keys("driver", "set", scanned, "Ada", "--eye=-700,300,900")
    hoopwright.keys(
        "landmark",
        "set",
        scanned,
        "hoop_foot=-900,590,0",
        "backstay_foot=-1700,450,300",
        "door_opening_1=-300,700,300",
    )
    hoopwright.keys("layout", scanned, "--feet", "4")
    assert set(kept(hoopwright, scanned)) == {"hoop_foot", "backstay_foot", "door_opening_1"}
    assert hoopwright.keys("driver", "show", scanned)["drivers"][0]["eye_mm"] == [-700, 300, 900]


def test_what_the_scan_does_not_show_is_said_for_each(hoopwright, scanned):
    told = hoopwright.keys("landmark", "find", scanned, "--keep")
    names = {one["name"] for one in told["found"]} | set(told["missing"])
    assert names == {"hoop_foot", "front_foot", "screen_corner", "backstay_foot", "front_strut"}
    assert all(told["missing"].values())
    assert all(one["doubt"] for one in told["found"] if not one["sure"])
    assert set(kept(hoopwright, scanned)) == set(told["stored"])
