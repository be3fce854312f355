import dataclasses
import json
import pickle

import pytest

from hoopwright.findings import (
    Finding,
    Severity,
    UserError,
    Verdict,
    as_dict,
    as_text,
    from_dict,
    stopping,
    worst,
)

STOP = Finding(
    code="BAR-003",
    sentence="Bar SB-R: the bends overlap by 3.2 mm.",
    todo="Move the nodes apart.",
    severity=Severity.STOP,
    objects=("SB-R",),
    point_mm=(-350.4, 640.0, 60.0),
    measured=-3.2,
    limit=0.0,
    unit="mm",
)
WARNING = Finding(code="CAL-002", sentence="A leg does not fit.")
NOTE = Finding(code="SCAN-009", sentence="Two triangles were left out.", severity=Severity.NOTE)


def test_text_has_code_sentence_place_and_what_to_do():
    assert as_text(STOP) == (
        "STOP BAR-003: Bar SB-R: the bends overlap by 3.2 mm.\n"
        "  at forward -350, left 640, up 60 mm\n"
        "  -> Move the nodes apart."
    )


def test_text_without_place_and_todo_is_one_line():
    assert as_text(WARNING) == "warning CAL-002: A leg does not fit."
    assert as_text(NOTE).startswith("note SCAN-009")


def test_json_keeps_every_field_and_every_digit():
    finding = dataclasses.replace(STOP, measured=-3.2000000000000006)
    read = json.loads(json.dumps(as_dict(finding)))
    assert set(read) == {field.name for field in dataclasses.fields(Finding)}
    assert read["measured"] == -3.2000000000000006
    assert read["point_mm"] == [-350.4, 640.0, 60.0]
    assert read["severity"] == "stop"
    assert json.loads(json.dumps(as_dict(WARNING)))["point_mm"] is None


def test_the_gravest_finding_counts():
    assert worst([NOTE, STOP, WARNING]) is Severity.STOP
    assert worst([NOTE, WARNING]) is Severity.WARNING
    assert worst([NOTE]) is Severity.NOTE
    assert worst([]) is None
    assert stopping([NOTE, STOP, WARNING]) == (STOP,)


def test_an_error_comes_back_whole_from_a_worker_process():
    error = pickle.loads(pickle.dumps(UserError(STOP, WARNING)))  # noqa: S301
    assert error.findings == (STOP, WARNING)
    assert str(error) == "BAR-003: Bar SB-R: the bends overlap by 3.2 mm.; CAL-002: A leg does not fit."


def test_a_finding_is_frozen():
    with pytest.raises(dataclasses.FrozenInstanceError):
        STOP.code = "BAR-004"


def test_a_check_ends_in_one_of_four():
    assert {verdict.value for verdict in Verdict} == {"pass", "fail", "not applicable", "not checked"}


@pytest.mark.parametrize("point_mm", [None, (-900.0, 640.0, 620.5)])
def test_a_finding_comes_back_from_json_as_it_was(point_mm):
    told = Finding(
        code="LAND-011",
        sentence="A foot.",
        todo="Move it.",
        severity=Severity.NOTE,
        objects=("SB-L", "A"),
        point_mm=point_mm,
        measured=1 / 3,
        limit=2.0,
        unit="mm",
    )
    assert from_dict(json.loads(json.dumps(as_dict(told)))) == told
