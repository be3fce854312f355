"""The bender in its room: whether a bar goes through it, in which order, fed from which end."""

from hoopwright.bender.room.files import read_room, room_from_keys, room_from_text
from hoopwright.bender.room.found import FoundOrder, OrderSearch
from hoopwright.bender.room.keys import room_as_keys
from hoopwright.bender.room.search import find_order
from hoopwright.bender.room.solids import Solid
from hoopwright.bender.room.standing import SetUp, StandingBender
from hoopwright.bender.room.step_check import BendingTask, Clearance, StepCheck

__all__ = [
    "BendingTask",
    "Clearance",
    "FoundOrder",
    "OrderSearch",
    "SetUp",
    "Solid",
    "StandingBender",
    "StepCheck",
    "find_order",
    "read_room",
    "room_as_keys",
    "room_from_keys",
    "room_from_text",
]
