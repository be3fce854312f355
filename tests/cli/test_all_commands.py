"""What holds of every command: help, what it imports, exit status, where words go."""

import json
import os
import subprocess
import sys

import pytest
from typer.main import get_command

from hoopwright.cli.main import app

HEAVY = ("numpy", "numba", "scipy", "reportlab", "pypdf", "PIL", "segno", "sqlalchemy", "alembic")


def every_command(group, words=()):
    for name, command in group.commands.items():
        yield (*words, name)
        if hasattr(command, "commands"):
            yield from every_command(command, (*words, name))


COMMANDS = sorted(every_command(get_command(app)))


def test_the_promised_commands_are_there():
    names = {words[0] for words in COMMANDS}
    assert names >= {"table", "calibrate", "command", "tube", "demo", "new", "scan", "check", "sheets"}


@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
def test_help(hoopwright, words):
    ran = hoopwright.run(*words, "--help")
    assert ran.status == 0
    assert "Usage" in ran.out
    assert "--help" in ran.out


def test_help_imports_nothing_heavy():
    """Every help page in one process; then what it has loaded."""
    program = (
        "import sys\nfrom typer.testing import CliRunner\nfrom hoopwright.cli.main import app\n"
        f"for words in {[list(words) for words in COMMANDS]!r}:\n"
        "    assert CliRunner().invoke(app, [*words, '--help']).exit_code == 0, words\n"
        f"print([name for name in {HEAVY!r} if name in sys.modules])\n"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completion_can_be_shown(shell):
    """As the shell's own start-up file asks for it."""
    asked = os.environ | {"_HOOPWRIGHT_COMPLETE": f"source_{shell}"}
    done = subprocess.run(
        [sys.executable, "-c", "from hoopwright.cli.main import app; app(prog_name='hoopwright')"],
        capture_output=True, text=True, check=False, env=asked,
    )  # fmt: skip
    assert done.returncode == 0
    assert "hoopwright" in done.stdout
    assert "COMPLETE" in done.stdout


def test_completion_completes():
    asked = os.environ | {
        "_HOOPWRIGHT_COMPLETE": "complete_bash",
        "COMP_WORDS": "hoopwright ca",
        "COMP_CWORD": "1",
    }
    done = subprocess.run(
        [sys.executable, "-c", "from hoopwright.cli.main import app; app(prog_name='hoopwright')"],
        capture_output=True, text=True, check=False, env=asked,
    )  # fmt: skip
    assert done.stdout.split() == ["calibrate", "car"]


@pytest.mark.parametrize(
    "words",
    [
        ("nonsense",),
        ("table",),
        ("tube", "45"),
        ("tube", "45", "2.5", "--colour", "red"),
        ("bar", "move", "p", "MH", "two", "0,0,0"),
        ("check", "p", "--bends", "b.csv"),
    ],
)
def test_wrong_use_is_status_2_on_stderr(hoopwright, words):
    ran = hoopwright.run(*words)
    assert ran.status == 2
    assert ran.out == ""
    assert ran.err


def test_stop_is_status_1_with_words_on_stderr(hoopwright):
    ran = hoopwright.run("tube", "45", "30")
    assert ran.status == 1
    assert ran.out == ""
    assert ran.err.startswith("STOP TUBE-001")
    assert "->" in ran.err


def test_stop_with_json_has_findings_alone(hoopwright):
    ran = hoopwright.run("tube", "45", "30", "--json")
    assert ran.status == 1
    assert ran.err == ""
    assert set(ran.keys) == {"findings"}
    (finding,) = ran.keys["findings"]
    assert set(finding) == {
        "code",
        "severity",
        "sentence",
        "todo",
        "objects",
        "point_mm",
        "measured",
        "limit",
        "unit",
    }


def test_findings_that_do_not_stop_are_status_0(hoopwright, samples, tmp_path):
    file = tmp_path / "no_u.toml"
    file.write_text(samples.read_text().partition("[[u]]")[0], encoding="utf-8")
    keys = hoopwright.keys("calibrate", file)
    assert "warning" in {finding["severity"] for finding in keys["findings"]}
    told = hoopwright.run("calibrate", file)
    assert told.status == 0
    assert "warning CAL-020" in told.err
    assert "CAL-020" not in told.out


GROUPS = {words[:k] for words in COMMANDS for k in range(1, len(words))}


@pytest.mark.parametrize("words", [words for words in COMMANDS if words not in GROUPS], ids=" ".join)
def test_every_command_knows_json(words):
    command = get_command(app)
    for word in words:
        command = command.commands[word]
    assert "--json" in {option for parameter in command.params for option in parameter.opts}


def test_json_is_alone_on_stdout_of_a_real_process(tmp_path):
    """No progress or words, even from libraries, get between."""
    program = [sys.executable, "-m", "hoopwright"]
    done = subprocess.run([*program, "new", tmp_path / "car", "--json"], capture_output=True, check=True)
    assert json.loads(done.stdout)["name"] == "car"
    assert done.stderr == b""
    none = subprocess.run([*program, "scan", tmp_path / "car", "--json"], capture_output=True, check=False)
    assert none.returncode == 1
    assert json.loads(none.stdout)["findings"][0]["code"] == "SCAN-014"
