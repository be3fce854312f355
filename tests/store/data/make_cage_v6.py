"""How `cage-v6.json` was made: what version 5 held, with steel and a leg from end A; kept as the file is.

Run once with the version that writes format 6, never again: the file is the test data, not this script.
"""

import sys
from dataclasses import replace
from pathlib import Path

from hoopwright.store.schema import from_json, to_json

HERE = Path(__file__).parent


def main() -> None:
    project, step = from_json((HERE / "cage-v5.json").read_bytes(), "cage-v5.json")
    members = tuple(replace(one, steel="E235 +N", leg_mm=640.0) for one in project.cage.members)
    (HERE / "cage-v6.json").write_bytes(
        to_json(replace(project, cage=replace(project.cage, members=members)), step)
    )


if __name__ == "__main__":
    sys.exit(main())
