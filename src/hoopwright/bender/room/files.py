"""The room file: TOML, read with every fault named."""

import difflib
import tomllib
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from hoopwright.bender.room.keys import ROOM_TABLES, RoomFile
from hoopwright.bender.room.standing import StandingBender
from hoopwright.findings import Finding, Severity, UserError

LARGEST_FILE_BYTES = 1_000_000
EXAMPLE = """\
# The bender as it stands. Bare lengths are mm; others in quotes with their unit: "35 in", "2' 11 1/2\\"".
# All is measured from the die's axis: ahead is the way in which the tube is fed, left is as seen from the tail.
name = "floor bender"
axis_height_mm = 900        # floor to the middle of the tube in the die
clamp_mm = 120              # straight that the clamp needs ahead of the bend
# tail_mm = 120             # straight that what holds the tail needs behind the bend; the clamp's length if left out
swings = "clockwise"        # the leading end, seen from above: clockwise, anticlockwise or both
tilt_deg = 0                # 0 level; 90 upright, right side (seen from the tail) up; [0, 90] where both can be
keep_clear_mm = 20          # clearance that you want to everything

# The room. What is left out is not checked.
ceiling_mm = 2400           # over the floor
wall_ahead_mm = 3500
wall_behind_mm = 4000
wall_left_mm = 1800
wall_right_mm = 2500

[[operator]]                # where you stand: you are warned, it is not refused
ahead_mm = -600
left_mm = -700

[[post]]                    # up to the ceiling unless height_mm is given
name = "steel post"
ahead_mm = 1500
left_mm = 1400
diameter_mm = 150

[[box]]                     # ahead and left of its middle; from_mm is its lower side over the floor
name = "bench"
ahead_mm = -1800
left_mm = 1300
length_mm = 1500
width_mm = 700
height_mm = 850

# [[rail]]                  # a pipe or beam, from place to place: ahead, left, over the floor
# start_mm = [-2000, -1500, 2300]
# end_mm = [3000, -1500, 2300]
# diameter_mm = 60

# The bender's own solids. On its head, which tilts with the bend plane, heights are over (negative: under) that
# plane; on its frame, which does not tilt, over the floor. Without any, a round die and a pedestal are taken.
# [[head_post]]
# name = "die"
# ahead_mm = 0
# left_mm = 0
# diameter_mm = 275
# from_mm = -40
# height_mm = 80
# [[frame_box]]
# name = "frame"
# ahead_mm = -300
# left_mm = 0
# length_mm = 900
# width_mm = 300
# height_mm = 800
"""


def read_room(path: Path) -> StandingBender:
    """A bender and its room from a TOML file.

    Raises:
        UserError: `ROOM-003` when the file cannot be read as TOML, `ROOM-004` for keys that are unknown, missing or
            unreadable, `ROOM-001` for numbers that cannot be.
    """
    try:
        if path.stat().st_size > LARGEST_FILE_BYTES:
            raise _refuse(path.name, "it is over 1 MB, which is no room file")
        text = path.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise _refuse(path.name, error.strerror or "it cannot be read") from None
    except UnicodeDecodeError:
        raise _refuse(path.name, "it is not a text file") from None
    return room_from_text(text, path.name)


def room_from_text(text: str, file_name: str) -> StandingBender:
    """A bender from the text of a room file; raises as `read_room`."""
    try:
        keys = tomllib.loads(text)
    except (ValueError, RecursionError) as error:  # syntax; endless numbers and lists
        raise _refuse(file_name, f"it is not a room file: {error}") from None
    return room_from_keys(keys, file_name)


def room_from_keys(keys: Mapping[str, Any], source: str) -> StandingBender:
    """A bender from the keys of a room file; raises as `read_room`, naming the `source`."""
    try:
        return RoomFile.model_validate(dict(keys)).bender()
    except ValidationError as error:
        raise UserError(*(_fault(source, fault) for fault in error.errors()[:20])) from None
    except UserError as error:
        raise UserError(
            *(replace(one, sentence=f"{source}: {one.sentence}") for one in error.findings)
        ) from None


def _fault(source: str, fault: ErrorDetails) -> Finding:
    names = [
        part for part in fault["loc"] if isinstance(part, str) and not part.startswith(("list", "function"))
    ]
    numbers = [part for part in fault["loc"] if isinstance(part, int)]
    key = names[-1] if names else "?"
    in_table = len(names) > 1 and bool(numbers)
    place = f"[[{names[0]}]] number {numbers[0] + 1}: " if in_table else ""
    known = list(dict(ROOM_TABLES)[names[0]].model_fields if in_table else RoomFile.model_fields)
    if fault["type"] == "extra_forbidden":
        near = difflib.get_close_matches(key, known, n=1, cutoff=0.5)
        what, todo = f"'{key}' is not a key of a room file", f"Known keys here: {', '.join(known)}."
        todo = f"Did you mean '{near[0]}'? {todo}" if near else todo
    elif fault["type"] == "missing":
        what, todo = f"'{key}' is missing", f"Add {key} = ..."
    else:
        what = f"{key}: {fault['msg'].removeprefix('Value error, ')}"
        todo = "Type a number, or a number with a unit in quotes; 'hoopwright order --example' prints a whole file."
    return Finding(
        code="ROOM-004",
        severity=Severity.STOP,
        sentence=f"{source}: {place}{what}.",
        todo=todo,
        objects=(source, key),
    )


def _refuse(file_name: str, what: str) -> UserError:
    return UserError(
        Finding(
            code="ROOM-003",
            severity=Severity.STOP,
            sentence=f"{file_name}: {what}.",
            todo="'hoopwright order --example' prints a room file to fill in.",
            objects=(file_name,),
        )
    )
