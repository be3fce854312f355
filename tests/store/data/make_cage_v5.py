"""How `cage-v5.json` was made: what version 4 held, with a landing, a gusset and an order; kept as the file is.

Run once with the version that writes format 5, never again: the file is the test data, not this script.
"""

import sys
from dataclasses import replace
from pathlib import Path

from hoopwright.cage import Gusset, GussetKind, Landing, LandingKind
from hoopwright.store.schema import from_json, to_json

HERE = Path(__file__).parent


def main() -> None:
    project, step = from_json((HERE / "cage-v4.json").read_bytes(), "cage-v4.json")
    landing = Landing(bar_id="SB-L", end="A", kind=LandingKind.BOX, height_mm=50.0, bolts=4, bolt_mm=8.0)
    gusset = Gusset(
        name="G1",
        kind=GussetKind.FLAT,
        bar_id="SB-L",
        other="MH",
        place_mm=(-1500.0, 600.0, 1100.0),
        leg_mm=90.0,
        thickness_mm=2.0,
    )
    cage = replace(project.cage, landings=(landing,), gussets=(gusset,), order=("MH", "SB-L"))
    (HERE / "cage-v5.json").write_bytes(to_json(replace(project, cage=cage), step))


if __name__ == "__main__":
    sys.exit(main())
