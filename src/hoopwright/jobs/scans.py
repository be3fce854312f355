"""Taking a scan in: unit, vehicle axes, and what the person should know of it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.geometry import Transform, Vector
from hoopwright.jobs.questions import Ask, Question, answered, nobody
from hoopwright.jobs.shells import cache_key, open_shell
from hoopwright.progress import Progress, silent
from hoopwright.shell.axes import AxesProposal, ScanAxis, propose_axes
from hoopwright.shell.bodies import cars_apart
from hoopwright.shell.cache import content_hash, save_prepared
from hoopwright.shell.landmarks import align_by_landmarks
from hoopwright.shell.prepared import PreparedScan, prepare_scan
from hoopwright.shell.readers import read_scan
from hoopwright.shell.records import NamedPlace, ScanLandmark, TapeDistance
from hoopwright.shell.scan import Scan
from hoopwright.shell.shell import Shell
from hoopwright.shell.sides import SidesReport, compare_sides
from hoopwright.shell.sizing import UnitProposal, propose_units
from hoopwright.shell.tape import TapeResult, compare_tape
from hoopwright.store import Project, ProjectFolder, ScanRecord
from hoopwright.store.project import AlignedBy

_SIDES_MM = 2.0
_LEAST_MATCHED = 0.5
_UNITS = ("mm", "cm", "m", "in", "ft")
_UNIT_WORDS = MappingProxyType(
    {"mm": "millimetres", "cm": "centimetres", "m": "metres", "in": "inches", "ft": "feet"}
)


@dataclass(frozen=True, kw_only=True)
class ScanAnswers:
    """What the person says of a scan beforehand.

    Args:
        unit: mm, cm, m, in or ft.
        nose: The scan's own axis nearest to the car's nose.
        up: The scan's own axis nearest to up.
        as_given: The file is already in vehicle axes.
        landmarks: Places found both in the scan and on the car; axes are then taken from them.
    """

    unit: str | None = None
    nose: str | None = None
    up: str | None = None
    as_given: bool = False
    landmarks: tuple[ScanLandmark, ...] = ()


@dataclass(frozen=True, kw_only=True)
class ScanReport:
    """What is known of the project's scan.

    Args:
        source_name: Name of the file.
        unit: Confirmed unit.
        triangles: How many; 0 for a cloud.
        points: How many points a cloud has; 0 for a mesh.
        size_mm: Length, width and height in vehicle axes.
        aligned_by: How the axes were found.
        symmetry_share: Share of the metal that matches its mirror image; None unless found by symmetry.
        residual_mm: What the alignment left over.
        landmark_residuals_mm: By landmark.
        sides: Left against right.
        tape: Every tape distance against the scan.
        findings: What a person should know.
        taking_in: Those of them that only taking the file in could tell.
    """

    source_name: str
    unit: str
    triangles: int
    points: int
    size_mm: tuple[float, float, float]
    aligned_by: AlignedBy
    symmetry_share: float | None
    residual_mm: float
    landmark_residuals_mm: dict[str, float]
    sides: SidesReport | None
    tape: tuple[TapeResult, ...]
    findings: tuple[Finding, ...]
    taking_in: tuple[Finding, ...] = ()


def take_scan(
    folder: ProjectFolder, file: Path, answers: ScanAnswers, *, ask: Ask = nobody, progress: Progress = silent
) -> ScanReport:
    """Read a scan, settle its unit and axes with the person, and keep it in the project.

    Args:
        folder: The project.
        file: The scan.
        answers: What the person says beforehand.
        ask: Asks for the rest.
        progress: Told how far it is.

    Raises:
        UserError: When the file cannot be read, a question stays unanswered (`SCAN-012` unit, `SCAN-013`
            nose), two cars stand in it (`SCAN-036`), or no axes can be found. The project stays as it was.
    """
    opened = folder.open()
    progress("reading the scan", 0.0)
    scan = read_scan(file, progress=progress)
    unit = _settle_unit(scan, answers.unit, ask)
    prepared = prepare_scan(scan, unit, progress=progress)
    several = _several_cars(prepared, scan, answers)
    progress("finding the vehicle axes", 0.0)
    record, axes = _align(prepared, scan, unit, answers, ask)
    progress("keeping the scan", 0.0)
    digest = content_hash(file)
    record = replace(record, sha256=digest, file=folder.keep_scan(file, digest))
    save_prepared(prepared, folder.scans / f"{digest[:12]}.cache", cache_key(record))
    project = replace(opened.project, scan=record)
    folder.save(opened, project)
    shell = open_shell(folder, project)
    progress("scan taken in", 1.0)
    own = (*scan.findings, *several, *(axes.findings if axes else ()))
    return _report(shell, project, axes, own)


def scan_report(
    folder: ProjectFolder, *, taken: ScanReport | None = None, progress: Progress = silent
) -> ScanReport:
    """What is known of the project's scan.

    Args:
        folder: The project.
        taken: What taking the scan in has just told, to be told again.
        progress: Told how far it is.

    Raises:
        UserError: `SCAN-014` when the project has none.
    """
    project = folder.open().project
    own = taken.taking_in if taken else ()
    report = _report(open_shell(folder, project, progress=progress), project, None, own)
    return replace(report, symmetry_share=taken.symmetry_share) if taken else report


def add_tape(folder: ProjectFolder, distances: Sequence[TapeDistance]) -> None:
    """Record tape distances; one typed again under its name takes the place of the old one."""
    opened = folder.open()
    folder.record(opened, replace(opened.project, tape=(*opened.project.tape, *distances)))


def name_places(folder: ProjectFolder, places: Sequence[NamedPlace]) -> None:
    """Name the regions at places."""
    opened = folder.open()
    folder.save(opened, replace(opened.project, named_places=(*opened.project.named_places, *places)))


def _settle_unit(scan: Scan, given: str | None, ask: Ask) -> str:
    proposals = propose_units(scan)
    best = proposals[0]
    question = Question(
        code="SCAN-012",
        about="unit",
        sentence=f"The unit of {scan.source_name} is not known. {_unit_words(proposals)}",
        choices=_UNITS,
        proposal=best.unit,
        option=f"--unit {best.unit}",
    )
    unit = answered(question, given, ask)
    if unit not in _UNITS:
        raise UserError(
            Finding(
                code="SCAN-012",
                severity=Severity.STOP,
                sentence=f"'{unit}' is no unit of a scan. {_unit_words(proposals)}",
                todo=f"Answer one of {', '.join(_UNITS)}.",
                objects=("unit",),
            )
        )
    return unit


def _unit_words(proposals: Sequence[UnitProposal]) -> str:
    lines = []
    for proposal in proposals[:2]:
        length, width, height = (side / 1000.0 for side in proposal.size_mm)
        said = f" (as {proposal.declared_by} says)" if proposal.declared_by else ""
        lines.append(
            f"In {_UNIT_WORDS[proposal.unit]}{said} it is {length:.2f} x {width:.2f} x {height:.2f} m."
        )
    best = proposals[0]
    verdict = f"Best guess: {best.unit}." if best.is_believable else "None of the units makes a car of it."
    return " ".join([*lines, verdict])


def _several_cars(prepared: PreparedScan, scan: Scan, answers: ScanAnswers) -> tuple[Finding, ...]:
    """Two cars in one file stop the search for axes, which could find the plane between them."""
    cars = cars_apart(prepared.tree, spacing_mm=prepared.spacing_mm)
    if not cars:
        return ()
    sizes = " and ".join(" x ".join(f"{side / 1000.0:.2f}" for side in car.size_mm) + " m" for car in cars)
    axes_known = answers.as_given or answers.landmarks
    finding = Finding(
        code="SCAN-036",
        severity=Severity.WARNING if axes_known else Severity.STOP,
        sentence=f"{len(cars)} bodies of the size of a car stand apart in {scan.source_name}: about {sizes}.",
        todo="Cut all but one out of the file where it was made. If they are parts of one car, align by landmarks.",
        objects=(scan.source_name,),
        measured=float(len(cars)),
        limit=1.0,
    )
    if finding.severity is Severity.STOP:
        raise UserError(finding)
    return (finding,)


def _align(
    prepared: PreparedScan, scan: Scan, unit: str, answers: ScanAnswers, ask: Ask
) -> tuple[ScanRecord, AxesProposal | None]:
    if answers.as_given:
        record = _record(scan, unit, Transform.identity("scan", "vehicle"), "as given", 0.0)
        return record, None
    if answers.landmarks:
        less = tuple(_less_offset(one, prepared.offset_mm) for one in answers.landmarks)
        fitted = align_by_landmarks(less)
        record = _record(scan, unit, fitted.to_vehicle, "landmarks", fitted.rms_mm)
        return replace(record, landmarks=less), None
    axes = propose_axes(prepared.tree, prepared.surfels, nose=_axis(answers.nose), up=_axis(answers.up))
    nose = answered(_nose_question(axes), answers.nose, ask)
    if nose != axes.nose or not axes.nose_sure:
        axes = propose_axes(prepared.tree, prepared.surfels, nose=_axis(nose), up=_axis(answers.up))
    return _record(scan, unit, axes.to_vehicle, "symmetry", axes.symmetry.rms_mm), axes


def _record(scan: Scan, unit: str, to_vehicle: Transform, by: AlignedBy, residual_mm: float) -> ScanRecord:
    return ScanRecord(
        file="",
        source_name=scan.source_name,
        sha256="",
        unit=unit,
        to_vehicle=to_vehicle,
        aligned_by=by,
        residual_mm=residual_mm,
    )


def _less_offset(landmark: ScanLandmark, offset_mm: Vector) -> ScanLandmark:
    x, y, z = (float(at - off) for at, off in zip(landmark.scan_mm, offset_mm, strict=True))
    return replace(landmark, scan_mm=(x, y, z))


def _nose_question(axes: AxesProposal) -> Question:
    opposite = f"{'-' if axes.nose[0] == '+' else '+'}{axes.nose[1]}"
    guess = (
        "The roof lies toward the other end: best guess"
        if axes.nose_sure
        else "The shape does not tell: a guess is"
    )
    return Question(
        code="SCAN-013",
        about="nose",
        sentence=f"Which way is forward: does the car's nose point along the scan's {axes.nose} or {opposite}? {guess} "
        f"{axes.nose}.",
        choices=(axes.nose, opposite),
        proposal=axes.nose,
        option=f"--nose {axes.nose}",
    )


def _axis(text: str | None) -> ScanAxis | None:
    names: dict[str, ScanAxis] = {"+x": "+x", "-x": "-x", "+y": "+y", "-y": "-y", "+z": "+z", "-z": "-z"}
    if text is None:
        return None
    key = text.strip().lower()
    key = key if key[:1] in "+-" else f"+{key}"
    if key not in names:
        raise UserError(
            Finding(
                code="SCAN-016",
                severity=Severity.STOP,
                sentence=f"'{text}' is no axis of a scan.",
                todo=f"Answer one of {', '.join(names)}.",
                objects=(text,),
            )
        )
    return names[key]


def _report(
    shell: Shell, project: Project, axes: AxesProposal | None, own: tuple[Finding, ...]
) -> ScanReport:
    record = project.scan
    assert record is not None  # noqa: S101 - open_shell has refused a project without a scan
    low, high = shell.body_box()
    tape, tape_findings = compare_tape(shell, project.tape_in_force)
    sides = compare_sides(shell)
    fitted = align_by_landmarks(record.landmarks) if record.landmarks else None
    count = len(shell.prepared.tree.corners)
    return ScanReport(
        source_name=record.source_name,
        unit=record.unit,
        triangles=0 if shell.prepared.is_cloud else count,
        points=count if shell.prepared.is_cloud else 0,
        size_mm=(float(high[0] - low[0]), float(high[1] - low[1]), float(high[2] - low[2])),
        aligned_by=record.aligned_by,
        symmetry_share=axes.symmetry.matched_share if axes else None,
        residual_mm=record.residual_mm,
        landmark_residuals_mm=fitted.residual_mm if fitted else {},
        sides=sides,
        tape=tape,
        findings=(*own, *_specks(shell), *_sides_findings(sides), *tape_findings, *_unproven(project)),
        taking_in=own,
    )


def _specks(shell: Shell) -> tuple[Finding, ...]:
    count = shell.prepared.speck_count
    if not count:
        return ()
    return (
        Finding(
            code="SCAN-035",
            severity=Severity.NOTE,
            sentence=f"{count} specks floating in the air (under 80 mm, nothing near them) are not measured against.",
            todo="If one of them is real, scan it together with what holds it.",
            measured=float(count),
        ),
    )


def _sides_findings(sides: SidesReport | None) -> tuple[Finding, ...]:
    if sides is None:
        return (
            Finding(
                code="SCAN-033",
                sentence="Left and right could not be compared: one side has no scanned metal that answers the other.",
                todo="What is mirrored onto an unscanned side is computed, not measured: unknown, not free.",
            ),
        )
    if sides.matched_share < _LEAST_MATCHED:
        return (_one_sided(sides),)
    worst = max(sides.parts, key=lambda part: abs(part.right_closer_mm), default=None)
    if worst is None or abs(worst.right_closer_mm) < _SIDES_MM:
        return ()
    side = "right" if worst.right_closer_mm > 0 else "left"
    overall = "right" if sides.right_closer_mm > 0 else "left"
    return (
        Finding(
            code="SCAN-032",
            severity=Severity.NOTE,
            sentence=f"The {side} side is {abs(worst.right_closer_mm):.1f} mm closer to the centre plane "
            f"({worst.part}, up {worst.from_up_mm:.0f} to {worst.to_up_mm:.0f}); over all metal the {overall} is "
            f"{abs(sides.right_closer_mm):.1f} mm closer.",
            todo="Mirrored bars are measured on their own side of the scan.",
            measured=worst.right_closer_mm,
            limit=_SIDES_MM,
            unit="mm",
        ),
    )


def _one_sided(sides: SidesReport) -> Finding:
    return Finding(
        code="SCAN-037",
        sentence=f"Only {sides.matched_share:.0%} of the left side has metal that answers it on the right. One half "
        "may not be scanned, or the axes lie wrong.",
        todo="Check the size and the pictures. Align by landmarks, or scan the other side too.",
        measured=sides.matched_share,
        limit=_LEAST_MATCHED,
    )


def _unproven(project: Project) -> tuple[Finding, ...]:
    if project.tape:
        return ()
    return (
        Finding(
            code="SCAN-034",
            sentence="The size of the scan is not proven: no tape distance has been typed. No sheet is issued before.",
            todo="Measure three or more distances across the whole shell and add them with 'hoopwright scan --tape'.",
        ),
    )
