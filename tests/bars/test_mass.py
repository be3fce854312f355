"""Mass and centre of a bar against sums over cells, Pappus by hand, and published weights per metre."""

import math

import numpy as np
import pytest

from hoopwright.bars import Bar, Mass, ShapedEnd, all_together, bar_mass, layer_radii_mm, mirrored
from hoopwright.tubes import TubeSize

TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)
DENSITY = 7850e-9


def straight(length_mm, tube=TUBE):
    return Bar(name="S", nodes_mm=((0, 0, 0), (length_mm, 0, 0)), clr_mm=137.5, tube=tube)


def quarter_bend(clr_mm=137.5):
    """Nothing but a bend of 90: from the origin forward, ending to the left."""
    return Bar(name="Q", nodes_mm=((0, 0, 0), (clr_mm, 0, 0), (clr_mm, clr_mm, 0)), clr_mm=clr_mm, tube=TUBE)


def aslant(shift_mm, slope):
    """End A of a straight bar, cut by a plane that leans toward +y."""
    cut = shift_mm + slope * layer_radii_mm(TUBE)[:, None] * np.cos(np.radians(np.arange(360.0)))
    return ShapedEnd(
        origin_mm=np.zeros(3),
        inward=np.array([1.0, 0.0, 0.0]),
        side=np.array([0.0, 1.0, 0.0]),
        cut_mm=cut,
    )


# Weights as the trade prints them to two places; for 44.45 x 3.048 the same as 2.09 lb/ft.
@pytest.mark.parametrize(
    ("od_mm", "wall_mm", "printed_kg_per_m"),
    [(45.0, 2.5, 2.62), (50.0, 2.0, 2.37), (38.0, 2.5, 2.19), (40.0, 2.0, 1.87), (44.45, 3.048, 3.11)],
)
def test_a_metre_of_straight_tube_weighs_what_tables_print(od_mm, wall_mm, printed_kg_per_m):
    found = bar_mass(straight(1000.0, TubeSize(od_mm=od_mm, wall_mm=wall_mm)))
    assert found.mass.mass_kg == pytest.approx(printed_kg_per_m, abs=0.005)
    assert found.mass.centre_mm == pytest.approx((500.0, 0.0, 0.0), abs=1e-9)
    assert found.length_mm == pytest.approx(1000.0, abs=1e-9)


def test_a_bend_is_pappus_by_hand():
    # pi / 4 (45^2 - 40^2) = 333.794 mm2 over an arc of 137.5 pi / 2 = 215.984 mm
    found = bar_mass(quarter_bend())
    assert found.mass.mass_kg == pytest.approx(333.7942 * 215.9845 * DENSITY, rel=1e-6)
    assert found.length_mm == pytest.approx(215.9845, abs=1e-4)


def test_the_middle_of_a_bend_is_that_of_its_cells_summed():
    """Midpoint sum of 200 x 400 x 200 cells of a quarter of a torus about z."""
    clr, bar = 137.5, quarter_bend()
    radii = 20.0 + (np.arange(200) + 0.5) * 2.5 / 200.0
    around = (np.arange(400) + 0.5) * 2.0 * math.pi / 400.0
    turned = (np.arange(200) + 0.5) * math.pi / 2.0 / 200.0
    away = clr + radii[:, None] * np.cos(around)
    cells = radii[:, None] * away  # the size of a cell grows with both
    centre = (cells * away).sum() / cells.sum() * np.array([np.cos(turned).mean(), np.sin(turned).mean()])
    ours = np.array(bar_mass(bar).mass.centre_mm) - [0.0, clr, 0.0]
    # from the bend's axis the bar starts at -y and ends at +x
    np.testing.assert_allclose(ours, [centre[0], -centre[1], 0.0], atol=1e-3)
    # on the centreline the middle would lie 1.5 mm nearer to the axis: I / (A R) is seen
    assert np.linalg.norm(ours) - clr * math.sin(math.pi / 4.0) / (math.pi / 4.0) > 1.0


@pytest.mark.parametrize("lean_deg", [0.0, 30.0, 60.0])
def test_an_end_cut_aslant_is_that_of_its_fibres_summed(lean_deg):
    """A tube cut by a plane, as 300 000 straight fibres from the cut to the far end."""
    slope, shift = math.tan(math.radians(lean_deg)), 12.0
    found = bar_mass(straight(500.0), [aslant(shift, slope)])
    radius = np.sqrt(20.0**2 + (np.arange(300) + 0.5) / 300.0 * (22.5**2 - 20.0**2))
    around = (np.arange(1000) + 0.5) * 2.0 * math.pi / 1000.0
    y, z = np.outer(radius, np.cos(around)), np.outer(radius, np.sin(around))
    start = shift + slope * y
    length = 500.0 - start
    area = math.pi * (22.5**2 - 20.0**2)
    assert found.mass.mass_kg == pytest.approx(length.mean() * area * DENSITY, rel=1e-6)
    middle = [(one * length).mean() / length.mean() for one in ((start + 500.0) / 2.0, y, z)]
    np.testing.assert_allclose(found.mass.centre_mm, middle, atol=1e-3)


def test_tube_beyond_the_drawn_end_adds():
    longer = ShapedEnd(
        origin_mm=np.array([500.0, 0.0, 0.0]),
        inward=np.array([-1.0, 0.0, 0.0]),
        side=np.array([0.0, 0.0, 1.0]),
        cut_mm=np.full((3, 36), -20.0),
    )
    found = bar_mass(straight(500.0), [longer])
    assert found.length_mm == pytest.approx(520.0, abs=1e-9)
    assert found.mass.centre_mm == pytest.approx((260.0, 0.0, 0.0), abs=1e-9)


def test_a_mirrored_bar_weighs_the_same_on_the_other_side():
    nodes = ((-350, 640, 60), (-430, 655, 560), (-880, 525, 1125), (-1560, 505, 1150))
    bar = Bar(name="L", nodes_mm=nodes, clr_mm=137.5, tube=TUBE)
    own, other = bar_mass(bar).mass, bar_mass(mirrored(bar, "R")).mass
    assert other.mass_kg == pytest.approx(own.mass_kg, rel=1e-12)
    both = all_together([own, other])
    assert both.mass_kg == pytest.approx(2.0 * own.mass_kg)
    assert both.centre_mm == pytest.approx((own.centre_mm[0], 0.0, own.centre_mm[2]), abs=1e-9)


def test_nothing_weighs_nothing():
    assert all_together([]) == Mass(mass_kg=0.0, centre_mm=(0.0, 0.0, 0.0))
