"""An invented small hatchback, scanned: for the demo, the pictures and the benchmarks."""

from hoopwright.democar.car import DemoCar
from hoopwright.democar.defects import Hole
from hoopwright.democar.landmarks import Place, TrueDistance
from hoopwright.democar.scan import DemoScan, ScanPiece, build_demo_scan
from hoopwright.democar.scenario import DemoScenario, HiddenDie, TapeReading, demo_scenario, hidden_dies
from hoopwright.democar.stl import write_binary_stl

__all__ = [
    "DemoCar",
    "DemoScan",
    "DemoScenario",
    "HiddenDie",
    "Hole",
    "Place",
    "ScanPiece",
    "TapeReading",
    "TrueDistance",
    "build_demo_scan",
    "demo_scenario",
    "hidden_dies",
    "write_binary_stl",
]
