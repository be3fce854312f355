"""Turn and sides of a flat sole between beads that run askew: only a sole laid along them lies flat."""

from dataclasses import replace

import numpy as np
import pytest
from tests.joints.landing.test_fitting_to_a_shell import floor, leg, with_floor

from hoopwright.cage import Landing, LandingKind
from hoopwright.joints.landing.best_sole import best_sole
from hoopwright.joints.landing.fit import fit_landing

__all__ = ["with_floor"]

ASKED = Landing(bar_id="T", end="A", length_mm=130.0, width_mm=90.0)
FOOT = (-900.0, 300.0, 0.0)


def beads(x, y, turn_deg=45.0):
    """Beads 5 mm high on both sides of a strip 115 mm wide that runs through the foot."""
    turn = np.radians(turn_deg)
    off = np.abs((y - FOOT[1]) * np.cos(turn) - (x - FOOT[0]) * np.sin(turn))
    return np.where((off > 58.0) & (off < 90.0), 5.0, 0.0)


@pytest.fixture
def askew(with_floor):
    return with_floor(floor(beads))


def largest(shell, landing):
    return fit_landing(shell, leg(FOOT), landing).faces[0].gap.largest_mm


def test_a_sole_is_turned_along_the_beads(askew):
    assert largest(askew, ASKED) > 1.5
    best = best_sole(askew, [(leg(FOOT), 1.0)], ASKED)
    assert best.turn_deg == pytest.approx(45.0)
    assert (best.length_mm, best.width_mm) == (130.0, 90.0)  # typed sides stay
    fitted = fit_landing(askew, leg(FOOT), best)
    assert fitted.faces[0].gap.largest_mm < 0.1
    assert "LAND-021" not in [found.code for found in fitted.findings]


def test_sides_that_nobody_typed_become_slimmer_with_no_less_area(with_floor):
    """Between beads that run along the car 75 mm of flat are left; the usual sole is 115 wide."""
    shell = with_floor(
        floor(lambda x, y: np.where((np.abs(y - 300.0) > 50.0) & (np.abs(y - 300.0) < 90.0), 5.0, 0.0))
    )
    asked = Landing(bar_id="T", end="A", area_mm2=12_000.0)
    before = fit_landing(shell, leg(FOOT), asked)
    assert before.faces[0].gap.largest_mm > 1.5
    best = best_sole(shell, [(leg(FOOT), 1.0)], asked)
    after = fit_landing(shell, leg(FOOT), best)
    assert after.faces[0].gap.largest_mm < 0.1
    assert after.area_mm2 >= 12_000.0 - 1e-6


def test_an_even_floor_and_other_kinds_are_left_as_asked(with_floor):
    shell = with_floor(floor())
    assert best_sole(shell, [(leg(FOOT), 1.0)], ASKED) is ASKED
    box = replace(ASKED, kind=LandingKind.BOX, height_mm=80.0)
    assert best_sole(shell, [(leg(FOOT), 1.0)], box) is box


def test_a_mirrored_foot_has_its_say(with_floor):
    """The beads of the other side run the same way, not the mirrored way: no turn suits both, so none is taken."""
    mirror = (FOOT[0], -FOOT[1], 0.0)
    shell = with_floor(floor(lambda x, y: np.maximum(beads(x, y), beads(x, y + 2.0 * FOOT[1]))))
    feet = [(leg(FOOT), 1.0), (leg(mirror, name="R"), -1.0)]
    best = best_sole(shell, feet, ASKED)
    assert best.turn_deg == 0.0
