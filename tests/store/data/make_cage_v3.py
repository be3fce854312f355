"""How `cage-v3.json` was made: what version 2 held, with a hole for a bar; kept as the file is.

Run once with the version that writes format 3, never again: the file is the test data, not this script.
"""

import sys
from dataclasses import replace
from pathlib import Path

from hoopwright.cage import Hole, add_hole
from hoopwright.store.schema import from_json, to_json

HERE = Path(__file__).parent


def main() -> None:
    project, step = from_json((HERE / "cage-v2.json").read_bytes(), "cage-v2.json")
    hole = Hole(bar_id="SB-L", place_mm=(-600.0, 590.0, 600.0), diameter_mm=55.0, deep_mm=40.0)
    cage = add_hole(project.cage, hole)
    (HERE / "cage-v3.json").write_bytes(to_json(replace(project, cage=cage), step))


if __name__ == "__main__":
    sys.exit(main())
