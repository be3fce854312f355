"""An invented small hatchback, scanned: for the demo, the pictures and the benchmarks."""

from hoopwright.democar.car import DemoCar
from hoopwright.democar.defects import Hole
from hoopwright.democar.landmarks import Place, TrueDistance
from hoopwright.democar.scan import DemoScan, ScanPiece, build_demo_scan
from hoopwright.democar.stl import write_binary_stl

__all__ = [
    "DemoCar",
    "DemoScan",
    "Hole",
    "Place",
    "ScanPiece",
    "TrueDistance",
    "build_demo_scan",
    "write_binary_stl",
]
