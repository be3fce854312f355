"""A11, mass and price: the bars of one cage in 38 x 2.5, bought in sticks of 6 m, sawn with 3 mm."""

from decimal import Decimal

import pytest

from hoopwright.stock.bought import sticks_needed
from hoopwright.stock.money import Needs, TubeNeed, priced
from hoopwright.stock.pieces import Piece
from hoopwright.stock.rates import Rates, TubeRate
from hoopwright.tubes import TubeSize, section_properties

TUBE = TubeSize(od_mm=38.0, wall_mm=2.5)
BARS = (3385, 1990, 1990, 1460, 1460, 1290, 1180, 1180, 1120, 980, 980, 860, 860, 640, 640, 420, 420)
STICK_MM, KERF_MM = 6000.0, 3.0


def needs(lengths=BARS):
    need = TubeNeed(
        tube=TUBE,
        steel="",
        lengths_mm=tuple(map(float, lengths)),
        kg_per_m=section_properties(TUBE).kg_per_m,
    )
    return Needs(
        tubes=(need,),
        sheet_kg=0.0,
        bolts=0,
        bars=0,
        bends=0,
        copes=0,
        feet=0,
        weld_mm=0.0,
        plates=0,
        gussets=0,
    )


def pieces(lengths):
    return [Piece(name=f"bar {number}", length_mm=float(mm)) for number, mm in enumerate(lengths, start=1)]


def tube_line(rate):
    made = priced(
        needs(),
        Rates(tubes=(rate,)),
        lambda need, stick_mm: sticks_needed(pieces(need.lengths_mm), stick_mm, kerf_mm=KERF_MM).count,
    )
    return next(line for line in made.lines if line.what.startswith("tube"))


def test_metres_and_kilograms():
    assert tube_line(TubeRate(per_metre=Decimal(1))).quantity == Decimal("20.855")
    assert float(tube_line(TubeRate(per_kg=Decimal(1))).quantity) == pytest.approx(45.6, abs=0.1)


def test_four_sticks_and_five_with_a_spare_of_the_longest():
    found = sticks_needed(pieces(BARS), STICK_MM, kerf_mm=KERF_MM)
    assert (found.count, found.at_least) == (4, 4)
    assert 1.0 - 20_855.0 / found.bought_mm == pytest.approx(0.131, abs=0.0005)
    assert sticks_needed(pieces([*BARS, 3385]), STICK_MM, kerf_mm=KERF_MM).count == 5


@pytest.mark.parametrize(
    ("rate", "amount"),
    [
        # 20.855 x 9.35 = 194.994250; 4 x 58; by hand
        (TubeRate(tube=TUBE, per_metre=Decimal("9.35")), "194.99"),
        (TubeRate(tube=TUBE, per_stick=Decimal(58), stick_mm=STICK_MM), "232.00"),
    ],
)
def test_the_price_is_that_of_the_typed_rate(rate, amount):
    assert str(tube_line(rate).amount) == amount


def test_without_a_rate_nothing_is_priced():
    made = priced(needs(), Rates())
    assert [line.amount for line in made.lines] == [None, None]
    assert not made.is_priced
