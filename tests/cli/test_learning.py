"""`calibrate --log` and `command --log`: keys, words, and what bad logs do."""

import json

import numpy as np
import pytest

HEAD = "key,time,batch,command_deg,released_deg"


def rows(count=24, *, batches=("A17", "B22"), off_deg=1.2, seed=0):
    """A bender with springback 0.8 + 0.03 x command; the second batch 1.2 degrees more at 90."""
    rng = np.random.default_rng(seed)
    made = []
    for index in range(count):
        number = index * len(batches) // count
        command = round(float(rng.uniform(15.0, 95.0)), 1)
        springback = 0.8 + 0.03 * command + number * off_deg * command / 90.0 + rng.normal(0.0, 0.15)
        time = f"2026-03-{1 + index:02d}T08:00"
        made.append(f"bar-{index},{time},{batches[number]},{command},{command - springback:.1f}")
    return made


@pytest.fixture
def log(tmp_path):
    def write(lines, head=HEAD):
        file = tmp_path / "bends.csv"
        file.write_text("\n".join([head, *lines]) + "\n", encoding="utf-8")
        return file

    return write


@pytest.fixture
def named(samples):
    samples.write_text(
        samples.read_text(encoding="utf-8").replace('die = "45"', 'die = "45"\nbatch = "A17"'),
        encoding="utf-8",
    )
    return samples


def test_calibrate_learns_and_keeps_its_keys(hoopwright, named, log):
    keys = hoopwright.keys("calibrate", named, "--log", log(rows()))
    plain = hoopwright.keys("calibrate", named)
    assert set(plain) - {"best_next_sample"} <= set(keys)
    for name in ("clr_mm", "clr_sd_mm", "used_per_deg_mm", "start_offset_mm"):
        assert keys[name] == plain[name]
    assert keys["springback"]["per_command_deg"] == pytest.approx(0.03, abs=0.003)
    learnt = keys["learnt"]
    assert [one["target_deg"] for one in learnt["commands"]] == [5.0, 10.0, 20.0, 45.0, 90.0]
    assert [(one["batch"], one["different"]) for one in learnt["batches"]] == [("A17", False), ("B22", True)]
    assert learnt["batches"][1]["off_deg"] == pytest.approx(1.2, abs=0.4)
    assert learnt["bend_count"] == 24
    ahead = learnt["scores"][1]
    assert ahead["bend_count"] == 24
    assert ahead["rms_deg"] < ahead["fixed_rms_deg"]
    assert 0.8 <= ahead["held_share"] <= 1.0
    assert [finding["code"] for finding in keys["findings"]] == ["LEARN-030", "LEARN-014"]


def test_calibrate_tells_a_person(hoopwright, named, log):
    out = hoopwright.run("calibrate", named, "--log", log(rows())).out
    for words in (
        "learnt from 3 angle samples and 24 logged bends",
        "B22",
        "differs",
        "in their band",
        "drift",
    ):
        assert words in out
    for angle in ("5°", "10°", "20°", "45°", "90°"):
        assert f"\n  {angle} " in out
    assert "believed at first: springback grows by" in out


def test_what_calibrate_printed_is_taken_by_command(hoopwright, named, log, tmp_path):
    file = log(rows())
    printed = tmp_path / "printed.json"
    printed.write_text(hoopwright.run("calibrate", named, "--log", file, "--json").out, encoding="utf-8")
    learnt = hoopwright.keys("command", "60", "--calibration", named, "--log", file)
    from_print = hoopwright.keys("command", "60", "--calibration", printed)
    again = hoopwright.keys("command", "60", "--calibration", printed, "--log", file)
    assert from_print["command_deg"] == pytest.approx(learnt["command_deg"], abs=0.01)
    assert again == learnt


def test_command_for_each_batch(hoopwright, named, log):
    file = log(rows())
    made = {
        batch: hoopwright.keys("command", "90", "--calibration", named, "--log", file, "--batch", batch)
        for batch in ("A17", "B22", "Z99")
    }
    assert made["B22"]["command_deg"] > made["A17"]["command_deg"] + 0.7
    unnamed = hoopwright.keys("command", "90", "--calibration", named, "--log", file)
    (said,) = unnamed.pop("findings")
    assert said["code"] == "LEARN-014"
    assert "--batch B22" in said["todo"]
    assert unnamed == {key: value for key, value in made["A17"].items() if key != "findings"}
    assert made["Z99"]["sd_deg"] > 1.5 * made["A17"]["sd_deg"]
    assert "LEARN-020" in [finding["code"] for finding in made["Z99"]["findings"]]
    text = hoopwright.run("command", "90", "--calibration", named, "--log", file, "--batch", "Z99").out
    assert "no bend of it was read yet" in text
    assert "95 of 100 come out between" in text


def test_the_chart_is_written(hoopwright, named, log, tmp_path):
    chart = tmp_path / "line.png"
    hoopwright.run("calibrate", named, "--log", log(rows()), "--chart", chart)
    assert chart.read_bytes().startswith(b"\x89PNG")
    assert hoopwright.stops(
        "calibrate", named, "--log", log(rows()), "--chart", tmp_path / "no" / "x.png"
    ) == ["STORE-002"]


@pytest.mark.parametrize(
    ("lines", "code"),
    [
        (["a,,A,60,61"], "LEARN-003"),
        (["a,,A,60,-1"], "LEARN-003"),
        (["a,,A,260,250"], "LEARN-003"),
        (["a,,A,sixty,50"], "LEARN-009"),
        ([",,A,60,57"], "LEARN-009"),
    ],
)
def test_a_log_that_cannot_be_stops(hoopwright, named, log, lines, code):
    assert hoopwright.stops("calibrate", named, "--log", log(lines)) == [code]
    assert hoopwright.stops("command", "60", "--calibration", named, "--log", log(lines)) == [code]


def test_a_log_without_a_column_stops(hoopwright, named, log):
    assert hoopwright.stops(
        "calibrate", named, "--log", log(["a,1,2"], head="key,command_deg,released_deg")
    ) == ["LEARN-008"]


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        (["a,2026-03-02,A17,60,57.3", "a,2026-03-02,A17,60,50"], "LEARN-004"),
        (["a,2026-03-02,A17,60,57.3", "b,2026-03-01,A17,60,57.4"], "LEARN-005"),
        (["a,2026-03-02,,60,57.3"], "LEARN-007"),
        (["a,2026-03-02,A17,60,57.3"], "LEARN-013"),
        ([], "LEARN-013"),
    ],
)
def test_a_strange_log_is_taken_and_said(hoopwright, named, log, lines, expected):
    keys = hoopwright.keys("calibrate", named, "--log", log(lines))
    assert expected in [finding["code"] for finding in keys["findings"]]
    json.dumps(keys, allow_nan=False)


def test_samples_without_angles_learn_from_the_log_alone(hoopwright, log, tmp_path):
    file = tmp_path / "plain.toml"
    file.write_text(
        'od_mm = 45.0\nwall_mm = 2.5\nsteel = "cold-drawn"\n[[plain]]\nclr_mm = 137.5\n', encoding="utf-8"
    )
    keys = hoopwright.keys("calibrate", file, "--log", log(rows(batches=("A17",))))
    assert keys["springback"]["per_command_deg"] == pytest.approx(0.03, abs=0.004)
    assert "CAL-028" not in [finding["code"] for finding in keys["findings"]]


def test_a_printed_calibration_without_samples_cannot_learn(hoopwright, samples, log, tmp_path):
    keys = hoopwright.keys("calibrate", samples) | {"samples": None}
    printed = tmp_path / "bare.json"
    printed.write_text(json.dumps(keys), encoding="utf-8")
    assert hoopwright.stops("command", "60", "--calibration", printed, "--log", log(rows())) == ["LEARN-012"]


def test_batch_and_chart_want_a_log(hoopwright, samples, log):
    assert hoopwright.run("calibrate", samples, "--log", log(rows()), "--project", samples.parent).status == 2
    assert hoopwright.run("calibrate", samples, "--batch", "A").status == 2
    assert hoopwright.run("command", "60", "--calibration", samples, "--batch", "A").status == 2


def test_yield_and_steel_are_kept_with_the_samples(hoopwright, samples, log):
    text = samples.read_text(encoding="utf-8")
    samples.write_text(
        text.replace('die = "45"', 'die = "45"\nyield_mpa = 480\nsteel = "cold-drawn"'), encoding="utf-8"
    )
    keys = hoopwright.keys("calibrate", samples, "--log", log(rows()))
    assert keys["samples"]["yield_mpa"] == 480.0
    assert keys["samples"]["steel"] == "cold-drawn"
    assert any("yield 480 ± 48 MPa as typed" in words for words in keys["learnt"]["prior"])
    samples.write_text(text.replace('die = "45"', 'die = "45"\nsteel = "cheese"'), encoding="utf-8")
    assert hoopwright.stops("calibrate", samples, "--log", log(rows())) == ["LEARN-002"]
    samples.write_text(text.replace('die = "45"', 'die = "45"\nyield_mpa = -3'), encoding="utf-8")
    assert hoopwright.stops("calibrate", samples, "--log", log(rows())) == ["CAL-005"]
