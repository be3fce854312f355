"""Weights and section properties against published tables."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hoopwright.findings import Severity, UserError
from hoopwright.tubes import STEEL_DENSITY_KG_PER_M3, TubeSize, section_properties

INCH_MM = 25.4
LB_PER_FT_IN_KG_PER_M = 0.45359237 / 0.3048

# Published weights in lb/ft, by outside diameter and wall in inches.
# Source: engineeringtoolbox.com/steel-pipes-weights-d_774.html.
GENERAL_TABLE = {(1.0, 0.095): 0.9182, (1.25, 0.095): 1.172, (1.5, 0.095): 1.426, (2.0, 0.095): 1.933}
GENERAL_TABLE |= {(2.5, 0.095): 2.440}
# Source: ssab.com, data sheet of a high-strength welded tube for motor sport.
MILL_TABLE = {(1.5, 0.065): 0.996, (1.5, 0.083): 1.256, (1.75, 0.065): 1.170, (1.75, 0.083): 1.478}
MILL_TABLE |= {(1.75, 0.095): 1.679, (2.0, 0.083): 1.699, (2.0, 0.095): 1.933}

# Worked out apart from this code, to the printed digits: A, I, Z, Zp, radius of gyration (inches).
INCH_SECTIONS = {
    (1.5, 0.095): (0.4193, 0.10394, 0.13859, 0.18782, 0.4979),
    (1.5, 0.120): (0.5202, 0.12478, 0.16638, 0.22910, 0.4897),
    (1.625, 0.120): (0.5674, 0.16166, 0.19897, 0.27238, 0.5338),
    (1.75, 0.095): (0.4939, 0.16967, 0.19391, 0.26049, 0.5861),
    (1.75, 0.120): (0.6145, 0.20519, 0.23450, 0.31940, 0.5779),
    (2.0, 0.095): (0.5685, 0.25855, 0.25855, 0.34504, 0.6744),
    (2.0, 0.120): (0.7087, 0.31440, 0.31440, 0.42470, 0.6660),
}
# The same in mm: A, I, Z, Zp, radius of gyration, kg/m.
MM_SECTIONS = {
    (30.0, 2.0): (175.93, 17329.0, 1155.3, 1570.7, 9.925, 1.3810),
    (38.0, 2.5): (278.82, 44140.1, 2323.2, 3155.8, 12.582, 2.1887),
    (40.0, 1.5): (181.43, 33666.0, 1683.3, 2224.5, 13.622, 1.4242),
    (40.0, 2.0): (238.76, 43215.7, 2160.8, 2890.7, 13.454, 1.8743),
    (45.0, 2.5): (333.79, 75625.3, 3361.1, 4520.8, 15.052, 2.6203),
    (50.0, 2.0): (301.59, 87009.6, 3480.4, 4610.7, 16.985, 2.3675),
    (48.3, 3.2): (453.39, 115856.5, 4797.4, 6519.8, 15.985, 3.5591),
}


def inch_tube(od_in, wall_in):
    return TubeSize(od_mm=od_in * INCH_MM, wall_mm=wall_in * INCH_MM)


@pytest.mark.parametrize(("size", "lb_per_ft"), [*GENERAL_TABLE.items(), *MILL_TABLE.items()])
def test_published_weights(size, lb_per_ft):
    """The tables follow 10.68 (OD - t) t lb/ft, that is 0.2833 lb/in3; 7850 kg/m3 is 0.2836: 0.13 % more."""
    kg_per_m = section_properties(inch_tube(*size)).kg_per_m
    assert kg_per_m / LB_PER_FT_IN_KG_PER_M == pytest.approx(lb_per_ft, rel=2e-3)


@pytest.mark.parametrize(("size", "lb_per_ft"), [*GENERAL_TABLE.items(), *MILL_TABLE.items()])
def test_published_weights_to_the_last_digit_at_the_tables_own_density(size, lb_per_ft):
    density_kg_per_m3 = 10.68 / (12.0 * math.pi) * 0.45359237 / 0.0254**3
    kg_per_m = section_properties(inch_tube(*size), density_kg_per_m3=density_kg_per_m3).kg_per_m
    assert kg_per_m / LB_PER_FT_IN_KG_PER_M == pytest.approx(lb_per_ft, abs=0.00055)


@pytest.mark.parametrize(("size", "expected"), INCH_SECTIONS.items())
def test_inch_sections(size, expected):
    found = section_properties(inch_tube(*size))
    values = (
        found.area_mm2 / INCH_MM**2,
        found.i_mm4 / INCH_MM**4,
        found.z_mm3 / INCH_MM**3,
        found.zp_mm3 / INCH_MM**3,
        found.radius_of_gyration_mm / INCH_MM,
    )
    for value, printed in zip(values, expected, strict=True):
        assert value == pytest.approx(printed, rel=1.5e-4)


@pytest.mark.parametrize(("size", "expected"), MM_SECTIONS.items())
def test_mm_sections(size, expected):
    found = section_properties(TubeSize(od_mm=size[0], wall_mm=size[1]))
    values = (
        found.area_mm2,
        found.i_mm4,
        found.z_mm3,
        found.zp_mm3,
        found.radius_of_gyration_mm,
        found.kg_per_m,
    )
    for value, printed in zip(values, expected, strict=True):
        assert value == pytest.approx(printed, rel=5e-5)


def test_row_of_en_10219_2():
    """EN 10219-2, 48.3 x 3.2: 3.56 kg/m, 4.53 cm2, 11.6 cm4, Wel 4.80, Wpl 6.52, It 23.2 (from memory)."""
    found = section_properties(TubeSize(od_mm=48.3, wall_mm=3.2))
    assert found.kg_per_m == pytest.approx(3.56, abs=0.005)
    assert found.area_mm2 / 1e2 == pytest.approx(4.53, abs=0.005)
    assert found.i_mm4 / 1e4 == pytest.approx(11.6, abs=0.05)
    assert found.z_mm3 / 1e3 == pytest.approx(4.80, abs=0.005)
    assert found.zp_mm3 / 1e3 == pytest.approx(6.52, abs=0.005)
    assert found.j_mm4 / 1e4 == pytest.approx(23.2, abs=0.05)


tubes = st.tuples(st.floats(25.0, 200.0), st.floats(0.02, 0.49)).map(
    lambda pair: TubeSize(od_mm=pair[0], wall_mm=pair[0] * pair[1])
)


@given(tubes)
def test_the_section_summed_in_thin_rings_gives_the_same(tube):
    """Each ring of radius r and thickness dr adds 2 pi r dr of area and pi r^3 dr of I."""
    edges = [tube.inside_mm / 2 + (tube.od_mm - tube.inside_mm) / 2 * k / 2000 for k in range(2001)]
    rings = [((a + b) / 2, b - a) for a, b in pairwise(edges)]
    found = section_properties(tube)
    assert found.area_mm2 == pytest.approx(sum(2 * math.pi * r * dr for r, dr in rings), rel=1e-6)
    assert found.i_mm4 == pytest.approx(sum(math.pi * r**3 * dr for r, dr in rings), rel=1e-6)
    assert found.zp_mm3 == pytest.approx(sum(4 * r**2 * dr for r, dr in rings), rel=1e-6)


@given(tubes)
def test_shape_factor_lies_between_a_thin_ring_and_a_solid_bar(tube):
    """4/pi for a ring without thickness, 16/(3 pi) for a solid bar; Zp / Z of any tube lies between."""
    found = section_properties(tube)
    assert 4 / math.pi < found.zp_mm3 / found.z_mm3 < 16 / (3 * math.pi)
    assert found.j_mm4 == 2 * found.i_mm4
    assert found.radius_of_gyration_mm**2 * found.area_mm2 == pytest.approx(found.i_mm4)


def test_density_is_a_number_for_steel():
    assert STEEL_DENSITY_KG_PER_M3 == 7850.0


@pytest.mark.parametrize(
    ("od_mm", "wall_mm"),
    [
        *[(45, 22.5), (45, 23), (45, 0), (45, -1), (0, 0), (-45, 2.5), (1000, 2.5)],
        *[(math.nan, 2.5), (45, math.nan), (math.inf, 2.5), (45, math.inf)],
    ],
)
def test_a_tube_that_cannot_be_is_refused(od_mm, wall_mm):
    with pytest.raises(UserError) as stopped:
        TubeSize(od_mm=od_mm, wall_mm=wall_mm)
    (finding,) = stopped.value.findings
    assert (finding.code, finding.severity, finding.unit) == ("TUBE-001", Severity.STOP, "mm")
    assert f"{wall_mm:g} mm wall" in finding.sentence
    assert finding.todo


def test_a_size_reads_as_the_trade_says_it():
    assert str(TubeSize(od_mm=45.0, wall_mm=2.5)) == "45 x 2.5"
    assert TubeSize(od_mm=45.0, wall_mm=2.5).inside_mm == 40.0
