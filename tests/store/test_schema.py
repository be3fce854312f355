"""The project file: round trip, old versions, damage and hostile content."""

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hoopwright.bars import BendTable
from hoopwright.bender.as_bent import BendReading, TapeEntry
from hoopwright.cage import (
    Car,
    Driver,
    FitNote,
    Gusset,
    GussetKind,
    Hole,
    Landing,
    LandingKind,
    Role,
    WeightBasis,
    add_hole,
    bars_of,
    replace_member,
    set_driver,
)
from hoopwright.findings import UserError
from hoopwright.store.build_records import HandAnswer, LogLine, Photo
from hoopwright.store.file_keys import SCHEMA_VERSION
from hoopwright.store.project import AsBentRecord, Project
from hoopwright.store.schema import from_json, to_json
from hoopwright.store.upgrades import upgraded

V1, V2, V3, V4, V5, V6 = (
    (Path(__file__).parent / "data" / f"cage-v{number}.json").read_bytes() for number in (1, 2, 3, 4, 5, 6)
)


def refused(content, code="STORE-003"):
    with pytest.raises(UserError) as stopped:
        from_json(content, "cage.json")
    (finding,) = stopped.value.findings
    assert finding.code == code
    assert "cage.json" in finding.sentence
    assert finding.todo
    return finding


def changed(**keys):
    return json.dumps({**json.loads(V1), **keys}).encode()


def test_a_file_of_format_1_still_opens():
    project, step = from_json(V1, "cage-v1.json")
    assert step == 3
    assert project.name == 'Café "Renn"-Käfig'
    bars = bars_of(project.cage)
    assert list(bars) == ["MH", "SB-L", "SB-R"]
    assert bars["SB-R"].nodes_mm[0] == (-350.0, -640.0, 60.0)
    assert bars["MH"].tube.wall_mm == 2.5
    member = project.cage.member("SB-L")
    assert (member.end_b.on, member.end_b.landing_mm, member.die) == ("MH", 60.0, "45 × 137.5")
    assert (project.cage.limits.gap_mm, project.cage.limits.clamp_mm) == (12.5, 70.0)
    assert project.cage.landmarks["hoop_foot"] == (-1560.0, 610.0, 0.0)
    scan = project.scan
    assert (scan.unit, scan.aligned_by, scan.residual_mm) == ("in", "landmarks", 0.7)
    assert np.array_equal(scan.to_vehicle.points([1.0, 2.0, 3.0]), [-0.5, -1.25, 3.001])
    assert scan.landmarks[0].twin == "right strut"
    assert scan.landmarks[1].left_mm == -560.0
    assert [t.tape_mm for t in project.tape] == [1360.0, 1361.0]
    assert [t.tape_mm for t in project.tape_in_force] == [1361.0]
    assert project.tape[0].from_place.on_metal
    assert not project.tape[0].to_place.on_metal
    assert project.named_places[0].name == "driver's door"
    assert project.last_issued("MH").identity == "ab12"
    assert project.last_issued("SB-L") is None


def test_round_trip_is_byte_for_byte():
    project, step = from_json(V1, "cage-v1.json")
    again = to_json(project, step)
    twice = to_json(from_json(again, "cage.json")[0], step)
    assert again == twice
    if SCHEMA_VERSION == 1:
        assert again == V1
    empty = to_json(Project(name=""), 1)
    assert to_json(from_json(empty, "cage.json")[0], 1) == empty


def test_a_newer_file_is_left_alone():
    finding = refused(changed(version=SCHEMA_VERSION + 1), "STORE-004")
    assert finding.measured == SCHEMA_VERSION + 1
    assert finding.limit == SCHEMA_VERSION


@pytest.mark.parametrize("version", [0, -1, None, "1", 1.5, [], True])
def test_no_known_version_is_damage(version):
    refused(changed(version=version))


@pytest.mark.parametrize(
    "content",
    [
        b"", b"\0" * 100, b"{", b"[]", b"null", b"7", b'"cage"', b"\xff\xfe\x00", V1[:-1], V1[: len(V1) // 2],
        V1 + b"}", b"[" * 200_000, b'{"version": 1' + b"0" * 5000 + b"}", b'{"version": 1}',
        V1.replace(b"137.5,", b"NaN,"), V1.replace(b"137.5,", b"1e999,"), V1.replace(b"137.5,", b"Infinity,"),
        V1.replace(b"137.5,", b"1" + b"0" * 400 + b","),
        V1.replace(b"Caf", b"\\ud800"), V1.replace(b"Caf", b"\xff"),
    ],
)  # fmt: skip
def test_damage_is_told_and_never_a_crash(content):
    refused(content)


MEMBERS = json.loads(V1)["members"]


def with_member(index, **keys):
    members = [dict(member) for member in MEMBERS]
    members[index] |= keys
    return changed(members=members)


@pytest.mark.parametrize(
    "content",
    [
        changed(more=1),
        changed(step=0),
        changed(step=-3),
        changed(step=10**7),
        changed(step=True),
        changed(step="3"),
        changed(members=None),
        changed(landmarks={"hoop_foot": [1, 2]}),
        changed(gap_mm="wide"),
        with_member(0, member_id="../../etc"),
        with_member(0, member_id="a\nb"),
        with_member(0, member_id=""),
        with_member(0, member_id="SB-L"),
        with_member(0, nodes_mm=[]),
        with_member(0, nodes_mm=[[0, 0, 0]]),
        with_member(0, nodes_mm=[[0, 0, None], [1, 1, 1]]),
        with_member(0, role="roof rack"),
        with_member(0, wall_mm=40.0),
        with_member(0, od_mm=-45.0),
        with_member(1, mirror_of="SB-R"),
        with_member(2, mirror_of="SB-R"),
        with_member(2, mirror_of="nobody"),
        with_member(1, end_b={"kind": "bar", "on": "nobody"}),
        with_member(1, end_b={"kind": "air"}),
        changed(scan={**json.loads(V1)["scan"], "file": "../secret.stl"}),
        changed(scan={**json.loads(V1)["scan"], "file": "/etc/passwd"}),
        changed(scan={**json.loads(V1)["scan"], "file": ".."}),
        changed(scan={**json.loads(V1)["scan"], "rotation": [[1, 0, 0], [0, 1, 0], [0, 0, -1]]}),
        changed(scan={**json.loads(V1)["scan"], "rotation": [[2, 0, 0], [0, 1, 0], [0, 0, 1]]}),
        changed(scan={**json.loads(V1)["scan"], "unit": "furlong"}),
        changed(tape=[{"name": "x", "tape_mm": 1, "from_place": {}, "to_place": {}}]),
    ],
)
def test_content_that_cannot_be_is_refused_with_its_place(content):
    finding = refused(content)
    assert len(finding.sentence) < 400


@settings(max_examples=150, deadline=None)
@given(st.integers(0, len(V1) - 1), st.binary(min_size=1, max_size=4), st.integers(0, 30))
def test_any_few_changed_bytes_open_or_are_refused(at, put, dropped):
    spoilt = V1[:at] + put + V1[at + dropped :]
    try:
        project, step = from_json(spoilt, "cage.json")
    except UserError:
        with pytest.raises(UserError, match=r"STORE-00[34]"):
            from_json(spoilt, "cage.json")
    else:
        # what opens can be saved again
        assert from_json(to_json(project, step), "cage.json")[1] == step


def test_format_1_knew_neither_drivers_nor_fits():
    keys = json.loads(V1)
    assert keys["version"] == 1
    assert "drivers" not in keys
    newer = upgraded(keys)
    assert newer["version"] == SCHEMA_VERSION
    project, _ = from_json(V1, "cage-v1.json")
    assert project.cage.drivers == ()
    assert {member.fit for member in project.cage.members} == {None}
    assert keys == json.loads(V1)
    assert upgraded(newer) == newer


def test_drivers_and_fits_are_kept():
    project, step = from_json(V1, "cage-v1.json")
    ada = Driver(name="Ada", helmet_mm=(-1330.0, 350.5, 1010.0), helmet_radius_mm=140.0, padding_mm=25.0)
    places = ("helmet", "eye", "shoulder", "guide", "hip", "knee", "shin", "wheel")
    measured = {f"{place}_mm": (-1.0 * number, 2.25, 3.0) for number, place in enumerate(places)}
    whole = Driver(name="Bøb", **measured, helmet_radius_mm=150.0, wheel_radius_mm=175.0)
    note = FitNote(seed=7, gap_mm=12.5, bends=2)
    cage = set_driver(set_driver(project.cage, ada), whole)
    cage = replace_member(cage, replace(cage.member("SB-L"), fit=note))
    again, _ = from_json(to_json(replace(project, cage=cage), step), "cage.json")
    assert again.cage.drivers == (ada, whole)
    assert again.cage.member("SB-L").fit == note
    assert again.cage.member("MH").fit is None


@pytest.mark.parametrize(
    "drivers",
    [
        [{"name": "Ada"}, {"name": "Ada"}],
        [{"name": "Ada", "padding_mm": -1.0}],
        [{"name": "Ada", "helmet_mm": [0, 0]}],
        [{"name": "Ada", "helmet": [0, 0, 0]}],
        [{"name": ""}],
        {"Ada": {}},
    ],
)
def test_drivers_that_cannot_be_are_damage(drivers):
    refused(changed(version=2, drivers=drivers), "STORE-003")


def test_a_file_of_format_2_still_opens_and_knew_no_holes():
    keys = json.loads(V2)
    assert keys["version"] == 2
    assert "holes" not in keys
    project, step = from_json(V2, "cage-v2.json")
    assert step == 3
    assert project.cage.holes == ()
    (driver,) = project.cage.drivers
    assert (driver.name, driver.wheel_radius_mm, driver.padding_mm) == ("Bøb", 175.0, 25.0)
    assert project.cage.member("SB-L").fit == FitNote(seed=7, gap_mm=12.5, bends=1)
    assert project.swings == "clockwise"
    assert list(bars_of(project.cage)) == ["MH", "SB-L", "SB-R"]
    assert upgraded(keys)["version"] == SCHEMA_VERSION


def test_holes_are_kept():
    project, step = from_json(V2, "cage-v2.json")
    cage = add_hole(
        project.cage,
        Hole(bar_id="SB-L", place_mm=(-600.0, 590.0, 600.0), diameter_mm=55.0, deep_mm=40.0),
    )
    again, _ = from_json(to_json(replace(project, cage=cage), step), "cage.json")
    assert again.cage.holes == cage.holes
    assert len(cage.holes) == 1


HOLE = {"bar_id": "SB-L", "place_mm": [-600.0, 590.0, 600.0], "diameter_mm": 55.0, "deep_mm": 40.0}


@pytest.mark.parametrize(
    "wrong",
    [
        {"bar_id": "SB-R"},
        {"bar_id": "nobody"},
        {"bar_id": "../x"},
        {"place_mm": [0, 0]},
        {"place_mm": [0, 0, 1e9]},
        {"diameter_mm": -55.0},
        {"diameter_mm": 0.0},
        {"diameter_mm": 4000.0},
        {"deep_mm": 0.0},
        {"deep_mm": None},
        {"more": 1},
    ],
)
def test_holes_that_cannot_be_are_damage(wrong):
    refused(json.dumps({**json.loads(V2), "version": 3, "holes": [{**HOLE, **wrong}]}).encode())


def test_a_file_of_format_3_still_opens_and_knew_no_bars_as_bent():
    keys = json.loads(V3)
    assert keys["version"] == 3
    assert "as_bent" not in keys
    project, step = from_json(V3, "cage-v3.json")
    assert step == 3
    assert project.as_bent == ()
    assert [hole.bar_id for hole in project.cage.holes] == ["SB-L"]
    assert upgraded(keys)["version"] == SCHEMA_VERSION


def test_a_file_of_format_4_still_opens_and_knew_no_landings():
    keys = json.loads(V4)
    assert keys["version"] == 4
    assert not {"landings", "gussets", "order"} & set(keys)
    project, step = from_json(V4, "cage-v4.json")
    assert step == 3
    assert [record.bar_id for record in project.as_bent] == ["SB-L"]
    assert (project.cage.landings, project.cage.gussets, project.cage.order) == ((), (), ())
    assert upgraded(keys)["version"] == SCHEMA_VERSION


def test_a_file_of_format_6_still_opens_and_its_legs_are_from_end_a():
    keys = json.loads(V6)
    assert keys["version"] == 6
    assert all("leg_from" not in member for member in keys["members"])
    project, step = from_json(V6, "cage-v6.json")
    assert step == 3
    assert {(member.leg_mm, member.leg_from) for member in project.cage.members} == {(640.0, "A")}
    assert upgraded(keys)["version"] == SCHEMA_VERSION
    turned = replace(project.cage.members[0], leg_from="B", role=Role.OTHER)
    cage = replace(project.cage, members=(turned, *project.cage.members[1:]))
    again, _ = from_json(to_json(replace(project, cage=cage), step), "cage.json")
    assert (again.cage.members[0].leg_from, again.cage.members[0].role) == ("B", Role.OTHER)


def test_a_file_of_format_5_still_opens_and_knew_no_book():
    keys = json.loads(V5)
    assert keys["version"] == 5
    assert not {"car", "book", "answers", "photos", "log_lines", "tubes_used"} & set(keys)
    project, step = from_json(V5, "cage-v5.json")
    assert step == 3
    assert [gusset.name for gusset in project.cage.gussets] == ["G1"]
    assert project.cage.order == ("MH", "SB-L")
    assert (project.car, project.book, project.answers) == (Car(), None, ())
    assert {(member.steel, member.leg_mm) for member in project.cage.members} == {("", None)}
    assert upgraded(keys)["version"] == SCHEMA_VERSION


BOOK = {"book_id": "club", "edition": "2026", "sha256": "ab" * 32, "confirmed": ["backstay-angle"]}
CAR = {"words": "coupé", "weights_kg": {"kerb weight": 1180.0}, "engine_cm3": 1998.0, "driver_side": "L"}
USED = {
    "bar_id": "MH", "batch": "B1", "stick": "S1", "steel": "E235+C", "heat_number": "H 7", "certificate": "",
    "date": "2026-03-15",
}  # fmt: skip


def test_the_car_the_book_and_what_a_build_gathers_are_kept():
    keys = {
        **upgraded(json.loads(V5)),
        "car": CAR,
        "book": BOOK,
        "tubes_used": [USED, {**USED, "stick": "S2"}],
    }
    project, step = from_json(json.dumps(keys).encode(), "cage.json")
    assert project.car.weights_kg[WeightBasis.KERB] == 1180.0
    assert project.book.confirmed == ("backstay-angle",)
    assert project.tube_of["MH"].stick == "S2"
    cage = replace_member(project.cage, replace(project.cage.member("MH"), steel="E235+C", leg_mm=700.0))
    project = replace(
        project,
        cage=cage,
        answers=(
            HandAnswer(
                book_id="club", edition="2026", rule_id="padding", answer="pass", words="fitted", by="A",
                date="2026-03-15",
            ),
        ),
        photos=(Photo(place="MH", file="a.jpg", sha256="cd" * 32, words="foot", date="2026-03-15"),),
        log_lines=(LogLine(date="2026-03-15T10:00", words="feet tacked"),),
    )  # fmt: skip
    again, _ = from_json(to_json(project, step), "cage.json")
    assert again.cage.member("MH") == project.cage.member("MH")
    for name in ("car", "book", "answers", "photos", "log_lines", "tubes_used"):
        assert getattr(again, name) == getattr(project, name), name


@pytest.mark.parametrize(
    "wrong",
    [
        {"book": {**BOOK, "sha256": "x"}},
        {"book": {**BOOK, "book_id": "../../etc/passwd"}},
        {"car": {**CAR, "weights_kg": {"by eye": 900.0}}},
        {"car": {**CAR, "weights_kg": {"kerb weight": -1.0}}},
        {"car": {**CAR, "engine_cm3": 0.0}},
        {"car": {**CAR, "driver_side": "M"}},
        {"tubes_used": [{**USED, "bar_id": "../x"}]},
        {"photos": [{"place": "MH", "file": "/etc/passwd", "sha256": "cd" * 32, "words": "", "date": ""}]},
        {"answers": [{"book_id": "club", "edition": "", "rule_id": "r", "answer": "fine"}]},
    ],
)
def test_a_build_that_cannot_be_is_damage(wrong):
    keys = {**upgraded(json.loads(V5)), "car": CAR, "book": BOOK, "tubes_used": [USED]}
    assert from_json(json.dumps(keys).encode(), "cage.json")[0].book
    refused(json.dumps({**keys, **wrong}).encode())


def test_landings_gussets_and_the_order_are_kept():
    project, step = from_json(V4, "cage-v4.json")
    cage = replace(
        project.cage,
        landings=(
            Landing(bar_id="SB-L", end="A", kind=LandingKind.BOX, height_mm=50.0, bolts=4, bolt_mm=8.0),
        ),
        gussets=(
            Gusset(
                name="G1",
                kind=GussetKind.DIMPLED,
                bar_id="SB-L",
                other="MH",
                place_mm=(-1560.0, 505.0, 1150.0),
                leg_mm=80.0,
                thickness_mm=2.0,
                hole_mm=32.0,
            ),
        ),
        order=("MH", "SB-L"),
    )
    again, _ = from_json(to_json(replace(project, cage=cage), step), "cage.json")
    assert again.cage == cage


@pytest.mark.parametrize(
    "wrong",
    [
        {"landings": [{"bar_id": "SB-R", "end": "A", "kind": "plate", "thickness_mm": 3.0}]},
        {"landings": [{"bar_id": "nobody", "end": "A", "kind": "plate", "thickness_mm": 3.0}]},
        {"landings": [{"bar_id": "SB-L", "end": "C", "kind": "plate", "thickness_mm": 3.0}]},
        {"landings": [{"bar_id": "SB-L", "end": "A", "kind": "pad", "thickness_mm": 3.0}]},
        {"order": ["MH", "nobody"]},
    ],
)
def test_made_parts_that_cannot_be_are_damage(wrong):
    keys = {**json.loads(V4), **wrong}
    refused(json.dumps(keys).encode())


TABLE = BendTable(
    straights_mm=(467.6, 631.2, 617.0), rotations_deg=(0.0, -26.96), angles_deg=(31.9, 49.5), clr_mm=137.5
)


def test_bars_as_bent_are_kept():
    project, step = from_json(V3, "cage-v3.json")
    records = (
        AsBentRecord(
            bar_id="SB-L",
            source="readings",
            date="2026-03-14",
            table=TABLE,
            angle_sds_deg=(0.1, 0.1),
            drawn_nodes_mm=((-350.0, 640.0, 60.0), (-880.0, 525.0, 1125.0), (-1560.0, 505.0, 1150.0)),
            tape=(TapeEntry(key="reach", tape_mm=1591.5),),
            readings=(
                BendReading(bend=1, angle_deg=31.9),
                BendReading(bend=2, angle_deg=49.5, rotation_deg=-27.0),
            ),
        ),
        AsBentRecord(bar_id="MH", source="scan", date="2026-03-15", table=TABLE, file="hoop (2).ply"),
        AsBentRecord(bar_id="MH", source="drawn", date="2026-03-16", table=None),
    )
    again, _ = from_json(to_json(replace(project, as_bent=records), step), "cage.json")
    assert again.as_bent == records
    assert [record.bar_id for record in again.as_bent_in_force] == ["SB-L"]


BENT = {
    "bar_id": "SB-L", "source": "tape", "date": "2026-03-14", "angle_sds_deg": [0.1], "drawn_nodes_mm": [],
    "table": {"straights_mm": [400.0, 500.0], "rotations_deg": [0.0], "angles_deg": [30.0], "clr_mm": 137.5},
    "tape": [], "readings": [], "file": "",
}  # fmt: skip


@pytest.mark.parametrize(
    "wrong",
    [
        {"bar_id": "../x"},
        {"source": "guess"},
        {"table": None},
        {"source": "drawn"},
        {"table": {**BENT["table"], "angles_deg": [30.0, 40.0]}},
        {"table": {**BENT["table"], "angles_deg": [179.0]}},
        {"table": {**BENT["table"], "straights_mm": [400.0, -1.0]}},
        {"table": {**BENT["table"], "clr_mm": 0.0}},
        {"table": {**BENT["table"], "clr_mm": float("nan")}},
        {"tape": [{"key": "feet", "tape_mm": "wide"}]},
        {"more": 1},
    ],
)
def test_bars_as_bent_that_cannot_be_are_damage(wrong):
    keys = {**json.loads(V3), "version": SCHEMA_VERSION, "as_bent": [BENT]}
    assert from_json(json.dumps(keys).encode(), "cage.json")[0].as_bent
    refused(json.dumps({**keys, "as_bent": [{**BENT, **wrong}]}).encode())
