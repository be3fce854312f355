"""The one rule by which numbers are rounded for people, against decimal arithmetic on what was typed."""

import re
import subprocess
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hoopwright.cli.check_rows import check_table
from hoopwright.findings import Verdict
from hoopwright.jobs.dossier.amounts import amount, area, fine
from hoopwright.jobs.rows import CheckRow
from hoopwright.papers.step_words import slope_words
from hoopwright.papers.words import figure, measure, signed_angle
from hoopwright.rules.show import Show
from hoopwright.units import format_angle, format_inches, format_length, nearest, shown

ROOT = Path(__file__).parents[2]
VIEW = ROOT / "viewport"
CASES = (
    137.25,
    137.24999999999997,
    137.2500000001,
    0.15,
    0.25,
    -0.04,
    -0.05,
    2.675,
    1e15,
    0.0,
    99.95,
    -12.345,
)


@given(st.decimals(-100_000, 100_000, places=4), st.integers(0, 3))
def test_a_typed_number_rounds_as_in_decimal_arithmetic(typed, decimals):
    wanted = typed.quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP)
    assert Decimal(shown(float(typed), decimals)) == wanted
    assert shown(float(typed), decimals) == f"{wanted + 0 if wanted else abs(wanted):.{decimals}f}"


@given(st.floats(-1e6, 1e6), st.integers(0, 3))
def test_what_is_shown_is_at_most_half_a_step_off_and_mirrors(value, decimals):
    words = shown(value, decimals)
    assert abs(float(words) - value) <= 0.5 * 10.0**-decimals + 1e-8
    assert float(shown(-value, decimals)) == -float(words)


def test_one_radius_reads_the_same_wherever_it_stands():
    """A radius of 137.25 once stood as 137.2 on a sheet and as 137.3 on the screen."""
    radius_mm = 137.25
    told = (format_length(radius_mm), figure(radius_mm, "mm"), measure(radius_mm, "mm"))
    assert {words.removesuffix(" mm") for words in (*told, Show().measured(radius_mm, "mm"))} == {"137.3"}
    assert format_length(137.24999999999997) == "137.3 mm"
    assert format_angle(0.25) == "0.3°"
    assert signed_angle(-0.125) == "-0.13°"
    assert format_inches(25.4 / 32) == '1/16"'
    assert nearest(2.5) == 3


def test_a_number_of_an_array_is_a_number():
    assert shown(np.float64(137.25), 1) == "137.3"
    assert shown(np.float32(0.5), 0) == "1"


def test_what_is_no_number_does_not_stop_the_words():
    assert shown(float("nan"), 1) == "nan"
    assert shown(float("-inf"), 1) == "-inf"


def test_no_radius_is_rounded_in_another_way():
    """Radii are printed in many places, and come as halves of a tenth from diameters."""
    other = re.compile(r"(clr|radius)\w*\s*(?::[+.]|,\s*[0-3]\))")
    found = [
        f"{file.name}:{number}"
        for file in (ROOT / "src" / "hoopwright").rglob("*.py")
        for number, line in enumerate(file.read_text(encoding="utf-8").splitlines(), start=1)
        if other.search(line) and not re.search(r"(format_length|shown|figure|measure)\(", line)
    ]
    assert found == []


TO_PEOPLE = (
    *(
        "papers",
        "jobs/dossier",
        "jobs/rule_facts",
        "rules",
        "jobs/quote*.py",
        "jobs/checks.py",
        "jobs/*_checks.py",
    ),
    *("jobs/driver_rows.py", "jobs/hole_rows.py", "cli/check*.py", "cli/sheets.py", "cli/quote_text.py"),
    *("cli/cuts_text.py", "cli/stock_text.py", "bender/sheet*.py", "web/picks.py", "web/entries.py"),
    *("web/number_entries.py", "web/panels/joints.py", "web/panels/landings.py", "web/panels/gussets.py"),
    *("web/panels/cost.py", "web/panels/fit_words.py", "web/panels/tape.py", "web/panels/tubes.py"),
)
NOT_WORDS = {"svg.py", "step_file.py"}
"""Coordinates of drawings and colours of solids: read by programs."""
OTHER_FORMAT = re.compile(r"\{[^{}]*:[+<>^]*\d*\.(?:\d|\{\w+\})f\}")


def test_sheets_files_quotes_and_checks_round_in_no_other_way():
    found = [
        f"{file.name}:{number}"
        for place in TO_PEOPLE
        for whole in (ROOT / "src" / "hoopwright").glob(place)
        for file in (whole.rglob("*.py") if whole.is_dir() else [whole])
        for number, line in enumerate(file.read_text(encoding="utf-8").splitlines(), start=1)
        if file.name not in NOT_WORDS and OTHER_FORMAT.search(line)
    ]
    assert found == []
    assert all(list((ROOT / "src" / "hoopwright").glob(place)) for place in TO_PEOPLE)


@pytest.mark.parametrize(
    "line",
    ['f"{gap_mm:.1f} mm"', 'f"{over:+.2f}°"', 'f"{gap:7.1f}"', 'f"{a:>8.0f}"', 'f"{value:.{places}f}"'],
)
def test_another_rounding_would_be_seen(line):
    assert OTHER_FORMAT.search(line)


def test_halves_read_alike_in_the_file_the_check_and_on_sheets():
    """By the common formats 137.25 read 137.2, 0.125 kg 0.12 and 0.25° 0.2°."""
    assert fine(137.25, "mm") == "137.3 mm"
    assert fine(25.4 * 0.0625, "in") == '0.063"'
    assert amount(0.125, "deg", "mm") == "0.13°"
    assert amount(0.125, "kg", "mm") == "0.13 kg"
    assert area(1225.0, "mm") == "12.3 cm²"
    assert slope_words(-0.25) == "0.3° down"
    assert slope_words(0.04) == "level"
    row = CheckRow(about="MH", check="gap", verdict=Verdict.PASS, measured=137.25, limit=100.0, unit="mm")
    assert "137.3" in check_table("bar", [row])


@pytest.mark.slow
def test_the_screen_at_the_bender_follows_the_same_rule(tmp_path):
    if not (VIEW / "node_modules" / "esbuild").is_dir():
        pytest.skip("what the screen is built with is not installed: npm ci in viewport/")
    built = tmp_path / "shown.mjs"
    script = (
        f"import {{ build }} from 'esbuild';"
        f"await build({{ entryPoints: ['src-screen/shown.ts'], format: 'esm', outfile: {str(built)!r} }});"
        f"const {{ asShown }} = await import({str(built)!r});"
        f"for (const value of [{', '.join(map(repr, CASES))}]) console.log(asShown(value, 1), asShown(value, 2));"
    )
    (VIEW / "asking.tmp.mjs").write_text(script, encoding="utf-8")
    try:
        told = subprocess.run(
            ["node", "asking.tmp.mjs"], cwd=VIEW, capture_output=True, text=True, check=True, timeout=60
        ).stdout
    finally:
        (VIEW / "asking.tmp.mjs").unlink()
    assert told.split() == [shown(value, places) for value in CASES for places in (1, 2)]
