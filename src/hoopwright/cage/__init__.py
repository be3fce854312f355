"""The cage as it is meant: members, landmarks, limits, and edits that can be undone."""

from hoopwright.cage.aimed import aimed_at_existing
from hoopwright.cage.cage import Cage, Limits
from hoopwright.cage.car import Car, WeightBasis, check_car
from hoopwright.cage.driver import Driver, check_driver, padded_bodies
from hoopwright.cage.driver_edits import clear_driver, driver_of, remove_driver, set_driver
from hoopwright.cage.edits import (
    add_member,
    add_node,
    free_from_mirror,
    mirror_member,
    move_node,
    remove_member,
    remove_node,
    replace_member,
)
from hoopwright.cage.existing import touched_by, with_existing
from hoopwright.cage.follow import Followed, follow
from hoopwright.cage.gusset_edits import add_gusset, on_other_side, remove_gusset
from hoopwright.cage.hole import HOLE_EDGE_MM, HOLE_ROOM_MM, Hole, check_hole, usual_hole_mm
from hoopwright.cage.hole_edits import BarHole, add_hole, holes_gone_along, holes_of, remove_hole
from hoopwright.cage.landing import USUAL_K_RATIO, EndLetter, Gusset, GussetKind, Landing, LandingKind
from hoopwright.cage.landing_edits import (
    Foot,
    check_landing,
    feet_of,
    free_ends_of,
    landing_at,
    put_landing,
    remove_landing,
)
from hoopwright.cage.meeting import Clash, EndMeeting, clashes, end_meetings
from hoopwright.cage.member import (
    JOINT_LANDING_MM,
    SHELL_LANDING_MM,
    End,
    FitNote,
    Member,
    Role,
    Side,
    landing_on,
)
from hoopwright.cage.resolve import bar_of, bars_of, drawn_bar, side_of

__all__ = [
    "HOLE_EDGE_MM",
    "HOLE_ROOM_MM",
    "JOINT_LANDING_MM",
    "SHELL_LANDING_MM",
    "USUAL_K_RATIO",
    "BarHole",
    "Cage",
    "Car",
    "Clash",
    "Driver",
    "End",
    "EndLetter",
    "EndMeeting",
    "FitNote",
    "Followed",
    "Foot",
    "Gusset",
    "GussetKind",
    "Hole",
    "Landing",
    "LandingKind",
    "Limits",
    "Member",
    "Role",
    "Side",
    "WeightBasis",
    "add_gusset",
    "add_hole",
    "add_member",
    "add_node",
    "aimed_at_existing",
    "bar_of",
    "bars_of",
    "check_car",
    "check_driver",
    "check_hole",
    "check_landing",
    "clashes",
    "clear_driver",
    "drawn_bar",
    "driver_of",
    "end_meetings",
    "feet_of",
    "follow",
    "free_ends_of",
    "free_from_mirror",
    "holes_gone_along",
    "holes_of",
    "landing_at",
    "landing_on",
    "mirror_member",
    "move_node",
    "on_other_side",
    "padded_bodies",
    "put_landing",
    "remove_driver",
    "remove_gusset",
    "remove_hole",
    "remove_landing",
    "remove_member",
    "remove_node",
    "replace_member",
    "set_driver",
    "side_of",
    "touched_by",
    "usual_hole_mm",
    "with_existing",
]
