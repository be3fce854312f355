"""The project file: its shape, its version, and the way to and from the project in memory."""

import json
from types import MappingProxyType
from typing import Any

import numpy as np
from pydantic import ValidationError

from hoopwright.cage import (
    Cage,
    Driver,
    End,
    FitNote,
    Gusset,
    Hole,
    Landing,
    Limits,
    Member,
    check_driver,
    check_hole,
    check_landing,
)
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.geometry import Transform
from hoopwright.shell.records import NamedPlace, ScanLandmark, TapeDistance, TapePlace
from hoopwright.store.bent_records import bent_keys, bent_record
from hoopwright.store.build_keys import car_keys, car_of
from hoopwright.store.build_records import BookPin, HandAnswer, HandMeasure, LogLine, Photo, TubeUsed
from hoopwright.store.file_keys import (
    SCHEMA_VERSION,
    FileKeys,
    MemberKeys,
    ScanKeys,
    TapeKeys,
)
from hoopwright.store.project import IssuedSheet, Project, ScanRecord
from hoopwright.store.upgrades import upgraded
from hoopwright.tubes import TubeSize


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
        "landings": [vars(landing) for landing in cage.landings],
        "gussets": [vars(gusset) for gusset in cage.gussets],
        "order": list(cage.order),
        "scan": None if project.scan is None else _scan_keys(project.scan),
        "tape": [_tape_keys(distance) for distance in project.tape],
        "named_places": [vars(place) for place in project.named_places],
        "issued": [vars(sheet) for sheet in project.issued],
        "as_bent": [bent_keys(record) for record in project.as_bent],
        "swings": project.swings,
        "car": car_keys(project.car),
        "book": None if project.book is None else vars(project.book),
        "answers": [vars(answer) for answer in project.answers],
        "measures": [vars(measure) for measure in project.measures],
        "photos": [vars(photo) for photo in project.photos],
        "log_lines": [vars(line) for line in project.log_lines],
        "tubes_used": [vars(used) for used in project.tubes_used],
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
        return _checked(FileKeys.model_validate(upgraded(keys)), file_name)
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"])
        raise _damaged(file_name, f"{where}: {first['msg']}") from None
    except (ValueError, UnicodeDecodeError, RecursionError) as error:
        raise _damaged(file_name, str(error)[:200]) from None


def _checked(file: FileKeys, file_name: str) -> tuple[Project, int]:
    try:
        return _project(file), file.step
    except UserError as error:
        raise _damaged(file_name, error.findings[0].sentence) from None


def _check_links(members: tuple[MemberKeys, ...]) -> None:
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


def _check_made_parts(cage: Cage) -> None:
    """Raises ValueError or UserError where a landing, a gusset or the order names a bar that cannot have it."""
    for landing in cage.landings:
        if cage.member(landing.bar_id).mirror_of is not None:
            msg = f"a landing is for bar {landing.bar_id}, which mirrors another"
            raise ValueError(msg)
        check_landing(landing)
    for gusset in cage.gussets:
        cage.member(gusset.bar_id)
        if gusset.other is not None:
            cage.member(gusset.other)
    for name in cage.order:
        cage.member(name)


def _project(file: FileKeys) -> Project:
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
        landings=tuple(Landing(**dict(landing)) for landing in file.landings),
        gussets=tuple(Gusset(**dict(gusset)) for gusset in file.gussets),
        order=file.order,
    )
    _check_holes(cage)
    _check_made_parts(cage)
    return Project(
        name=file.name,
        cage=cage,
        scan=None if file.scan is None else _scan(file.scan),
        tape=tuple(_tape(tape) for tape in file.tape),
        named_places=tuple(NamedPlace(name=p.name, place_mm=p.place_mm) for p in file.named_places),
        issued=tuple(IssuedSheet(**dict(sheet)) for sheet in file.issued),
        as_bent=tuple(bent_record(record) for record in file.as_bent),
        swings=file.swings,
        car=car_of(file.car),
        book=None if file.book is None else BookPin(**dict(file.book)),
        answers=tuple(HandAnswer(**dict(answer)) for answer in file.answers),
        measures=tuple(HandMeasure(**dict(measure)) for measure in file.measures),
        photos=tuple(Photo(**dict(photo)) for photo in file.photos),
        log_lines=tuple(LogLine(**dict(line)) for line in file.log_lines),
        tubes_used=tuple(TubeUsed(**dict(used)) for used in file.tubes_used),
    )


def _member_keys(member: Member) -> dict[str, Any]:
    keys = {
        name: getattr(member, name)
        for name in (
            "member_id",
            "role",
            "nodes_mm",
            "mirror_of",
            "die",
            "clr_mm",
            "steel",
            "leg_mm",
            "leg_from",
        )
    }
    keys |= {"od_mm": member.tube.od_mm, "wall_mm": member.tube.wall_mm}
    keys |= {"end_a": vars(member.end_a), "end_b": vars(member.end_b)}
    return keys | {"fit": None if member.fit is None else vars(member.fit)}


def _member(keys: MemberKeys) -> Member:
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
        steel=keys.steel,
        leg_mm=keys.leg_mm,
        leg_from=keys.leg_from,
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


def _scan(keys: ScanKeys) -> ScanRecord:
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


def _tape(keys: TapeKeys) -> TapeDistance:
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
