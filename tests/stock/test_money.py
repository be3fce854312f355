"""Money: each amount rounded once, totals that add up to the last digit, and nothing unknown that counts as 0."""

from dataclasses import fields, replace
from decimal import Decimal
from fractions import Fraction

import numpy as np
import pytest

from hoopwright.stock.money import Needs, TubeNeed, priced
from hoopwright.stock.rates import Extra, Minutes, Rates, TubeRate
from hoopwright.tubes import TubeSize

BIG, SMALL = TubeSize(od_mm=45.0, wall_mm=2.5), TubeSize(od_mm=38.0, wall_mm=2.5)
NEEDS = Needs(
    tubes=(
        TubeNeed(tube=SMALL, steel="", lengths_mm=(10_000.0, 5_758.4), kg_per_m=2.189),
        TubeNeed(tube=BIG, steel="E355", lengths_mm=(7_401.5,), kg_per_m=2.62),
    ),
    sheet_kg=3.4703, bolts=8, bars=18, bends=8, copes=30, feet=6, weld_mm=9_918.6, plates=6, gussets=4,
)  # fmt: skip
MINUTES = Minutes(
    set_up=Decimal(240), per_bar=Decimal(25), per_bend=Decimal("12.5"), per_cope=Decimal(18), per_foot=Decimal(10),
    per_weld_metre=Decimal(55), per_plate=Decimal(40), per_gusset=Decimal(20),
)  # fmt: skip
RATES = Rates(
    currency="crowns", tubes=(TubeRate(per_metre=Decimal("9.35")),), sheet_per_kg=Decimal("4.2"),
    bolt_each=Decimal("0.85"), per_hour=Decimal(48), minutes=MINUTES,
    extras=(Extra(what="paint", amount=Decimal(260)),),
    discount_percent=Decimal(5), tax_percent=Decimal(21),
)  # fmt: skip


def amounts(made):
    return {line.what: line.amount for line in made.lines}


def test_each_line_by_hand():
    made = priced(NEEDS, RATES)
    assert amounts(made) == {
        what: Decimal(amount)
        for what, amount in {
            "tube 38 x 2.5": "147.34",  # 15.758 x 9.35 = 147.33730
            "tube 45 x 2.5, E355": "69.21",  # 7.402 (7.4015 rounded up) x 9.35 = 69.20870
            "sheet of plates and gussets": "14.57",  # 3.470 x 4.2 = 14.574
            "bolts": "6.80",
            "setting up": "192.00",
            "bars: marking and sawing": "360.00",  # 7.50 h
            "bends": "80.16",  # 100 min = 1.67 h
            "copes": "432.00",
            "legs cut to landings": "48.00",
            "landings": "192.00",
            "gussets and ties": "63.84",  # 80 min = 1.33 h
            "welding": "436.32",  # 9.919 m x 55 = 545.545 min = 9.09 h
            "paint": "260.00",
        }.items()
    }
    assert made.subtotal == Decimal("2302.24")
    assert made.discount == Decimal("115.11")  # 115.112
    assert made.net == Decimal("2187.13")
    assert made.tax == Decimal("459.30")  # 459.2973
    assert made.total == Decimal("2646.43")
    assert made.hours == Decimal("37.59")
    assert made.missing == ()


def test_halves_are_rounded_up():
    one = replace(NEEDS, tubes=(TubeNeed(tube=SMALL, steel="", lengths_mm=(1_000.0,), kg_per_m=2.0),))
    made = priced(one, Rates(tubes=(TubeRate(per_metre=Decimal("2.125")),)))
    assert amounts(made)["tube 38 x 2.5"] == Decimal("2.13")


def test_totals_add_up_to_the_last_digit_whatever_is_typed():
    """Held against exact fractions, for 300 sets of rates drawn at random."""
    draw = np.random.default_rng(7)

    def number(most, digits):
        return Decimal(int(draw.integers(0, most * 10**digits))).scaleb(-digits)

    for _ in range(300):
        decimals = int(draw.integers(0, 4))
        minutes = Minutes(**{field.name: number(200, 1) for field in fields(Minutes)})
        rates = replace(
            RATES, decimals=decimals, tubes=(TubeRate(per_metre=number(50, 4)),), sheet_per_kg=number(20, 3),
            bolt_each=number(5, 3), per_hour=number(150, 3), minutes=minutes, discount_percent=number(100, 2),
            tax_percent=number(30, 2),
        )  # fmt: skip
        made = priced(NEEDS, rates)
        half = Fraction(1, 2 * 10**decimals)
        for line in made.lines:
            if line.quantity is not None:
                exact = Fraction(line.quantity) * Fraction(line.price)
                assert -half <= Fraction(line.amount) - exact <= half
            assert -line.amount.as_tuple().exponent == decimals
        assert sum(line.amount for line in made.lines) == made.subtotal
        assert made.subtotal - made.discount == made.net
        assert made.net + made.tax == made.total
        assert abs(Fraction(made.tax) - Fraction(made.net) * Fraction(rates.tax_percent) / 100) <= half


def unknowns():
    yield "tubes", replace(RATES, tubes=()), ("tube 38 x 2.5", "tube 45 x 2.5, E355")
    yield "sheet", replace(RATES, sheet_per_kg=None), ("sheet of plates and gussets",)
    yield "bolts", replace(RATES, bolt_each=None), ("bolts",)
    for field, what in (
        ("set_up", "setting up"),
        ("per_bar", "bars: marking and sawing"),
        ("per_bend", "bends"),
        ("per_cope", "copes"),
        ("per_foot", "legs cut to landings"),
        ("per_plate", "landings"),
        ("per_gusset", "gussets and ties"),
        ("per_weld_metre", "welding"),
    ):
        yield field, replace(RATES, minutes=replace(MINUTES, **{field: None})), (what,)
    yield "extra", replace(RATES, extras=(Extra(what="travel"),)), ("travel",)


@pytest.mark.parametrize(
    ("rates", "what"), [case[1:] for case in unknowns()], ids=[case[0] for case in unknowns()]
)
def test_what_is_not_known_is_not_priced_and_not_nothing(rates, what):
    full, made = priced(NEEDS, RATES), priced(NEEDS, rates)
    assert tuple(line.what for line in made.missing) == what
    assert all(line.missing for line in made.missing)
    known = [amount for name, amount in amounts(full).items() if name not in what and name in amounts(made)]
    assert made.subtotal == sum(known)


def test_without_the_price_of_an_hour_the_hours_are_still_known():
    made = priced(NEEDS, replace(RATES, per_hour=None))
    assert made.hours == Decimal("37.59")
    assert len(made.missing) == 8


def test_a_typed_nothing_is_a_price():
    made = priced(NEEDS, replace(RATES, tubes=(TubeRate(per_metre=Decimal(0)),)))
    assert amounts(made)["tube 38 x 2.5"] == Decimal("0.00")
    assert made.missing == ()


def test_what_a_job_has_none_of_has_no_line():
    bare = replace(NEEDS, bolts=0, gussets=0, plates=0, feet=0, sheet_kg=0.0)
    assert set(amounts(priced(NEEDS, Rates()))) - set(amounts(priced(bare, Rates()))) == {
        *("bolts", "gussets and ties", "landings", "legs cut to landings", "sheet of plates and gussets")
    }


def test_a_discount_takes_off_no_more_than_there_is():
    made = priced(NEEDS, replace(RATES, discount_percent=None, discount_amount=Decimal(5000)))
    assert made.discount == made.subtotal
    assert made.total == Decimal("0.00")


def test_sticks_that_nobody_counted_are_not_priced():
    rates = replace(RATES, tubes=(TubeRate(per_stick=Decimal(58), stick_mm=6000.0),))
    assert [line.what for line in priced(NEEDS, rates).missing] == ["tube 38 x 2.5", "tube 45 x 2.5, E355"]
    counted = priced(NEEDS, rates, lambda need, stick_mm: 3 if need.tube == SMALL else None)
    assert amounts(counted)["tube 38 x 2.5"] == Decimal("174.00")
    assert [line.what for line in counted.missing] == ["tube 45 x 2.5, E355"]


def test_the_rate_that_fits_best_counts():
    any_size, any_steel, exact, other = (
        TubeRate(per_metre=Decimal(1)),
        TubeRate(tube=BIG, per_metre=Decimal(2)),
        TubeRate(tube=TubeSize(od_mm=45.02, wall_mm=2.49), steel="e355", per_metre=Decimal(3)),
        TubeRate(tube=BIG, steel="drawn", per_metre=Decimal(4)),
    )
    rates = Rates(tubes=(any_size, any_steel, exact, other))
    assert rates.tube_rate(BIG, "E355") is exact
    assert rates.tube_rate(BIG, "") is any_steel
    assert rates.tube_rate(SMALL, "E355") is any_size
    assert Rates(tubes=(replace(exact, per_metre=None), any_size)).tube_rate(BIG, "E355") is any_size


def test_a_foot_and_a_kilogram_are_prices_too():
    def line(**price):
        return next(iter(priced(NEEDS, Rates(tubes=(TubeRate(**price),))).lines))

    # 15.7584 m are 51.701 ft; 15.7584 x 2.189 = 34.495 kg
    assert (line(per_foot=Decimal(3)).quantity, line(per_foot=Decimal(3)).amount) == (
        Decimal("51.701"),
        Decimal("155.10"),
    )
    assert line(per_kg=Decimal(2)).amount == Decimal("68.99")
