"""A bar of the diameter and wall of another."""

import pytest
from tests.rules.judging import INCH, ends, rows

HOOP = 'bars = [{ id = "MH", role = "main hoop", tube = "1.75 x .120 in" }]'
LIKE = 'kind = "same tube"\napplies = "backstay"\nas = "main hoop"'


@pytest.mark.parametrize(
    ("rule", "case", "end"),
    [
        (LIKE, f"tube = '1.75 x .120 in'\n{HOOP}", "pass"),
        # one length typed in two units is one length
        (LIKE, f"tube = '44.45 x 3.048 mm'\n{HOOP}", "pass"),
        (LIKE, f"tube = '1.75 x .095 in'\n{HOOP}", "fail"),
        (LIKE, f"tube = '1.5 x .120 in'\n{HOOP}", "fail"),
        (LIKE, f"tube = '2 x .120 in'\n{HOOP}", "fail"),
        (f"{LIKE}\nor_more = true", f"tube = '2 x .120 in'\n{HOOP}", "pass"),
        (f"{LIKE}\nor_more = true", f"tube = '2 x .095 in'\n{HOOP}", "fail"),
        (LIKE, HOOP, "not applicable"),
        (LIKE, f"role = 'backstay'\n{HOOP}", "not checked"),
        (LIKE, "tube = '1.75 x .120 in'", "not checked"),
        (LIKE, "tube = '1.75 x .120 in'\nbars = [{ id = 'MH', role = 'main hoop' }]", "not checked"),
        # of two hoops it cannot be like both
        (
            LIKE,
            "tube = '1.75 x .120 in'\nbars = [{ id = 'A', role = 'main hoop', tube = '1.75 x .120 in' }, "
            "{ id = 'B', role = 'main hoop', tube = '1.5 x .120 in' }]",
            "fail",
        ),
    ],
)
def test_like_another_bar(rule, case, end):
    assert ends(rule, case, head=INCH) == end


def test_the_row_tells_both_tubes():
    (row,) = rows(LIKE, f"tube = '1.75 x .095 in'\n{HOOP}", head=INCH)
    assert (row.measured_words, row.limit_words) == ("1.75 x 0.095 in", "1.75 x 0.12 in")
    assert row.requirement == "diameter and wall of the main hoop"
    assert row.todo == "Take 1.75 x 0.12 in."
