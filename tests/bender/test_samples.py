"""Sample files: read, refused with the reason, written back."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hoopwright.bender import (
    AngleSample,
    LegSample,
    PlainNumbers,
    Samples,
    USample,
    read_calibration,
    read_samples,
    samples_as_toml,
    samples_from_text,
)
from hoopwright.findings import UserError
from hoopwright.tubes import TubeSize

HEAD = "od_mm = 45.0\nwall_mm = 2.5\n"
LEG = "[[leg]]\ncut_mm = {cut}\nmark_mm = {mark}\nreleased_deg = {at}\nleg_a_mm = {a}\nleg_b_mm = {b}\n"
GOOD_LEG = {"cut": 900.0, "mark": 300.0, "at": 90.0, "a": 471.5, "b": 536.5}


def refusal(text):
    with pytest.raises(UserError) as caught:
        samples_from_text(text, "bends.toml")
    return caught.value.findings


def test_design_file_reads(tmp_path):
    path = tmp_path / "bends.toml"
    path.write_text(
        HEAD
        + 'name = "R135"\ndie = "135"\nbatch = 4711\ndate = 2026-01-31\n'
        + "gauge_sd_deg = 0.1\ntape_sd_mm = 0.3\n"
        + "[[angle]]\ncommand_deg = 90.0\nreleased_deg = 86.5\n"
        + LEG.format(**GOOD_LEG)
        + "[[u]]\noutside_mm = 320.0\n[[plain]]\nclr_mm = 137.5\n"
    )
    samples = read_samples(path)
    assert samples == Samples(
        tube=TubeSize(od_mm=45.0, wall_mm=2.5),
        angles=(AngleSample(command_deg=90.0, released_deg=86.5),),
        legs=(LegSample(cut_mm=900.0, mark_mm=300.0, leg_a_mm=471.5, leg_b_mm=536.5),),
        us=(USample(outside_mm=320.0),),
        plains=(PlainNumbers(clr_mm=137.5),),
        name="R135",
        die="135",
        batch="4711",
        date="2026-01-31",
        gauge_sd_deg=0.1,
        tape_sd_mm=0.3,
    )


def test_typed_units_are_understood():
    samples = samples_from_text(
        'od_mm = "1 3/4"\nwall_mm = "0.095 in"\n[[u]]\noutside_mm = "12 1/2"\n[[angle]]\n'
        'command_deg = "90°"\nreleased_deg = "86,5"\n',
        "inch.toml",
    )
    assert samples.tube.od_mm == pytest.approx(44.45)
    assert samples.tube.wall_mm == pytest.approx(2.413)
    assert samples.us[0].outside_mm == pytest.approx(317.5)
    assert samples.angles[0].released_deg == 86.5


@pytest.mark.parametrize(
    ("text", "code", "says"),
    [
        (HEAD + "[[u]\noutside_mm = 3\n", "CAL-002", "line 3"),
        (HEAD + "[[angle]]\ncomand_deg = 90\nreleased_deg = 86\n", "CAL-003", "comand_deg"),
        (HEAD + "walls = 3\n[[u]]\noutside_mm = 320\n", "CAL-003", "walls"),
        (HEAD + "[[angle]]\ncommand_deg = 90\n", "CAL-004", "released_deg"),
        (HEAD + "[[u]]\noutside_mm = true\n", "CAL-004", "outside_mm"),
        pytest.param(HEAD + f"[[u]]\noutside_mm = {'9' * 400}\n", "CAL-004", "outside_mm", id="400 digits"),
        pytest.param(HEAD + f"[[u]]\noutside_mm = {'9' * 5000}\n", "CAL-002", "digits", id="5000 digits"),
        pytest.param(HEAD + f"u = {'[' * 5000}{']' * 5000}\n", "CAL-002", "sample file", id="deep lists"),
        (HEAD + '[[u]]\noutside_mm = "about 320"\n', "CAL-004", "about 320"),
        (HEAD + "[u]\noutside_mm = 320\n", "CAL-004", "'u'"),
        ("wall_mm = 2.5\n[[u]]\noutside_mm = 320\n", "CAL-004", "od_mm"),
        (HEAD + "[[u]]\noutside_mm = nan\n", "CAL-005", "not a number"),
        (HEAD + "[[u]]\noutside_mm = -320\n", "CAL-005", "more than 0"),
        (HEAD + "[[u]]\noutside_mm = 90\n", "CAL-005", "wider"),
        (HEAD + LEG.format(**GOOD_LEG | {"mark": 950.0}), "CAL-005", "mark_mm"),
        (HEAD + LEG.format(**GOOD_LEG | {"a": 2000.0}), "CAL-005", "leg_a_mm"),
        (HEAD + LEG.format(**GOOD_LEG | {"cut": "inf"}), "CAL-005", "cut_mm"),
        (HEAD + LEG.format(**GOOD_LEG | {"at": 89.0}), "CAL-006", "89"),
        (HEAD + LEG.format(**GOOD_LEG | {"at": "nan"}), "CAL-006", "nan"),
        (HEAD + "[[angle]]\ncommand_deg = 86\nreleased_deg = 90\n", "CAL-007", "springs back"),
        (HEAD + "[[plain]]\nclr_mm = 20\n", "CAL-005", "inside the tube"),
        (HEAD + "[[plain]]\n", "CAL-008", "no number"),
        (HEAD, "CAL-008", "no sample"),
        ("od_mm = 45\nwall_mm = 30\n[[u]]\noutside_mm = 320\n", "TUBE-001", "30"),
        (HEAD + "gauge_sd_deg = 0\n[[u]]\noutside_mm = 320\n", "CAL-005", "gauge_sd_deg"),
    ],
)
def test_refusals_name_file_and_place(text, code, says):
    findings = refusal(text)
    assert findings[0].code == code
    assert says in findings[0].sentence
    assert findings[0].sentence.startswith("bends.toml: ")


def test_near_miss_and_sample_number_are_named():
    text = (
        HEAD + "[[angle]]\ncommand_deg = 20\nreleased_deg = 18\n[[angle]]\ncommand = 90\nreleased_deg = 86\n"
    )
    findings = {finding.code: finding for finding in refusal(text)}
    assert "[[angle]] number 2" in findings["CAL-003"].sentence
    assert "Did you mean 'command_deg'" in findings["CAL-003"].todo
    assert "command_deg" in findings["CAL-004"].sentence


def test_half_a_degree_off_90_is_let_through():
    assert (
        samples_from_text(HEAD + LEG.format(**GOOD_LEG | {"at": 89.5}), "x.toml").legs[0].released_deg == 89.5
    )


@pytest.mark.parametrize("content", [b"\xff\xfe\x00\x01", None])
def test_unreadable_file_is_named(tmp_path, content):
    path = tmp_path / "bends.toml"
    if content is not None:
        path.write_bytes(content)
    for read in (read_samples, read_calibration):
        with pytest.raises(UserError) as caught:
            read(path)
        assert caught.value.findings[0].code == "CAL-001"
        assert "bends.toml" in caught.value.findings[0].sentence


lengths = st.floats(100.0, 800.0)


@given(
    names=st.lists(st.text(st.characters(exclude_categories=("Cs",)), max_size=12), min_size=4, max_size=4),
    angles=st.lists(st.tuples(st.floats(1.0, 150.0), st.floats(0.5, 1.0)), max_size=4),
    outsides=st.lists(lengths, max_size=3),
    plains=st.lists(st.builds(PlainNumbers, clr_mm=lengths, start_offset_mm=st.floats(-50, 50)), max_size=2),
)
def test_written_file_reads_back_the_same(names, angles, outsides, plains):
    samples = Samples(
        tube=TubeSize(od_mm=45.0, wall_mm=2.5),
        angles=tuple(AngleSample(command_deg=c, released_deg=c * share) for c, share in angles),
        legs=(LegSample(cut_mm=900.0, mark_mm=300.0, leg_a_mm=471.5, leg_b_mm=math.pi * 100),),
        us=tuple(USample(outside_mm=outside) for outside in outsides),
        plains=tuple(plains),
        name=names[0],
        die=names[1],
        batch=names[2],
        date=names[3],
    )
    assert samples_from_text(samples_as_toml(samples), "x.toml") == samples
