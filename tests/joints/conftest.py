"""The cage of the demo car as laid out at radius 137.3 and 114.8, ends to a micrometre."""

import pytest

from hoopwright.cage import Cage, End, Member, Role
from hoopwright.tubes import TubeSize

# bar, role, mirror of, OD, what ends A and B land on, nodes
BARS = (
    (
        "MH",
        "main hoop",
        None,
        45.0,
        "shell",
        "shell",
        (
            (-2050.592403, 593.206366, 45.888914),
            (-2094.005089, 680.407322, 666.719246),
            (-2125.088585, 516.9369, 1111.233957),
            (-2125.088585, -516.9369, 1111.233957),
            (-2094.005089, -680.407322, 666.719246),
            (-2050.592403, -593.206366, 45.888914),
        ),
    ),
    (
        "SB-L",
        "side bar",
        None,
        45.0,
        "shell",
        "MH",
        (
            (-985.408469, 582.824649, 26.41941),
            (-984.919385, 731.780591, 707.735938),
            (-1299.307258, 544.284415, 1040.507553),
            (-2125.088585, 303.055178, 1111.233957),
        ),
    ),
    ("SB-R", "side bar", "SB-L", 45.0, "shell", "MH", ()),
    (
        "SC",
        "screen bar",
        None,
        38.0,
        "SB-L",
        "SB-R",
        ((-1375.541074, 522.014808, 1047.036816), (-1375.541074, -522.014808, 1047.036816)),
    ),
    (
        "BS-L",
        "backstay",
        None,
        38.0,
        "MH",
        "shell",
        ((-2125.088585, 420.918834, 1111.233957), (-2950.009846, 518.510867, 561.291146)),
    ),
    ("BS-R", "backstay", "BS-L", 38.0, "MH", "shell", ()),
    (
        "HD",
        "hoop diagonal",
        None,
        38.0,
        "MH",
        "MH",
        ((-2125.088585, -420.918834, 1111.233957), (-2056.118934, 604.307242, 124.921995)),
    ),
    (
        "HB-L",
        "harness bar",
        None,
        38.0,
        "MH",
        "HD",
        ((-2098.225055, 658.214206, 727.067575), (-2098.225055, -21.595489, 727.067575)),
    ),
    (
        "HB-R",
        "harness bar",
        None,
        38.0,
        "MH",
        "HD",
        ((-2098.225055, -658.214206, 727.067575), (-2098.225055, -21.595489, 727.067575)),
    ),
    (
        "SL-L",
        "sill bar",
        None,
        38.0,
        "SB-L",
        "MH",
        ((-985.318778, 610.14108, 151.363306), (-2057.337364, 606.754643, 142.346356)),
    ),
    ("SL-R", "sill bar", "SL-L", 38.0, "SB-R", "MH", ()),
    (
        "DB1-L",
        "door bar",
        None,
        38.0,
        "SB-L",
        "MH",
        ((-985.106916, 674.666006, 446.496872), (-2082.733381, 657.76639, 505.526319)),
    ),
    ("DB1-R", "door bar", "DB1-L", 38.0, "SB-R", "MH", ()),
    (
        "DB2-L",
        "door bar",
        None,
        38.0,
        "SB-L",
        "MH",
        ((-985.255662, 629.363689, 239.286496), (-2063.656133, 619.446846, 232.708951)),
    ),
    ("DB2-R", "door bar", "DB2-L", 38.0, "SB-R", "MH", ()),
    (
        "RB-L",
        "roof bar",
        None,
        38.0,
        "MH",
        "SC",
        ((-2125.088585, 243.055178, 1111.233957), (-1375.541074, 0.0, 1047.036816)),
    ),
    ("RB-R", "roof bar", "RB-L", 38.0, "MH", "SC", ()),
    (
        "DA",
        "dash bar",
        None,
        38.0,
        "SB-L",
        "SB-R",
        ((-984.990458, 710.134659, 608.728598), (-984.990458, -710.134659, 608.728598)),
    ),
)


def _end(on):
    if on in ("", "shell"):
        return End(kind="shell" if on else "free", trim_mm=30.0)
    return End(kind="bar", on=on, trim_mm=15.0)


@pytest.fixture(scope="session")
def demo_cage():
    members = [
        Member(
            member_id=name, role=Role(role), nodes_mm=nodes, mirror_of=mirror, die="d",
            tube=TubeSize(od_mm=od, wall_mm=2.5), clr_mm=137.3 if od == 45.0 else 114.8,
            end_a=_end(a), end_b=_end(b),
        )
        for name, role, mirror, od, a, b, nodes in BARS
    ]  # fmt: skip
    return Cage(members=tuple(members))
