"""The bender as it stands in its room."""

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from hoopwright.bender.machine import Swing
from hoopwright.bender.room.solids import BENDERS_OWN, Solid, box, post
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.units import MM_PER_INCH

LOWEST_USUAL_AXIS_MM = 150.0
"""Below this a height was most likely typed in inches."""

_FARTHEST_MM = 100_000.0
# axis of the machine frame, the way in which all else then moves along it, and the wall on the other side
_WALLS = {
    "ahead": (0, 1.0, "behind"),
    "behind": (0, -1.0, "ahead"),
    "left": (1, 1.0, "right"),
    "right": (1, -1.0, "left"),
}
_TALLEST_AXIS_MM = 10_000.0
_UNDER_DIE_MM, _FRAME_LENGTH_MM, _FRAME_WIDTH_MM = 60.0, 300.0, 300.0


@dataclass(frozen=True, kw_only=True)
class SetUp:
    """One way in which the bender can be set up.

    Args:
        swings: Which way the leading end swings, seen from above while the bend plane is level.
        tilt_deg: How far the bend plane is turned about the feed; 0 is level, 90 is upright with the right
            side (as seen from the tail) up, -90 with the left side up.
    """

    swings: Swing
    tilt_deg: float

    @property
    def name(self) -> str:
        """In words."""
        turned = "level" if self.tilt_deg == 0.0 else f"tilted {self.tilt_deg:g}°"
        return f"{self.swings}, {turned}"


@dataclass(frozen=True, kw_only=True)
class StandingBender:
    """A rotary-draw bender as it stands, and the room round it.

    The frame is `machine`: origin on the die's axis at the level of the tube's axis, ahead is the way in which
    the tube is fed, left and up as seen from the tail; up is upright, however the bend plane is tilted. Walls
    and the ceiling that are None are not known and are not checked.

    Args:
        name: What it is called in the shop.
        axis_height_mm: Height of the origin above the floor; of the tube's axis while the plane is level.
        clamp_mm: Straight that the clamp needs ahead of the bend.
        swings: Ways in which it can swing the leading end, seen from above.
        tilts_deg: Tilts at which it can stand.
        tail_mm: Straight that what holds the tail needs behind the bend; the clamp's length if None.
        die_clr_mm: Centreline radius of the die that is on it, if that is to be held against the bar.
        keep_clear_mm: Clearance that is wanted to everything.
        ceiling_mm: Height of the ceiling above the floor.
        ahead_mm: From the die's axis to the wall ahead.
        behind_mm: To the wall behind the tail.
        left_mm: To the wall on the left.
        right_mm: To the wall on the right.
        solids: What stands about it: in the room, its own head and frame, where the operator stands.

    Raises:
        UserError: `ROOM-001` for numbers that cannot be.
    """

    name: str
    axis_height_mm: float
    clamp_mm: float
    swings: tuple[Swing, ...] = ("clockwise",)
    tilts_deg: tuple[float, ...] = (0.0,)
    tail_mm: float | None = None
    die_clr_mm: float | None = None
    keep_clear_mm: float = 0.0
    ceiling_mm: float | None = None
    ahead_mm: float | None = None
    behind_mm: float | None = None
    left_mm: float | None = None
    right_mm: float | None = None
    solids: tuple[Solid, ...] = ()

    def __post_init__(self) -> None:
        faults = tuple(_faults(self))
        if faults:
            raise UserError(*(_refused(self.name, fault) for fault in faults))

    @property
    def set_ups(self) -> tuple[SetUp, ...]:
        """Every way in which it can be set up, the first one first."""
        return tuple(
            SetUp(swings=swing, tilt_deg=tilt)
            for tilt, swing in itertools.product(self.tilts_deg, self.swings)
        )

    @property
    def tail_needed_mm(self) -> float:
        """Straight that what holds the tail needs."""
        return self.clamp_mm if self.tail_mm is None else self.tail_mm

    @property
    def walls(self) -> dict[str, float | None]:
        """Distance from the die's axis to each wall, by the side it is on; None where it is not known."""
        return {
            "ahead": self.ahead_mm,
            "behind": self.behind_mm,
            "left": self.left_mm,
            "right": self.right_mm,
        }

    def lifted(self, by_mm: float) -> "StandingBender":
        """The bender stood higher: what stands in the room stays where it is."""
        moved = tuple(_shifted(solid, 2, -by_mm) for solid in self.solids)
        return replace(self, axis_height_mm=self.axis_height_mm + by_mm, solids=moved)

    def shifted(self, from_wall: str, by_mm: float) -> "StandingBender | None":
        """The bender moved away from a wall; None where that takes it into the opposite one."""
        axis, way, opposite = _WALLS[from_wall]
        far = self.walls[opposite]
        near = self.walls[from_wall]
        if near is None or (far is not None and far <= by_mm):
            return None
        moved: dict[str, Any] = {
            f"{from_wall}_mm": near + by_mm,
            f"{opposite}_mm": None if far is None else far - by_mm,
        }
        solids = tuple(_shifted(solid, axis, way * by_mm) for solid in self.solids)
        return replace(self, solids=solids, **moved)


def plain_solids(clr_mm: float, axis_height_mm: float, tilt_deg: float) -> tuple[Solid, ...]:
    """A die and a pedestal, where nobody has said what the bender looks like.

    The die's rim is taken to reach to the tube's axis, and the pedestal to stand 60 mm under it; both are common
    practice, no source. On a tilted bender the pedestal stands upright, under the die's lowest place.
    """
    under = _UNDER_DIE_MM + clr_mm * abs(math.sin(math.radians(tilt_deg)))
    tall = max(axis_height_mm - under, 1.0)
    middle = (0.0, 0.0, -under - tall / 2.0)
    return (
        post("die", "head", (0.0, 0.0, 0.0), diameter_mm=2.0 * clr_mm, height_mm=2.0 * _UNDER_DIE_MM),
        box("pedestal", "frame", middle, (_FRAME_LENGTH_MM, _FRAME_WIDTH_MM, tall)),
    )


def own_solids(bender: StandingBender, clr_mm: float, tilt_deg: float) -> tuple[Solid, ...]:
    """The bender's own solids, or plain ones where nobody has given any."""
    own = tuple(solid for solid in bender.solids if solid.stands in BENDERS_OWN)
    return own or plain_solids(clr_mm, bender.axis_height_mm, tilt_deg)


def doubts(bender: StandingBender) -> tuple[Finding, ...]:
    """What can be but is most likely a slip, such as inches typed as mm."""
    if bender.axis_height_mm >= LOWEST_USUAL_AXIS_MM:
        return ()
    inches_mm = bender.axis_height_mm * MM_PER_INCH
    return (
        Finding(
            code="ROOM-002",
            sentence=f"Bender {bender.name}: the axis {bender.axis_height_mm:g} mm above the floor is very low; "
            f"as inches it would be {inches_mm:.0f} mm.",
            todo=f'If it was measured in inches, type the unit with every length: "{bender.axis_height_mm:g} in".',
            objects=(bender.name,),
            measured=bender.axis_height_mm,
            limit=LOWEST_USUAL_AXIS_MM,
            unit="mm",
        ),
    )


def _faults(bender: StandingBender) -> Iterator[str]:
    if not 0.0 < bender.axis_height_mm <= _TALLEST_AXIS_MM:
        yield f"the axis cannot be {bender.axis_height_mm:g} mm above the floor"
    for what, number in (("clamp", bender.clamp_mm), ("tail", bender.tail_needed_mm)):
        if not 0.0 <= number < 5000.0:
            yield f"the {what} cannot need a straight of {number:g} mm"
    if not 0.0 <= bender.keep_clear_mm <= 1000.0:
        yield f"a wanted clearance of {bender.keep_clear_mm:g} mm cannot be"
    if bender.die_clr_mm is not None and not 0.0 < bender.die_clr_mm <= 5000.0:
        yield f"a die of radius {bender.die_clr_mm:g} mm cannot be"
    if not bender.swings or not set(bender.swings) <= {"clockwise", "anticlockwise"}:
        yield f"it cannot swing {', '.join(bender.swings) or 'no way'}; say clockwise, anticlockwise or both"
    if not bender.tilts_deg or not all(-180.0 < tilt <= 180.0 for tilt in bender.tilts_deg):
        yield f"a tilt of {', '.join(f'{tilt:g}' for tilt in bender.tilts_deg) or 'nothing'}° cannot be"
    yield from _room_faults(bender)
    for solid in bender.solids:
        yield from solid.faults()


def _room_faults(bender: StandingBender) -> Iterator[str]:
    ceiling = bender.ceiling_mm
    if ceiling is not None and not bender.axis_height_mm < ceiling <= _FARTHEST_MM:
        yield (
            f"the ceiling at {ceiling:g} mm is not above the axis at {bender.axis_height_mm:g} mm, "
            "or over 100 m"
        )
    for side, distance in bender.walls.items():
        if distance is not None and not 0.0 < distance <= _FARTHEST_MM:
            yield f"the wall {side} cannot be {distance:g} mm from the die's axis"


def _refused(name: str, fault: str) -> Finding:
    return Finding(
        code="ROOM-001",
        severity=Severity.STOP,
        sentence=f"Bender {name}: {fault}.",
        todo="Measure from the die's axis and from the floor, in mm or with a unit.",
        objects=(name,),
    )


def _shifted(solid: Solid, axis: int, by_mm: float) -> Solid:
    """A solid of the room moved along one axis of the machine frame; the bender's own stay."""
    if solid.stands in BENDERS_OWN:
        return solid
    middle, size = list(solid.middle_mm), list(solid.size_mm)
    middle[axis] += by_mm
    if solid.kind == "rail":
        size[axis] += by_mm
    return replace(solid, middle_mm=(middle[0], middle[1], middle[2]), size_mm=(size[0], size[1], size[2]))
