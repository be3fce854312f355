"""Weights as they are printed: in the unit of the book, kilograms in brackets where that is pounds."""

import pytest
from tests.rules.judging import INCH, rows

KG = 'unit = "mm"\nweight_basis = "kerb"'
BANDS = 'kind = "tube size"\nbands = [{ most = 2500, sizes = ["1.5 x .095 in"] }]'
# 2700 lb = 2700 x 0.45359237 kg = 1224.7 kg; 2500 lb = 1133.98 kg (the pound as defined in 1959)
LB_2700, LB_2500 = "2700 lb (1224.7 kg)", "2500 lb (1134 kg)"


@pytest.mark.parametrize(
    ("condition", "note"),
    [
        (
            "weight_most = 2500",
            f"the weight of the car (as raced, without driver) is {LB_2700}: it is for at most {LB_2500}",
        ),
        (
            "weight_over = 3000",
            f"the weight of the car (as raced, without driver) is {LB_2700}: it is for over 3000 lb (1360.8 kg)",
        ),
        ("engine_most = 2000", "engine is 2500 cm3: it is for at most 2000 cm3"),
    ],
)
def test_a_condition_tells_value_and_limit_with_their_unit(condition, note):
    case = "one_piece = true\ncar = { weight = 2700, engine = 2500 }"
    (row,) = rows(f'kind = "one piece"\n{condition}', case, head=INCH)
    assert (row.verdict, row.note) == ("not applicable", note)


def test_a_book_of_kilograms_tells_kilograms():
    (row,) = rows(
        'kind = "one piece"\nweight_most = 900', "one_piece = true\ncar = { weight = 950 }", head=KG
    )
    assert row.note == "the weight of the car (kerb weight) is 950 kg: it is for at most 900 kg"


def test_bands_are_told_in_pounds_with_kilograms():
    (row,) = rows(BANDS, "tube = '1.5 x .095 in'\nweight = 2700", head=INCH)
    assert row.requirement == f"tube at least, by weight of the car: to {LB_2500}: 1.5 x 0.095 in"
    assert row.todo == f"the list ends below {LB_2700}: ask the body"


def test_what_a_load_test_adds_to_the_car():
    rule = 'kind = "load test"\nfactor = 2\nplus = 150\non = "the main hoop"'
    (row,) = rows(rule, "weight = 2700", head=INCH)
    assert row.requirement == "load of 2 x (weight + 150 lb (68 kg)) on the main hoop"
