"""All sheets of the demo scan in one list."""

from hoopwright.democar.clutter_sheets import clutter_sheets
from hoopwright.democar.end_sheets import end_sheets, end_side_sheets
from hoopwright.democar.floor_sheets import floor_sheets, wheel_sheets
from hoopwright.democar.roof_sheets import parcel_ledge, roof_sheets
from hoopwright.democar.sheets import Sheet, other_side
from hoopwright.democar.side_sheets import side_sheets


def car_sheets() -> list[Sheet]:
    """The car alone: sheets across it, then left and right."""
    left = [*side_sheets(), *wheel_sheets(), parcel_ledge(), *end_side_sheets()]
    right = [other_side(sheet) for sheet in left]
    return [*floor_sheets(), *roof_sheets(), *end_sheets(), *left, *right]


def scan_sheets() -> list[Sheet]:
    """The car and what stands about it."""
    return [*car_sheets(), *clutter_sheets()]
