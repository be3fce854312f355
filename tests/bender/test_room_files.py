"""The room file: read with its units, written back as plain keys, and every slip named."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hoopwright.bender.room.files import EXAMPLE, read_room, room_from_keys, room_from_text
from hoopwright.bender.room.keys import room_as_keys
from hoopwright.bender.room.solids import box, post, rail
from hoopwright.bender.room.standing import StandingBender, doubts
from hoopwright.findings import UserError

LEAST = 'axis_height_mm = 900\nclamp_mm = 120\nswings = "clockwise"\n'


def codes(text):
    with pytest.raises(UserError) as stopped:
        room_from_text(text, "room.toml")
    return [finding.code for finding in stopped.value.findings]


def sentence(text):
    with pytest.raises(UserError) as stopped:
        room_from_text(text, "room.toml")
    return stopped.value.findings[0].sentence


def test_the_example_is_a_room():
    bender = room_from_text(EXAMPLE, "example")
    assert (bender.axis_height_mm, bender.ceiling_mm, bender.left_mm) == (900.0, 2400.0, 1800.0)
    # the bench stands on the floor: its top 850 over it is 50 under the bend plane
    bench = next(solid for solid in bender.solids if solid.name == "bench")
    assert bench.middle_mm[2] + bench.size_mm[2] / 2.0 == -50.0
    # the post goes up to the ceiling
    column = next(solid for solid in bender.solids if solid.kind == "post" and solid.stands == "room")
    assert column.middle_mm[2] + column.size_mm[2] / 2.0 == 1500.0


def test_lengths_accept_units():
    bender = room_from_text(
        'axis_height_mm = "35 in"\nclamp_mm = "4 3/4"\nswings = "both"\ntilt_deg = [0, "90°"]\n'
        'ceiling_mm = "8 ft"\n', "room.toml",
    )  # fmt: skip
    assert bender.axis_height_mm == pytest.approx(889.0)
    assert bender.clamp_mm == pytest.approx(120.65)
    assert bender.ceiling_mm == pytest.approx(2438.4)
    assert [(one.swings, one.tilt_deg) for one in bender.set_ups] == [
        ("clockwise", 0.0), ("anticlockwise", 0.0), ("clockwise", 90.0), ("anticlockwise", 90.0),
    ]  # fmt: skip


def test_inches_typed_as_mm_are_doubted():
    bender = room_from_text(LEAST.replace("900", "35"), "room.toml")
    finding = doubts(bender)[0]
    assert finding.code == "ROOM-002"
    assert "axis 35 mm above the floor" in finding.sentence
    assert "889" in finding.sentence
    assert doubts(room_from_text(LEAST, "room.toml")) == ()


@pytest.mark.parametrize(
    "changed",
    [
        LEAST.replace("900", "-900"),
        LEAST.replace("900", "0"),
        LEAST.replace("900", "nan"),
        LEAST.replace("900", "inf"),
        LEAST.replace("120", "-1"),
        LEAST + "ceiling_mm = 0\n",
        LEAST + "ceiling_mm = 850\n",
        LEAST + "wall_left_mm = 0\n",
        LEAST + "wall_ahead_mm = -5\n",
        LEAST + "wall_behind_mm = inf\n",
        LEAST + "tail_mm = nan\n",
        LEAST + "keep_clear_mm = -1\n",
        LEAST + "die_clr_mm = 0\n",
        LEAST + "tilt_deg = 400\n",
        LEAST + "tilt_deg = []\n",
        LEAST + "[[post]]\nahead_mm = 1\nleft_mm = 1\ndiameter_mm = 0\n",
        LEAST + "[[post]]\nahead_mm = 1\nleft_mm = inf\ndiameter_mm = 10\n",
        LEAST + "[[box]]\nahead_mm = 1\nleft_mm = 1\nlength_mm = 5\nwidth_mm = -5\nheight_mm = 5\n",
        LEAST + "[[rail]]\nstart_mm = [0,0,0]\nend_mm = [1,1,1]\ndiameter_mm = 0\n",
    ],
)
def test_numbers_that_cannot_be(changed):
    assert set(codes(changed)) == {"ROOM-001"}


@pytest.mark.parametrize(
    ("text", "code", "said"),
    [
        ("axis_height_mm = [", "ROOM-003", "not a room file"),
        ("x = " + "9" * 5000, "ROOM-003", "not a room file"),
        (LEAST.replace("clamp_mm", "clamp"), "ROOM-004", "clamp"),
        ("", "ROOM-004", "missing"),
        (LEAST.replace('"clockwise"', '"up"'), "ROOM-004", "swings"),
        (LEAST.replace("900", '"nine"'), "ROOM-004", "nine"),
        (LEAST.replace("900", "true"), "ROOM-004", "number"),
        (LEAST + "post = 3\n", "ROOM-004", "post"),
        (LEAST + "[[post]]\nahead_mm = 1\n", "ROOM-004", "[[post]] number 1"),
        (LEAST + "[[rail]]\nstart_mm = [1, 2]\nend_mm = [1, 2, 3]\ndiameter_mm = 5\n", "ROOM-004", "rail"),
    ],
)
def test_files_that_cannot_be_read(text, code, said):
    assert code in codes(text)
    assert said in sentence(text)


def test_a_file_that_is_not_there_or_no_text(tmp_path):
    (tmp_path / "room.toml").write_bytes(b"\xff\xfe\x00")
    (tmp_path / "large.toml").write_bytes(b"#" * 1_000_001)
    for name in ("no.toml", "room.toml", "large.toml"):
        with pytest.raises(UserError) as stopped:
            read_room(tmp_path / name)
        assert stopped.value.findings[0].code == "ROOM-003"


lengths = st.floats(1.0, 5000.0)
places = st.tuples(*[st.floats(-3000.0, 3000.0)] * 3)
stands = st.sampled_from(["room", "head", "frame"])
solids = st.one_of(
    st.builds(
        box,
        st.just("box"),
        stands,
        places,
        st.tuples(lengths, lengths, lengths),
        turned_deg=st.floats(-90, 90),
    ),
    st.builds(post, st.just("post"), stands, places, diameter_mm=lengths, height_mm=lengths),
    st.builds(post, st.just("me"), st.just("operator"), places, diameter_mm=lengths, height_mm=lengths),
    st.builds(rail, st.just("rail"), stands, places, places, radius_mm=lengths),
)


@given(found=st.lists(solids, max_size=6), tilt=st.floats(-179, 180), height=st.floats(1.0, 3000.0))
def test_plain_keys_give_the_same_room_back(found, tilt, height):
    order = ["post room", "box room", "rail room", "post operator", "post head", "box head", "rail head"]
    order += ["post frame", "box frame", "rail frame"]
    kept = sorted(found, key=lambda solid: order.index(f"{solid.kind} {solid.stands}"))
    bender = StandingBender(
        name="b", axis_height_mm=height, clamp_mm=120.0, swings=("anticlockwise",), tilts_deg=(tilt, 0.0),
        behind_mm=4000.0, solids=tuple(kept),
    )  # fmt: skip
    again = room_from_keys(room_as_keys(bender), "shop")
    assert replace(again, solids=()) == replace(bender, solids=())
    for one, other in zip(again.solids, kept, strict=True):
        assert (one.name, one.kind, one.stands) == (other.name, other.kind, other.stands)
        assert one.middle_mm == pytest.approx(other.middle_mm, abs=1e-6)
        assert one.size_mm == pytest.approx(other.size_mm, abs=1e-6)
        assert math.isclose(one.radius_mm, other.radius_mm, abs_tol=1e-9)
        assert one.turned_deg == other.turned_deg
