"""The keys of a project file, as pydantic reads and refuses them."""

from typing import Annotated, Literal

from pydantic import Field

from hoopwright.cage import USUAL_K_RATIO, GussetKind, LandingKind, Role
from hoopwright.store.bent_records import BentKeys
from hoopwright.store.build_keys import (
    AnswerKeys,
    BookKeys,
    CarKeys,
    HandMeasureKeys,
    LogLineKeys,
    PhotoKeys,
    TubeUsedKeys,
)
from hoopwright.store.file_kinds import BarId, FileModel, FileName, Number, Place
from hoopwright.store.project import AlignedBy

SCHEMA_VERSION = 7


class EndKeys(FileModel):
    """End of a bar."""

    kind: Literal["shell", "bar", "free"]
    on: str | None = None
    trim_mm: Number = 0.0
    landing_mm: Number = 0.0


class FitNoteKeys(FileModel):
    """How a bar was fitted."""

    seed: int
    gap_mm: Number
    bends: int


class DriverKeys(FileModel):
    """A driver, as measured."""

    name: str
    helmet_mm: Place | None = None
    helmet_radius_mm: Number | None = None
    eye_mm: Place | None = None
    shoulder_mm: Place | None = None
    guide_mm: Place | None = None
    hip_mm: Place | None = None
    knee_mm: Place | None = None
    shin_mm: Place | None = None
    wheel_mm: Place | None = None
    wheel_radius_mm: Number | None = None
    wheel_tilt_deg: Number | None = None
    padding_mm: Number = 0.0


class HoleKeys(FileModel):
    """A hole that is cut for a bar."""

    bar_id: BarId
    place_mm: Place
    diameter_mm: Number
    deep_mm: Number


class LandingKeys(FileModel):
    """What is made where a leg stands on the shell."""

    bar_id: BarId
    end: Literal["A", "B"]
    kind: LandingKind
    length_mm: Number | None = None
    width_mm: Number | None = None
    thickness_mm: Number
    height_mm: Number = 0.0
    turn_deg: Number = 0.0
    bolts: Annotated[int, Field(ge=0, le=64, strict=True)] = 0
    bolt_mm: Number = 0.0
    area_mm2: Number | None = None
    wall_mm: Number | None = None
    inside_radius_mm: Number | None = None
    k_ratio: Number = USUAL_K_RATIO
    most_folds: Annotated[int, Field(ge=0, le=8, strict=True)] = 2
    is_square: bool = False


class GussetKeys(FileModel):
    """A gusset between bars, or a tie to the shell."""

    name: str
    kind: GussetKind
    bar_id: BarId
    other: BarId | None = None
    place_mm: Place
    leg_mm: Number
    thickness_mm: Number
    hole_mm: Number = 0.0


class MemberKeys(FileModel):
    """A bar, as meant."""

    member_id: BarId
    role: Role
    nodes_mm: tuple[Place, ...]
    mirror_of: str | None
    od_mm: Number
    wall_mm: Number
    die: str
    clr_mm: Number
    end_a: EndKeys
    end_b: EndKeys
    fit: FitNoteKeys | None = None
    steel: str = ""
    leg_mm: Number | None = None
    leg_from: Literal["A", "B"] = "A"


class LandmarkKeys(FileModel):
    """A place found both in the scan and on the car."""

    name: str
    scan_mm: Place
    forward_mm: Number | None = None
    left_mm: Number | None = None
    up_mm: Number | None = None
    twin: str | None = None


class ScanKeys(FileModel):
    """The scan that the project is built in."""

    file: FileName
    source_name: str
    sha256: str
    unit: Literal["mm", "cm", "m", "in", "ft"]
    rotation: tuple[Place, Place, Place]
    shift_mm: Place
    aligned_by: AlignedBy
    landmarks: tuple[LandmarkKeys, ...] = ()
    residual_mm: Number = 0.0


class TapePlaceKeys(FileModel):
    """Where the tape was held."""

    place_mm: Place
    on_metal: bool


class TapeKeys(FileModel):
    """A tape distance, as typed."""

    name: str
    tape_mm: Number
    from_place: TapePlaceKeys
    to_place: TapePlaceKeys


class NamedPlaceKeys(FileModel):
    """A region that the person named."""

    name: str
    place_mm: Place


class IssuedKeys(FileModel):
    """A sheet that was issued."""

    bar_id: BarId
    revision: int
    identity: str
    date: str
    order: str = "auto"
    swings: Literal["clockwise", "anticlockwise"] = "clockwise"


class FileKeys(FileModel):
    """The whole project file."""

    version: Annotated[int, Field(ge=SCHEMA_VERSION, le=SCHEMA_VERSION, strict=True)]
    step: Annotated[int, Field(ge=1, le=999_999, strict=True)]
    name: str
    gap_mm: Number
    clamp_mm: Number
    landmarks: dict[str, Place]
    members: tuple[MemberKeys, ...]
    drivers: tuple[DriverKeys, ...] = ()
    holes: tuple[HoleKeys, ...] = ()
    landings: tuple[LandingKeys, ...] = ()
    gussets: tuple[GussetKeys, ...] = ()
    order: tuple[BarId, ...] = ()
    scan: ScanKeys | None
    tape: tuple[TapeKeys, ...]
    named_places: tuple[NamedPlaceKeys, ...]
    issued: tuple[IssuedKeys, ...]
    as_bent: tuple[BentKeys, ...] = ()
    swings: Literal["clockwise", "anticlockwise"] | None = None
    car: CarKeys = Field(default_factory=CarKeys)
    book: BookKeys | None = None
    answers: tuple[AnswerKeys, ...] = ()
    measures: tuple[HandMeasureKeys, ...] = ()
    photos: tuple[PhotoKeys, ...] = ()
    log_lines: tuple[LogLineKeys, ...] = ()
    tubes_used: tuple[TubeUsedKeys, ...] = ()
