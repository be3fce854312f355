"""The keys of a room file: the bender as it stands, and what stands about it."""

from collections.abc import Iterator
from typing import Any, Literal

from pydantic import BaseModel, Field

from hoopwright.bender.machine import Swing
from hoopwright.bender.room.solids import Place, Solid, Standing, box, post, rail
from hoopwright.bender.room.standing import StandingBender
from hoopwright.bender.typed_keys import KnownKeys, TypedAngle, TypedLength, TypedText

_NO_CEILING_MM = 10_000.0
_PlaceList = tuple[TypedLength, TypedLength, TypedLength]


class _Post(KnownKeys):
    name: TypedText = "post"
    ahead_mm: TypedLength
    left_mm: TypedLength
    diameter_mm: TypedLength
    from_mm: TypedLength = 0.0
    height_mm: TypedLength | None = None

    def solid(self, floor_mm: float, ceiling_mm: float, stands: Standing = "room") -> Solid:
        tall = ceiling_mm - self.from_mm if self.height_mm is None else self.height_mm
        middle = (self.ahead_mm, self.left_mm, floor_mm + self.from_mm + tall / 2.0)
        return post(self.name, stands, middle, diameter_mm=self.diameter_mm, height_mm=tall)


class _OwnPost(_Post):
    height_mm: TypedLength


class _Operator(KnownKeys):
    name: TypedText = "operator's place"
    ahead_mm: TypedLength
    left_mm: TypedLength
    diameter_mm: TypedLength = 600.0
    from_mm: TypedLength = 0.0
    height_mm: TypedLength = 1900.0

    def solid(self, floor_mm: float) -> Solid:
        middle = (self.ahead_mm, self.left_mm, floor_mm + self.from_mm + self.height_mm / 2.0)
        return post(self.name, "operator", middle, diameter_mm=self.diameter_mm, height_mm=self.height_mm)


class _Box(KnownKeys):
    name: TypedText = "box"
    ahead_mm: TypedLength
    left_mm: TypedLength
    length_mm: TypedLength
    width_mm: TypedLength
    from_mm: TypedLength = 0.0
    height_mm: TypedLength
    turned_deg: TypedAngle = 0.0

    def solid(self, floor_mm: float, stands: Standing = "room") -> Solid:
        middle = (self.ahead_mm, self.left_mm, floor_mm + self.from_mm + self.height_mm / 2.0)
        size = (self.length_mm, self.width_mm, self.height_mm)
        return box(self.name, stands, middle, size, turned_deg=self.turned_deg)


class _Rail(KnownKeys):
    name: TypedText = "rail"
    start_mm: _PlaceList
    end_mm: _PlaceList
    diameter_mm: TypedLength

    def solid(self, floor_mm: float, stands: Standing = "room") -> Solid:
        start, end = ((ahead, left, up + floor_mm) for ahead, left, up in (self.start_mm, self.end_mm))
        return rail(self.name, stands, start, end, radius_mm=self.diameter_mm / 2.0)


class RoomFile(KnownKeys):
    """The file's keys. Heights in the room and on the frame are over the floor, on the head over the bend plane."""

    name: TypedText = "bender"
    axis_height_mm: TypedLength
    clamp_mm: TypedLength
    tail_mm: TypedLength | None = None
    swings: Literal["clockwise", "anticlockwise", "both"]
    tilt_deg: TypedAngle | list[TypedAngle] = 0.0
    die_clr_mm: TypedLength | None = None
    keep_clear_mm: TypedLength = 0.0
    ceiling_mm: TypedLength | None = None
    wall_ahead_mm: TypedLength | None = None
    wall_behind_mm: TypedLength | None = None
    wall_left_mm: TypedLength | None = None
    wall_right_mm: TypedLength | None = None
    post: list[_Post] = Field(default_factory=list)
    box: list[_Box] = Field(default_factory=list)
    rail: list[_Rail] = Field(default_factory=list)
    operator: list[_Operator] = Field(default_factory=list)
    head_post: list[_OwnPost] = Field(default_factory=list)
    head_box: list[_Box] = Field(default_factory=list)
    head_rail: list[_Rail] = Field(default_factory=list)
    frame_post: list[_OwnPost] = Field(default_factory=list)
    frame_box: list[_Box] = Field(default_factory=list)
    frame_rail: list[_Rail] = Field(default_factory=list)

    def bender(self) -> StandingBender:
        """The bender as the rest of the tool sees it.

        Raises:
            UserError: `ROOM-001` for numbers that cannot be.
        """
        both: tuple[Swing, ...] = ("clockwise", "anticlockwise")
        return StandingBender(
            name=self.name,
            axis_height_mm=self.axis_height_mm,
            clamp_mm=self.clamp_mm,
            swings=both if self.swings == "both" else (self.swings,),
            tilts_deg=tuple(self.tilt_deg) if isinstance(self.tilt_deg, list) else (self.tilt_deg,),
            tail_mm=self.tail_mm,
            die_clr_mm=self.die_clr_mm,
            keep_clear_mm=self.keep_clear_mm,
            ceiling_mm=self.ceiling_mm,
            ahead_mm=self.wall_ahead_mm,
            behind_mm=self.wall_behind_mm,
            left_mm=self.wall_left_mm,
            right_mm=self.wall_right_mm,
            solids=tuple(self._solids()),
        )

    def _solids(self) -> Iterator[Solid]:
        floor = -self.axis_height_mm
        ceiling = _NO_CEILING_MM if self.ceiling_mm is None else self.ceiling_mm
        yield from (one.solid(floor, ceiling) for one in self.post)
        yield from (one.solid(floor) for one in self.box)
        yield from (one.solid(floor) for one in self.rail)
        yield from (one.solid(floor) for one in self.operator)
        yield from (one.solid(0.0, 0.0, "head") for one in self.head_post)
        yield from (one.solid(0.0, "head") for one in self.head_box)
        yield from (one.solid(0.0, "head") for one in self.head_rail)
        yield from (one.solid(floor, 0.0, "frame") for one in self.frame_post)
        yield from (one.solid(floor, "frame") for one in self.frame_box)
        yield from (one.solid(floor, "frame") for one in self.frame_rail)


def room_as_keys(bender: StandingBender) -> dict[str, Any]:
    """The keys of the room file as plain values, as `room_from_keys` reads them; what is not known is left out."""
    keys: dict[str, Any] = {
        "name": bender.name,
        "axis_height_mm": bender.axis_height_mm,
        "clamp_mm": bender.clamp_mm,
        "tail_mm": bender.tail_mm,
        "swings": "both" if len(set(bender.swings)) > 1 else bender.swings[0],
        "tilt_deg": list(bender.tilts_deg),
        "die_clr_mm": bender.die_clr_mm,
        "keep_clear_mm": bender.keep_clear_mm,
        "ceiling_mm": bender.ceiling_mm,
        **{f"wall_{side}_mm": distance for side, distance in bender.walls.items()},
    }
    for solid in bender.solids:
        floor = 0.0 if solid.stands == "head" else -bender.axis_height_mm
        table = {"operator": "operator", "room": solid.kind}.get(solid.stands, f"{solid.stands}_{solid.kind}")
        keys.setdefault(table, []).append(_solid_keys(solid, floor))
    return {key: value for key, value in keys.items() if value is not None}


def _solid_keys(solid: Solid, floor_mm: float) -> dict[str, Any]:
    if solid.kind == "rail":
        start, end = (_over(place, floor_mm) for place in (solid.middle_mm, solid.size_mm))
        return {
            "name": solid.name,
            "start_mm": start,
            "end_mm": end,
            "diameter_mm": 2.0 * solid.radius_mm,
        }
    length, width, tall = solid.size_mm
    ahead, left, up = solid.middle_mm
    keys = {
        "name": solid.name,
        "ahead_mm": ahead,
        "left_mm": left,
        "from_mm": up - tall / 2.0 - floor_mm,
        "height_mm": tall,
    }
    if solid.kind == "post":
        return {**keys, "diameter_mm": length}
    return {**keys, "length_mm": length, "width_mm": width, "turned_deg": solid.turned_deg}


def _over(place: Place, floor_mm: float) -> list[float]:
    return [place[0], place[1], place[2] - floor_mm]


ROOM_TABLES: tuple[tuple[str, type[BaseModel]], ...] = (
    ("post", _Post),
    ("box", _Box),
    ("rail", _Rail),
    ("operator", _Operator),
    ("head_post", _OwnPost),
    ("head_box", _Box),
    ("head_rail", _Rail),
    ("frame_post", _OwnPost),
    ("frame_box", _Box),
    ("frame_rail", _Rail),
)
