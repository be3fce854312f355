import pytest
from hypothesis import given
from hypothesis import strategies as st

from hoopwright.findings import Severity, UserError
from hoopwright.units import format_angle, parse_angle_deg


@pytest.mark.parametrize(
    ("text", "angle_deg"),
    [
        ("72.5", 72.5),
        ("72,5", 72.5),
        ("72.5°", 72.5),
        (" 72.5 ° ", 72.5),
        ("90 deg", 90.0),
        ("90 Degrees", 90.0),
        ("-26.96", -26.96),
        ("−26,96°", -26.96),
        ("+135", 135.0),
        (".5", 0.5),
        ("1.2e-14", 1.2e-14),
    ],
)
def test_is_read_as_degrees(text, angle_deg):
    assert parse_angle_deg(text) == angle_deg


@pytest.mark.parametrize(
    "text", ["", "°", "nan", "inf", "1e400", "9" * 400, "90 90", "90 rad", "1/2", "72°30'", "1.234,5", "--9"]
)
def test_is_refused(text):
    with pytest.raises(UserError) as stopped:
        parse_angle_deg(text)
    (finding,) = stopped.value.findings
    assert (finding.code, finding.severity, finding.objects) == ("UNIT-002", Severity.STOP, (text,))


@given(st.floats(-1e5, 1e5), st.integers(0, 6))
def test_what_is_written_is_read_back(angle_deg, decimals):
    written = format_angle(angle_deg, decimals=decimals)
    assert parse_angle_deg(written) == pytest.approx(angle_deg, abs=0.5000001 * 10.0**-decimals)


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_full_precision_survives(angle_deg):
    assert parse_angle_deg(repr(angle_deg)) == angle_deg


def test_has_no_negative_zero():
    assert format_angle(-0.01) == "0.0°"
    assert format_angle(72.46) == "72.5°"
