"""Instances whose best plan is published, or follows from a sum that anybody can check."""

import pytest

from hoopwright.stock import CutRules, CutTask, Piece, StickOffer, plan_cuts


def task(stick_mm, rows, kerf_mm=0.0):
    pieces = tuple(Piece(name=f"{length:g}", length_mm=float(length), count=count) for length, count in rows)
    return CutTask(pieces=pieces, offers=(StickOffer(length_mm=stick_mm),), rules=CutRules(kerf_mm=kerf_mm))


PAPER_ROLLS = [
    *((1380, 22), (1520, 25), (1560, 12), (1710, 14), (1820, 18), (1880, 18), (1930, 20)),
    *((2000, 10), (2050, 12), (2100, 14), (2140, 16), (2150, 18), (2200, 20)),
]


@pytest.mark.parametrize(
    ("stick_mm", "rows", "kerf_mm", "best"),
    [
        # 73, waste 0.401 %: the paper-machine example of the encyclopaedia article "Cutting stock problem"
        pytest.param(5600, PAPER_ROLLS, 0.0, 73, id="paper machine"),
        # V. Chvatal, Linear Programming (1983), chapter 13; 453 from memory, and LP 452.25 rounds up to it
        pytest.param(100, [(45, 97), (36, 610), (31, 395), (14, 211)], 0.0, 453, id="chvatal"),
        # input published, total 8200: at least 82, and a plan of 82 exists
        pytest.param(100, [(20, 100), (30, 120), (40, 40), (50, 20)], 0.0, 82, id="no waste"),
        # input published; 14950 / 2000 would let 8 hope, the linear programme is 8.142857: 9
        pytest.param(2000, [(255, 10), (750, 7), (550, 13)], 0.0, 9, id="volume bound is not reached"),
        # published with its answer
        pytest.param(10, [(2, 3), (8, 1), (4, 3)], 0.0, 3, id="boards of 10"),
        # 2700 + 1500 + 1500 and 2400 + 2200 + 1200: both rules of the saw bench take 3
        pytest.param(
            6000, [(2700, 1), (2400, 1), (2200, 1), (1500, 2), (1200, 1)], 0.0, 2, id="greedy takes 3"
        ),
        pytest.param(6000, [(1500, 4)], 0.0, 1, id="no kerf"),
        # 3 cuts of 2.4 between 4 parts are 7.2 too many
        pytest.param(6000, [(1500, 4)], 2.4, 2, id="kerf between parts"),
        # 4 parts and 3 cuts fill it to the last hundredth: no kerf at the end
        pytest.param(6007.2, [(1500, 4)], 2.4, 1, id="no kerf at the end"),
        # 59 29/32 in four times and 1/8 in three times is 240 in to the last sixty-fourth
        pytest.param(240 * 25.4, [(59.90625 * 25.4, 4)], 0.125 * 25.4, 1, id="inches"),
    ],
)
def test_published(stick_mm, rows, kerf_mm, best):
    plan = plan_cuts(task(stick_mm, rows, kerf_mm))
    assert (plan.stick_count, plan.lower_bound, plan.proven_optimal) == (best, best, True)


def test_waste_of_the_paper_machine():
    assert plan_cuts(task(5600, PAPER_ROLLS)).waste_ratio == pytest.approx(0.0040117, abs=5e-8)


def test_one_step_too_long_is_seen():
    """A hundredth of a millimetre more than fits takes another stick."""
    assert plan_cuts(task(6007.19, [(1500, 4)], 2.4)).stick_count == 2
