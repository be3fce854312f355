"""How `cage-v1.json` was made; kept as a file so that later versions still open what this one wrote.

Run once with the version that writes format 1, never again: the file is the test data, not this script.
"""

from pathlib import Path

import numpy as np

from hoopwright.cage import Cage, End, Limits, Member, Role, add_member, mirror_member
from hoopwright.geometry import Transform
from hoopwright.shell.records import NamedPlace, ScanLandmark, TapeDistance, TapePlace
from hoopwright.store.project import IssuedSheet, Project, ScanRecord
from hoopwright.store.schema import to_json
from hoopwright.tubes import TubeSize

TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)


def project() -> Project:
    cage = Cage(
        landmarks={"hoop_foot": (-1560.0, 610.0, 0.0)},
        limits=Limits(gap_mm=12.5, clamp_mm=70.0),
    )
    hoop = (
        (-1560.0, 610.0, 0.0),
        (-1560.0, 505.0, 1085.0),
        (-1560.0, -505.0, 1085.0),
        (-1560.0, -610.0, 0.0),
    )
    foot = End(kind="shell", trim_mm=30.0, landing_mm=100.0)
    cage = add_member(
        cage,
        Member(
            member_id="MH",
            role=Role.MAIN_HOOP,
            nodes_mm=hoop,
            tube=TUBE,
            die="45 × 137.5",
            clr_mm=137.5,
            end_a=foot,
            end_b=foot,
        ),
    )
    cage = add_member(
        cage,
        Member(
            member_id="SB-L",
            role=Role.SIDE_BAR,
            nodes_mm=((-350.0, 640.0, 60.0), (-880.0, 525.0, 1125.0), (-1560.0, 505.0, 1150.0)),
            tube=TUBE,
            die="45 × 137.5",
            clr_mm=137.5,
            end_a=foot,
            end_b=End(kind="bar", on="MH", trim_mm=15.0, landing_mm=60.0),
        ),
    )
    cage = mirror_member(cage, "SB-L", "SB-R")
    turn = np.array([[0.0, -1.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]])
    ends = (TapePlace(place_mm=(-900.0, 680.0, 600.0)), TapePlace(place_mm=(0.0, 0.0, 0.0), on_metal=False))
    return Project(
        name='Café "Renn"-Käfig',
        cage=cage,
        scan=ScanRecord(
            file="0123456789ab.stl",
            source_name="my scan (2).STL",
            sha256="0123456789ab" + "0" * 52,
            unit="in",
            to_vehicle=Transform(
                rotation=turn, shift_mm=np.array([1.5, -2.25, 1e-3]), source="scan", target="vehicle"
            ),
            aligned_by="landmarks",
            landmarks=(
                ScanLandmark(name="left strut", scan_mm=(1.0, 2.0, 3.0), up_mm=850.0, twin="right strut"),
                ScanLandmark(name="right strut", scan_mm=(1.0, -2.0, 3.0), forward_mm=-800.0, left_mm=-560.0),
            ),
            residual_mm=0.7,
        ),
        tape=(
            TapeDistance(name="width", tape_mm=1360.0, from_place=ends[0], to_place=ends[1]),
            TapeDistance(name="width", tape_mm=1361.0, from_place=ends[0], to_place=ends[1]),
        ),
        named_places=(NamedPlace(name="driver's door", place_mm=(-900.0, 680.0, 300.0)),),
        issued=(IssuedSheet(bar_id="MH", revision=1, identity="ab12", date="2026-01-31"),),
    )


if __name__ == "__main__":
    (Path(__file__).parent / "cage-v1.json").write_bytes(to_json(project(), 3))
