"""Whatever is known or not: each row says what was measured against what, or what to give, or why it does not apply."""

from types import MappingProxyType

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.rules.judging import book_of
from tests.rules.test_engine import ONE_OF_EACH

from hoopwright.cage.car import Car, WeightBasis
from hoopwright.cage.member import Role
from hoopwright.findings import Verdict
from hoopwright.rules.engine import check_book
from hoopwright.rules.facts import (
    BarFacts,
    BendFacts,
    Certificate,
    DriverFacts,
    Extent,
    Facts,
    FootFacts,
    GussetFacts,
    HelmetRoom,
    HoleFacts,
    JointFacts,
    Measured,
    OpeningFacts,
    Pattern,
    Process,
)
from hoopwright.rules.measures import MEASURES
from hoopwright.tubes import TubeSize

LENGTH = st.one_of(st.none(), st.floats(0.0, 500.0))
COUNT = st.one_of(st.none(), st.integers(0, 5))
YES = st.sampled_from([None, True, False])
ROLE = st.one_of(st.none(), st.sampled_from(Role))
SIDE = st.sampled_from(["", "L", "R"])
PLACE = st.one_of(st.none(), st.tuples(*[st.floats(-2000.0, 2000.0)] * 3))
TUBE = st.one_of(st.none(), st.builds(TubeSize, od_mm=st.floats(20.0, 60.0), wall_mm=st.floats(1.0, 5.0)))
GRADE = st.sampled_from(["", "8.8", "SAE 5", "10.9", "?"])


def several(strategy):
    return st.one_of(st.none(), st.lists(strategy, max_size=3).map(tuple))


BENDS = st.builds(
    BendFacts, angle_deg=st.floats(0.0, 175.0), clr_mm=LENGTH, is_reverse=st.booleans(), in_leg=YES,
    side_view_deg=st.one_of(st.none(), st.floats(0.0, 90.0)), narrow_mm=LENGTH, wide_mm=LENGTH,
)  # fmt: skip
CERTIFICATES = st.builds(
    Certificate, number=st.sampled_from(["", "C1"]), process=st.one_of(st.none(), st.sampled_from(Process)),
    carbon_percent=LENGTH, yield_mpa=LENGTH, tensile_mpa=LENGTH,
)  # fmt: skip
BARS = st.builds(
    BarFacts, bar_id=st.sampled_from(["A", "B"]), role=ROLE, side=SIDE, tube=TUBE, wall_measured_mm=LENGTH,
    certificate=st.one_of(st.none(), CERTIFICATES), bends=several(BENDS), down_mm=PLACE, is_one_piece=YES,
    is_required=YES, padding_mm=LENGTH,
)  # fmt: skip
FEET = st.builds(
    FootFacts, role=ROLE, tube=TUBE, planes_mm=several(st.tuples(st.floats(0.0, 300.0), st.floats(0.0, 300.0))),
    area_mm2=LENGTH, thickness_mm=LENGTH, is_bolted=YES, bolts=COUNT, bolt_mm=LENGTH, bolt_grade=GRADE,
    in_double_shear=YES,
)  # fmt: skip
GUSSETS = st.builds(
    GussetFacts, largest_od_mm=LENGTH, legs_mm=several(st.floats(0.0, 200.0)), thickness_mm=LENGTH
)
JOINTS = st.builds(
    JointFacts, roles=st.frozensets(st.sampled_from(Role), max_size=2), gussets=COUNT, is_crossing=YES,
    is_removable=YES, bolt_grade=GRADE,
)  # fmt: skip
DRIVERS = st.builds(
    DriverFacts, helmet_line_mm=LENGTH, belt_deg=st.one_of(st.none(), st.floats(-180.0, 180.0)), exit_s=LENGTH,
    rooms=several(st.builds(HelmetRoom, bar_id=st.sampled_from(["A", "C"]), room_mm=st.floats(-50.0, 400.0))),
)  # fmt: skip
FACTS = st.builds(
    Facts,
    car=st.builds(
        Car,
        driver_side=SIDE,
        weights_kg=st.sampled_from([{}, {WeightBasis.KERB: 1000.0}]).map(MappingProxyType),
    ),
    bars=several(BARS),
    measures=several(
        st.builds(Measured, name=st.sampled_from(sorted(MEASURES)), role=ROLE, measured=LENGTH, other=LENGTH)
    ),
    feet=several(FEET),
    gussets=several(GUSSETS),
    joints=several(JOINTS),
    holes=several(st.builds(HoleFacts, role=ROLE, diameter_mm=LENGTH)),
    drivers=several(DRIVERS),
    openings=several(
        st.builds(OpeningFacts, side=SIDE, circle_mm=LENGTH, crossed_by=several(st.sampled_from(Role)))
    ),
    extent=st.one_of(st.none(), st.builds(Extent, front_mm=LENGTH, front_mount_mm=LENGTH)),
    patterns=several(st.builds(Pattern, place=st.just("roof"), name=st.sampled_from(["X", "other"]))),
)


@pytest.mark.parametrize("name", sorted(ONE_OF_EACH))
@settings(max_examples=40)
@given(facts=FACTS)
def test_any_facts_end_in_rows_that_say_what_they_mean(name, facts):
    rows = check_book(book_of(f'kind = "{name}"\n{ONE_OF_EACH[name]}'), facts)
    assert rows
    for row in rows:
        if row.verdict in (Verdict.PASS, Verdict.FAIL):
            assert row.measured_words
            assert row.limit_words or row.kind == "bolts"
        if row.verdict is Verdict.FAIL:
            assert row.todo
        if row.verdict is Verdict.NOT_CHECKED:
            assert row.todo
        if row.verdict is Verdict.NOT_APPLICABLE:
            assert row.note
