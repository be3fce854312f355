"""Weld reach: what a torch reaches of every joint, and where a cage stands while the rest is welded."""

from hoopwright.joints.reach.legs import Leg
from hoopwright.joints.reach.moving import Move, Nearest, Place
from hoopwright.joints.reach.plan import plan_welding
from hoopwright.joints.reach.plate_obstacles import plate_triangles
from hoopwright.joints.reach.reached import SeamReach, reach_of
from hoopwright.joints.reach.room_over import RoomOver
from hoopwright.joints.reach.seam import WeldSeam, seam_on_bar, seam_on_plane
from hoopwright.joints.reach.stations import Part, Station
from hoopwright.joints.reach.steps import PlanStep, names_when, place_words, plan_steps
from hoopwright.joints.reach.taking import with_pedestals
from hoopwright.joints.reach.told import plan_findings
from hoopwright.joints.reach.torch import Torch, check_torch
from hoopwright.joints.reach.weld_plan import JointReach, WeldPlan, When
from hoopwright.joints.reach.wish import Wish, check_wish

__all__ = [
    "JointReach",
    "Leg",
    "Move",
    "Nearest",
    "Part",
    "Place",
    "PlanStep",
    "RoomOver",
    "SeamReach",
    "Station",
    "Torch",
    "WeldPlan",
    "WeldSeam",
    "When",
    "Wish",
    "check_torch",
    "check_wish",
    "names_when",
    "place_words",
    "plan_findings",
    "plan_steps",
    "plan_welding",
    "plate_triangles",
    "reach_of",
    "seam_on_bar",
    "seam_on_plane",
    "with_pedestals",
]
