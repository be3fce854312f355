"""How `cage-v2.json` was made: what version 1 held, with drivers and a fitted bar; kept as the file is.

Run once with the version that writes format 2, never again: the file is the test data, not this script.
"""

import sys
from dataclasses import replace
from pathlib import Path

from hoopwright.cage import Driver, FitNote, replace_member, set_driver
from hoopwright.store.schema import from_json, to_json

HERE = Path(__file__).parent


def main() -> None:
    project, step = from_json((HERE / "cage-v1.json").read_bytes(), "cage-v1.json")
    driver = Driver(
        name="Bøb", helmet_mm=(-1330.0, 350.5, 1010.0), helmet_radius_mm=140.0, hip_mm=(-1200.0, 350.5, 300.0),
        wheel_mm=(-700.0, 350.5, 620.0), wheel_radius_mm=175.0, padding_mm=25.0,
    )  # fmt: skip
    cage = set_driver(project.cage, driver)
    note = FitNote(seed=7, gap_mm=12.5, bends=1)
    cage = replace_member(cage, replace(cage.member("SB-L"), fit=note))
    (HERE / "cage-v2.json").write_bytes(to_json(replace(project, cage=cage, swings="clockwise"), step))


if __name__ == "__main__":
    sys.exit(main())
