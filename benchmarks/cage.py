"""Gaps of a 20-bar cage, one bar again, bend tables, and the sheets of 20 bars.

    python -m benchmarks.cage [--triangles 1700000]

The shell is the demo car, refined to the class of a real body's full model.
"""

import argparse
import tempfile
from dataclasses import replace
from pathlib import Path

import numpy as np

from benchmarks.timing import best_of, line
from hoopwright.bars import Bar, bend_table
from hoopwright.bender import Machine, fit_calibration, make_bar_sheet, samples_from_text
from hoopwright.democar import DemoCar, DemoScan, build_demo_scan
from hoopwright.democar.scenario import demo_scenario
from hoopwright.fitting.measuring import as_tube, measure_bar
from hoopwright.papers import CarBar, CarLines, bar_pages, overview_pages, pdf_bytes
from hoopwright.shell.clearance import measure_gaps
from hoopwright.shell.prepared import prepare_scan
from hoopwright.shell.scan import Scan
from hoopwright.shell.shell import Shell, make_shell
from hoopwright.shell.weld import weld_corners
from hoopwright.tubes import TubeSize

_SPACING_OF_5M_MM = 3.78
_SIDE_BAR = (
    (-1020.0, 600.0, 60.0),
    (-1090.0, 640.0, 560.0),
    (-1480.0, 520.0, 1010.0),
    (-2100.0, 420.0, 1060.0),
)


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--triangles", type=float, default=1.7e6)
    shell, scan = _shell(parser.parse_args().triangles)
    bars = _twenty_bars()
    tubes = [as_tube(bar, landing_a_mm=100.0, landing_b_mm=60.0) for bar in bars]
    metres = sum(tube.path.length_mm for tube in tubes) / 1000.0
    print(f"{len(scan.triangles):,} triangles; 20 bars, {metres:.1f} m")
    measure_gaps(shell, tubes)
    line("gaps of 20 bars, sampled every 2 mm", best_of(lambda: measure_gaps(shell, tubes)), "s", "under 1 s")
    line("gaps of one bar again", 1e3 * best_of(lambda: measure_bar(shell, bars[0])), "ms", "under 30 ms")
    line("bend table of one bar", 1e3 * best_of(lambda: bend_table(bars[0])), "ms", "under 1 ms")
    line("sheets of 20 bars as PDF, with overview", best_of(lambda: _sheets(bars), runs=3), "s", "under 5 s")


def _shell(triangles: float) -> tuple[Shell, DemoScan]:
    scan = build_demo_scan(DemoCar(spacing_mm=_SPACING_OF_5M_MM * (5e6 / triangles) ** 0.5))
    points, faces = weld_corners(scan.triangles)
    read = Scan(
        points=points,
        triangles=faces,
        offset=np.zeros(3),
        declared_unit=None,
        declared_by="",
        source_name="car",
    )
    return make_shell(prepare_scan(read, "mm"), scan.pose.inverse()), scan


def _twenty_bars() -> list[Bar]:
    """Side bars and their mirrors, each a little farther in, so that no two are alike."""
    first = Bar(name="B", nodes_mm=_SIDE_BAR, clr_mm=137.5, tube=TubeSize(od_mm=45.0, wall_mm=2.5))
    shifts = [np.array([12.0 * k, -9.0 * k, -7.0 * k]) for k in range(10)]
    bars = []
    for number, shift in enumerate(shifts):
        left = replace(first, name=f"L{number}").with_nodes(first.nodes + shift)
        bars += [left, replace(left, name=f"R{number}").with_nodes(left.nodes * [1.0, -1.0, 1.0])]
    return bars


def _sheets(bars: list[Bar]) -> int:
    text = demo_scenario().sample_bends["samples_45.toml"]
    calibration = fit_calibration(samples_from_text(text, "samples_45.toml"))
    machine = Machine(name="bender", swings="clockwise", clamp_mm=60.0)
    sheets = [
        make_bar_sheet(
            bar,
            calibration,
            bar_id=bar.name,
            title="side bar",
            machine=machine,
            trim_a_mm=30.0,
            date="2026-01-01",
        )
        for bar in bars
    ]
    lines = CarLines(
        shell=(),
        bars=tuple(
            CarBar(bar_id=bar.name, title="side bar", side="", centreline=bar.nodes, od_mm=45.0)
            for bar in bars
        ),
    )
    pages = [page for sheet in sheets for page in bar_pages(sheet, lines, project="benchmark")]
    pages += overview_pages(lines, sheets, project="benchmark", date="2026-01-01")
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "sheets.pdf"
        file.write_bytes(pdf_bytes(pages, title="benchmark", date="2026-01-01"))
        return file.stat().st_size


if __name__ == "__main__":
    main()
