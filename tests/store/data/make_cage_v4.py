"""How `cage-v4.json` was made: what version 3 held, with a bar as bent; kept as the file is.

Run once with the version that writes format 4, never again: the file is the test data, not this script.
"""

import sys
from dataclasses import replace
from pathlib import Path

from hoopwright.bars import BendTable
from hoopwright.store.project import AsBentRecord
from hoopwright.store.schema import from_json, to_json

HERE = Path(__file__).parent


def main() -> None:
    project, step = from_json((HERE / "cage-v3.json").read_bytes(), "cage-v3.json")
    table = BendTable(
        straights_mm=(467.6, 631.2, 617.0), rotations_deg=(0.0, -26.96), angles_deg=(31.9, 49.5), clr_mm=137.5
    )
    bent = AsBentRecord(bar_id="SB-L", source="scan", date="2026-03-15", table=table, file="side.ply")
    (HERE / "cage-v4.json").write_bytes(to_json(replace(project, as_bent=(bent,)), step))


if __name__ == "__main__":
    sys.exit(main())
