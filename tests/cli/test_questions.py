"""Questions that only the person can answer: asked on a terminal, never where nobody sits."""

import json
import os
import shlex
import subprocess
import sys
import time

import pytest

from hoopwright.cli import scan as scan_command

_FEW = """\
name = "grün"
od_mm = 45.0
wall_mm = 2.5
[[angle]]
command_deg = 20.0
released_deg = 18.6
[[angle]]
command_deg = 90.0
released_deg = 86.5
"""


@pytest.fixture
def at_terminal(monkeypatch):
    class Keyboard:
        @staticmethod
        def isatty():
            return True

    class System:
        stdin = Keyboard
        stderr = property(lambda _self: sys.stderr)

    monkeypatch.setattr(scan_command, "sys", System())


def test_nobody_at_the_keyboard_stops(hoopwright, project, inch_scan):
    ran = hoopwright.run("scan", project, inch_scan)
    assert ran.status == 1
    assert "SCAN-012" in ran.err
    assert "--unit in" in ran.err


@pytest.mark.parametrize("closed", ["0<&-", "2>&-", "0<&- 2>&-"])
def test_closed_streams_are_nobody_at_the_keyboard(project, inch_scan, closed):
    tool = [sys.executable, "-c", "from hoopwright.cli.main import app; app()"]
    words = shlex.join([*tool, "scan", str(project), str(inch_scan)])
    json_too = subprocess.run(
        ["sh", "-c", f"{words} --json {closed}"], check=False, capture_output=True, text=True
    )
    assert json_too.returncode == 1
    assert json.loads(json_too.stdout)["findings"][0]["code"] == "SCAN-012"
    plain = subprocess.run(["sh", "-c", f"{words} {closed}"], check=False, capture_output=True, text=True)
    assert plain.returncode == 1
    assert "Traceback" not in plain.stderr


def test_a_terminal_of_few_letters_loses_letters_and_not_the_result(project):
    tool = [sys.executable, "-c", "from hoopwright.cli.main import app; app()"]
    few = {**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"}
    samples = project.parent / "grün.toml"
    samples.write_text(_FEW, encoding="utf-8")
    for more in ((), ("--json",)):
        made = subprocess.run(
            [*tool, "calibrate", str(samples), *more], check=False, capture_output=True, env=few
        )
        assert made.returncode == 0, made.stderr
    assert json.loads(made.stdout)["name"] == "grün"


@pytest.mark.slow
def test_answers_are_taken(hoopwright, project, inch_scan, at_terminal):
    ran = hoopwright.run("scan", project, inch_scan, typed="in\n+x\n")
    assert ran.status == 0, ran.err
    assert "unit [mm/cm/m/in/ft] [in]" in ran.err
    assert "nose [" in ran.err
    assert "unit [" not in ran.out
    keys = hoopwright.keys("scan", project)
    assert keys["unit"] == "in"
    assert keys["size_mm"] == pytest.approx([1800.0, 1360.0, 1118.0], abs=0.5)


def test_return_takes_the_proposal(hoopwright, project, inch_scan, at_terminal):
    ran = hoopwright.run("scan", project, inch_scan, "--as-given", typed="\n")
    assert ran.status == 0, ran.err
    assert hoopwright.keys("scan", project)["unit"] == "in"


def test_other_answer_than_the_proposal_counts(hoopwright, project, inch_scan, at_terminal):
    hoopwright.run("scan", project, inch_scan, "--as-given", typed="cm\n")
    keys = hoopwright.keys("scan", project)
    assert keys["unit"] == "cm"
    assert max(keys["size_mm"]) == pytest.approx(1800.0 / 2.54, rel=1e-3)


def test_answer_that_is_none_stops(hoopwright, project, inch_scan, at_terminal):
    ran = hoopwright.run("scan", project, inch_scan, typed="yards\n")
    assert ran.status == 1
    assert "'yards' is no unit" in ran.err


def test_json_never_asks(hoopwright, project, inch_scan, at_terminal):
    assert hoopwright.stops("scan", project, inch_scan) == ["SCAN-012"]


@pytest.mark.slow
def test_yes_takes_every_proposal_and_says_so(hoopwright, project, inch_scan):
    ran = hoopwright.run("scan", project, inch_scan, "--yes", "--json")
    assert ran.status == 0
    assert ran.keys["unit"] == "in"
    assert "Taken: in." in ran.err
    assert "Which way is forward" in ran.err


@pytest.mark.slow
@pytest.mark.parametrize("nose", ["+x", "-x", "x"])
def test_nose_turns_the_car(hoopwright, project, inch_scan, nose):
    keys = hoopwright.keys("scan", project, inch_scan, "--unit", "in", "--nose", nose)
    assert keys["size_mm"] == pytest.approx([1800.0, 1360.0, 1118.0], abs=0.5)


@pytest.mark.parametrize("nose", ["north", "+w", ""])
def test_nose_that_is_no_axis_stops(hoopwright, project, inch_scan, nose):
    code = hoopwright.stops("scan", project, inch_scan, "--unit", "in", "--nose", nose)
    assert code == (["SCAN-016"])


@pytest.mark.slow
def test_nose_across_the_car_stops(hoopwright, project, inch_scan):
    assert hoopwright.stops("scan", project, inch_scan, "--unit", "in", "--nose", "+z") == ["SCAN-021"]


@pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal")
@pytest.mark.slow
def test_questions_stay_on_screen_of_a_real_terminal(project, inch_scan):
    """The progress bar must not draw over a question while the person thinks."""
    import pty

    pid, terminal = pty.fork()
    if pid == 0:
        os.execv(sys.executable, [sys.executable, "-m", "hoopwright", "scan", str(project), str(inch_scan)])  # noqa: S606
    shown = _until(terminal, b"unit [mm/cm/m/in/ft] [in]: ")
    time.sleep(1.0)
    os.set_blocking(terminal, False)
    with pytest.raises(BlockingIOError):
        os.read(terminal, 4096)
    os.set_blocking(terminal, True)
    os.write(terminal, b"in\n")
    shown += _until(terminal, b"nose [")
    os.write(terminal, b"+x\n")
    shown += _until(terminal, b"read as in")
    _until(terminal, None)
    assert os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) == 0
    assert b"Best guess: in." in shown


def _until(terminal, words):
    seen = b""
    while words is None or words not in seen:
        try:
            more = os.read(terminal, 4096)
        except OSError:
            more = b""
        if not more:
            assert words is None, seen
            break
        seen += more
    return seen
