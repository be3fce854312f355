"""A five-million-triangle STL from file to searchable shell, against a bare numpy read of the same file.

    python -m benchmarks.big_scan [--triangles 5000000]

The scan is the demo car at a fine spacing. Each figure comes from a process of its own, so that peak memory is its own.
"""

import argparse
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from benchmarks.timing import best_of, line

_SPACING_OF_5M_MM = 3.78


def main() -> None:
    """Make the scan, then measure in fresh processes."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--triangles", type=float, default=5e6)
    parser.add_argument("--inside", nargs=2, help=argparse.SUPPRESS)
    arguments = parser.parse_args()
    if arguments.inside:
        _STAGES[arguments.inside[0]](Path(arguments.inside[1]))
        return
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "car.stl"
        _make(file, arguments.triangles)
        for stage in _STAGES:
            subprocess.run(
                [sys.executable, "-m", "benchmarks.big_scan", "--inside", stage, str(file)], check=True
            )


def _make(file: Path, triangles: float) -> None:
    from hoopwright.democar import DemoCar, build_demo_scan, write_binary_stl

    spacing = _SPACING_OF_5M_MM * (5e6 / triangles) ** 0.5
    made = build_demo_scan(DemoCar(spacing_mm=spacing)).triangles
    write_binary_stl(file, made)
    print(f"{len(made):,} triangles, {file.stat().st_size / 1e6:.0f} MB")


def _warm() -> None:
    """Compile or load the kernels before anything is timed."""
    import numpy as np

    from hoopwright.democar import DemoCar, build_demo_scan
    from hoopwright.shell.axes import propose_axes
    from hoopwright.shell.prepared import prepare_scan
    from hoopwright.shell.scan import Scan
    from hoopwright.shell.weld import weld_corners

    points, triangles = weld_corners(build_demo_scan(DemoCar(spacing_mm=40.0)).triangles)
    scan = Scan(
        points=points,
        triangles=triangles,
        offset=np.zeros(3),
        declared_unit=None,
        declared_by="",
        source_name="warm",
    )
    prepared = prepare_scan(scan, "mm")
    propose_axes(prepared.tree, prepared.surfels)


def _read_and_search(file: Path) -> None:
    import numpy as np

    from hoopwright.shell.readers import read_scan
    from hoopwright.shell.tree import build_tree

    record = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])

    def bare() -> object:
        return np.ascontiguousarray(np.fromfile(file, dtype=record, offset=84)["corners"])

    def ours() -> object:
        scan = read_scan(file)
        return build_tree(scan.points, scan.triangles)

    _warm()
    ours()
    reference, taken = best_of(bare), best_of(ours)
    line("bare numpy read", reference, "s", "reference")
    line("read, weld, search tree", taken, "s", f"8 x {reference:.3f} s")
    line("ratio", taken / reference, "x", "at most 8")


def _whole(file: Path) -> None:
    from hoopwright.shell.axes import propose_axes
    from hoopwright.shell.display import make_display_mesh
    from hoopwright.shell.prepared import prepare_scan
    from hoopwright.shell.readers import read_scan

    _warm()
    start = time.perf_counter()
    scan = read_scan(file)
    prepared = prepare_scan(scan, "mm")
    usable = time.perf_counter() - start
    propose_axes(prepared.tree, prepared.surfels)
    aligned = time.perf_counter() - start
    make_display_mesh(scan, 1.0)
    whole = time.perf_counter() - start
    line("usable: read, cleaned, searched, regions", usable, "s", "before the display mesh")
    line("with vehicle axes by symmetry", aligned, "s", "")
    line("with the display mesh", whole, "s", "under 30 s")
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
    line("peak memory over the file's size", peak / file.stat().st_size, "x", "at most 6")


def _reopen(file: Path) -> None:
    from hoopwright.geometry import Transform
    from hoopwright.shell.cache import load_prepared, save_prepared
    from hoopwright.shell.prepared import prepare_scan
    from hoopwright.shell.readers import read_scan
    from hoopwright.shell.shell import make_shell

    _warm()
    folder = file.parent / "cache"
    save_prepared(prepare_scan(read_scan(file), "mm"), folder, "key")

    def reopen() -> object:
        prepared = load_prepared(folder, "key")
        assert prepared is not None
        return make_shell(prepared, Transform.identity("scan", "vehicle"))

    line("reopening the prepared scan", best_of(reopen, runs=3), "s", "under 1 s")


_STAGES = {"read": _read_and_search, "whole": _whole, "reopen": _reopen}

if __name__ == "__main__":
    main()
