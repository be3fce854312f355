"""The project file: its shape, its version, and the way to and from the project in memory."""

import json
from types import MappingProxyType
from typing import Annotated, Any, Literal

import numpy as np
from pydantic import Field, ValidationError

from hoopwright.cage import (
    Cage,
    Driver,
    End,
    FitNote,
    Hole,
    Limits,
    Member,
    Role,
    check_driver,
    check_hole,
)
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.geometry import Transform
from hoopwright.shell.records import NamedPlace, ScanLandmark, TapeDistance, TapePlace
from hoopwright.store.bent_records import BentKeys, bent_keys, bent_record
from hoopwright.store.file_kinds import BarId, FileName, Number, Place
from hoopwright.store.file_kinds import FileModel as _Model
from hoopwright.store.project import AlignedBy, IssuedSheet, Project, ScanRecord
from hoopwright.tubes import TubeSize

SCHEMA_VERSION = 4


class _End(_Model):
    kind: Literal["shell", "bar", "free"]
    on: str | None = None
    trim_mm: Number = 0.0
    landing_mm: Number = 0.0


class _FitNote(_Model):
    seed: int
    gap_mm: Number
    bends: int


class _Driver(_Model):
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


class _Hole(_Model):
    bar_id: BarId
    place_mm: Place
    diameter_mm: Number
    deep_mm: Number


class _Member(_Model):
    member_id: BarId
    role: Role
    nodes_mm: tuple[Place, ...]
    mirror_of: str | None
    od_mm: Number
    wall_mm: Number
    die: str
    clr_mm: Number
    end_a: _End
    end_b: _End
    fit: _FitNote | None = None


class _Landmark(_Model):
    name: str
    scan_mm: Place
    forward_mm: Number | None = None
    left_mm: Number | None = None
    up_mm: Number | None = None
    twin: str | None = None


class _Scan(_Model):
    file: FileName
    source_name: str
    sha256: str
    unit: Literal["mm", "cm", "m", "in", "ft"]
    rotation: tuple[Place, Place, Place]
    shift_mm: Place
    aligned_by: AlignedBy
    landmarks: tuple[_Landmark, ...] = ()
    residual_mm: Number = 0.0


class _TapePlace(_Model):
    place_mm: Place
    on_metal: bool


class _Tape(_Model):
    name: str
    tape_mm: Number
    from_place: _TapePlace
    to_place: _TapePlace


class _NamedPlace(_Model):
    name: str
    place_mm: Place


class _Issued(_Model):
    bar_id: BarId
    revision: int
    identity: str
    date: str
    order: str = "auto"
    swings: Literal["clockwise", "anticlockwise"] = "clockwise"


class _File(_Model):
    version: Annotated[int, Field(ge=4, le=4, strict=True)]
    step: Annotated[int, Field(ge=1, le=999_999, strict=True)]
    name: str
    gap_mm: Number
    clamp_mm: Number
    landmarks: dict[str, Place]
    members: tuple[_Member, ...]
    drivers: tuple[_Driver, ...] = ()
    holes: tuple[_Hole, ...] = ()
    scan: _Scan | None
    tape: tuple[_Tape, ...]
    named_places: tuple[_NamedPlace, ...]
    issued: tuple[_Issued, ...]
    as_bent: tuple[BentKeys, ...] = ()
    swings: Literal["clockwise", "anticlockwise"] | None = None


def to_json(project: Project, step: int) -> bytes:
    """The project file's content; `step` is its place in the history."""
    cage = project.cage
    content: dict[str, Any] = {
        "version": SCHEMA_VERSION,
        "step": step,
        "name": project.name,
        "gap_mm": cage.limits.gap_mm,
        "clamp_mm": cage.limits.clamp_mm,
        "landmarks": dict(cage.landmarks),
        "members": [_member_keys(member) for member in cage.members],
        "drivers": [vars(driver) for driver in cage.drivers],
        "holes": [vars(hole) for hole in cage.holes],
        "scan": None if project.scan is None else _scan_keys(project.scan),
        "tape": [_tape_keys(distance) for distance in project.tape],
        "named_places": [vars(place) for place in project.named_places],
        "issued": [vars(sheet) for sheet in project.issued],
        "as_bent": [bent_keys(record) for record in project.as_bent],
        "swings": project.swings,
    }
    return json.dumps(content, indent=1, ensure_ascii=False, allow_nan=False).encode()


def from_json(content: bytes, file_name: str) -> tuple[Project, int]:
    """The project and its step in the history.

    Raises:
        UserError: `STORE-003` when the file is damaged, with the place; `STORE-004` when it was written by
            a newer version.
    """
    try:
        keys = json.loads(content)
        version = keys.get("version") if isinstance(keys, dict) else None
        if isinstance(version, int) and version > SCHEMA_VERSION:
            raise _newer(file_name, version)
        json.dumps(keys, ensure_ascii=False).encode()  # half a surrogate pair could not be saved again
        return _checked(_File.model_validate(upgraded(keys)), file_name)
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"])
        raise _damaged(file_name, f"{where}: {first['msg']}") from None
    except (ValueError, UnicodeDecodeError, RecursionError) as error:
        raise _damaged(file_name, str(error)[:200]) from None


def upgraded(keys: Any) -> Any:
    """The content of a project file in the present version, one step after the other.

    What is no project file at all is left for the reader to refuse.
    """
    steps = {1: _to_2, 2: _to_3, 3: _to_4}
    while isinstance(keys, dict) and type(keys.get("version")) is int and keys["version"] in steps:
        keys = steps[keys["version"]](keys)
    return keys


def _to_2(keys: dict[str, Any]) -> dict[str, Any]:
    """Version 2 knows drivers, and how a bar was fitted."""
    return {"drivers": [], **keys, "version": 2}


def _to_3(keys: dict[str, Any]) -> dict[str, Any]:
    """Version 3 knows the holes that are cut for bars."""
    return {"holes": [], **keys, "version": 3}


def _to_4(keys: dict[str, Any]) -> dict[str, Any]:
    """Version 4 knows bars as bent."""
    return {"as_bent": [], **keys, "version": 4}


def _checked(file: _File, file_name: str) -> tuple[Project, int]:
    try:
        return _project(file), file.step
    except UserError as error:
        raise _damaged(file_name, error.findings[0].sentence) from None


def _check_links(members: tuple[_Member, ...]) -> None:
    """Raises ValueError where members do not hang together."""
    by_id = {member.member_id: member for member in members}
    if len(by_id) < len(members):
        msg = "two bars have one name"
        raise ValueError(msg)
    for member in members:
        links = (member.mirror_of, member.end_a.on, member.end_b.on)
        missing = [on for on in links if on is not None and (on not in by_id or on == member.member_id)]
        source = None if missing or member.mirror_of is None else by_id[member.mirror_of]
        if missing or (source is not None and source.mirror_of is not None):
            msg = f"bar {member.member_id} hangs on {', '.join(missing) or member.mirror_of}, which it cannot"
            raise ValueError(msg)
        if member.mirror_of is None and len(member.nodes_mm) < 2:
            msg = f"bar {member.member_id} has {len(member.nodes_mm)} nodes"
            raise ValueError(msg)


def _check_holes(cage: Cage) -> None:
    """Raises ValueError or UserError where a hole cannot be, or is for a bar that has none of its own."""
    for hole in cage.holes:
        member = cage.member(hole.bar_id)
        if member.mirror_of is not None:
            msg = f"a hole is for bar {hole.bar_id}, which mirrors another"
            raise ValueError(msg)
        # a tube that was changed since is told by the check, not refused here
        check_hole(hole, 0.0)


def _project(file: _File) -> Project:
    _check_links(file.members)
    limits = Limits(gap_mm=file.gap_mm, clamp_mm=file.clamp_mm)
    drivers = tuple(Driver(**dict(driver)) for driver in file.drivers)
    for driver in drivers:
        check_driver(driver)
    if len({driver.name for driver in drivers}) < len(drivers):
        msg = "two drivers have one name"
        raise ValueError(msg)
    cage = Cage(
        members=tuple(_member(member) for member in file.members),
        landmarks=MappingProxyType(dict(file.landmarks)),
        limits=limits,
        drivers=drivers,
        holes=tuple(Hole(**dict(hole)) for hole in file.holes),
    )
    _check_holes(cage)
    return Project(
        name=file.name,
        cage=cage,
        scan=None if file.scan is None else _scan(file.scan),
        tape=tuple(_tape(tape) for tape in file.tape),
        named_places=tuple(NamedPlace(name=p.name, place_mm=p.place_mm) for p in file.named_places),
        issued=tuple(IssuedSheet(**dict(sheet)) for sheet in file.issued),
        as_bent=tuple(bent_record(record) for record in file.as_bent),
        swings=file.swings,
    )


def _member_keys(member: Member) -> dict[str, Any]:
    keys = {
        name: getattr(member, name)
        for name in ("member_id", "role", "nodes_mm", "mirror_of", "die", "clr_mm")
    }
    keys |= {"od_mm": member.tube.od_mm, "wall_mm": member.tube.wall_mm}
    keys |= {"end_a": vars(member.end_a), "end_b": vars(member.end_b)}
    return keys | {"fit": None if member.fit is None else vars(member.fit)}


def _member(keys: _Member) -> Member:
    return Member(
        member_id=keys.member_id,
        role=keys.role,
        nodes_mm=keys.nodes_mm,
        mirror_of=keys.mirror_of,
        tube=TubeSize(od_mm=keys.od_mm, wall_mm=keys.wall_mm),
        die=keys.die,
        clr_mm=keys.clr_mm,
        end_a=End(**dict(keys.end_a)),
        end_b=End(**dict(keys.end_b)),
        fit=None if keys.fit is None else FitNote(**dict(keys.fit)),
    )


def _scan_keys(scan: ScanRecord) -> dict[str, Any]:
    return {
        "file": scan.file,
        "source_name": scan.source_name,
        "sha256": scan.sha256,
        "unit": scan.unit,
        "rotation": scan.to_vehicle.rotation.tolist(),
        "shift_mm": scan.to_vehicle.shift_mm.tolist(),
        "aligned_by": scan.aligned_by,
        "landmarks": [vars(landmark) for landmark in scan.landmarks],
        "residual_mm": scan.residual_mm,
    }


def _scan(keys: _Scan) -> ScanRecord:
    return ScanRecord(
        file=keys.file,
        source_name=keys.source_name,
        sha256=keys.sha256,
        unit=keys.unit,
        to_vehicle=Transform(
            rotation=np.array(keys.rotation),
            shift_mm=np.array(keys.shift_mm),
            source="scan",
            target="vehicle",
        ),
        aligned_by=keys.aligned_by,
        landmarks=tuple(ScanLandmark(**dict(landmark)) for landmark in keys.landmarks),
        residual_mm=keys.residual_mm,
    )


def _tape_keys(distance: TapeDistance) -> dict[str, Any]:
    return {
        "name": distance.name,
        "tape_mm": distance.tape_mm,
        "from_place": vars(distance.from_place),
        "to_place": vars(distance.to_place),
    }


def _tape(keys: _Tape) -> TapeDistance:
    return TapeDistance(
        name=keys.name,
        tape_mm=keys.tape_mm,
        from_place=TapePlace(**dict(keys.from_place)),
        to_place=TapePlace(**dict(keys.to_place)),
    )


def _damaged(file_name: str, why: str) -> UserError:
    return UserError(
        Finding(
            code="STORE-003",
            severity=Severity.STOP,
            sentence=f"{file_name} is damaged or was changed by hand: {why}.",
            todo="Nothing was overwritten. Copy the last whole file of the history folder over it.",
            objects=(file_name,),
        )
    )


def _newer(file_name: str, version: int) -> UserError:
    return UserError(
        Finding(
            code="STORE-004",
            severity=Severity.STOP,
            sentence=f"{file_name} has format {version}; this version of the tool reads up to {SCHEMA_VERSION}.",
            todo="Use a newer version of the tool.",
            objects=(file_name,),
            measured=float(version),
            limit=float(SCHEMA_VERSION),
        )
    )
