"""What a person should know of the project's scan."""

from dataclasses import dataclass, replace

from hoopwright.findings import Finding, Severity
from hoopwright.jobs.shells import open_whole_shell
from hoopwright.progress import Progress, silent
from hoopwright.shell.axes import AxesProposal
from hoopwright.shell.landmarks import align_by_landmarks
from hoopwright.shell.shell import Shell
from hoopwright.shell.sides import SidesReport, compare_sides
from hoopwright.shell.tape import TapeResult, compare_tape
from hoopwright.store import Project, ProjectFolder
from hoopwright.store.project import AlignedBy

_SIDES_MM = 2.0
_LEAST_MATCHED = 0.5


@dataclass(frozen=True, kw_only=True)
class ScanReport:
    """What is known of the project's scan.

    Args:
        source_name: Name of the file.
        unit: Confirmed unit.
        triangles: How many; 0 for a cloud.
        points: How many points a cloud has; 0 for a mesh.
        low_mm: Rearmost, rightmost and lowest place of the body, vehicle frame.
        high_mm: Foremost, leftmost and highest place.
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
    low_mm: tuple[float, float, float]
    high_mm: tuple[float, float, float]
    aligned_by: AlignedBy
    symmetry_share: float | None
    residual_mm: float
    landmark_residuals_mm: dict[str, float]
    sides: SidesReport | None
    tape: tuple[TapeResult, ...]
    findings: tuple[Finding, ...]

    @property
    def size_mm(self) -> tuple[float, float, float]:
        """Length, width and height in vehicle axes."""
        length, width, height = (high - low for low, high in zip(self.low_mm, self.high_mm, strict=True))
        return length, width, height

    taking_in: tuple[Finding, ...] = ()


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
    report = report_on(open_whole_shell(folder, project, progress=progress), project, None, own)
    return replace(report, symmetry_share=taken.symmetry_share) if taken else report


def report_on(
    shell: Shell, project: Project, axes: AxesProposal | None, own: tuple[Finding, ...]
) -> ScanReport:
    """The report on a shell.

    Args:
        shell: The project's shell.
        project: The project; it has a scan.
        axes: What the axes were found from, right after the scan was taken in.
        own: Findings of reading and aligning.
    """
    record = project.scan
    assert record is not None  # noqa: S101 - open_whole_shell has refused a project without a scan
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
        low_mm=(float(low[0]), float(low[1]), float(low[2])),
        high_mm=(float(high[0]), float(high[1]), float(high[2])),
        aligned_by=record.aligned_by,
        symmetry_share=axes.symmetry.matched_share if axes else None,
        residual_mm=record.residual_mm,
        landmark_residuals_mm=fitted.residual_mm if fitted else {},
        sides=sides,
        tape=tape,
        findings=(*own, *_specks(shell), *_sides_findings(sides), *tape_findings, *_unproven(tape)),
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


def _unproven(tape: tuple[TapeResult, ...]) -> tuple[Finding, ...]:
    if any(result.scan_mm is not None for result in tape):
        return ()
    return (
        Finding(
            code="SCAN-034",
            sentence="The size of the scan is not proven: no tape distance has been held against it. No sheet is "
            "issued before.",
            todo="Measure three or more distances across the whole shell and type them under Scan, or with "
            "'hoopwright scan --tape'.",
        ),
    )
