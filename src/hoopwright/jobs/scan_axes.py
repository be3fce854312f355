"""Settling a scan's unit and vehicle axes with the person."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.geometry import Transform, Vector
from hoopwright.jobs.questions import Ask, Question, answered
from hoopwright.jobs.side_views import side_view_svg
from hoopwright.shell.axes import AxesProposal, ScanAxis, propose_axes
from hoopwright.shell.landmarks import align_by_landmarks
from hoopwright.shell.prepared import PreparedScan
from hoopwright.shell.records import ScanLandmark
from hoopwright.shell.scan import Scan
from hoopwright.shell.sizing import UnitProposal, propose_units
from hoopwright.store import ScanRecord
from hoopwright.store.project import AlignedBy

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


def settle_unit(scan: Scan, given: str | None, ask: Ask) -> str:
    """The unit that the person gives or confirms.

    Raises:
        UserError: `SCAN-012` when nobody answers, or the answer is no unit.
    """
    proposals = propose_units(scan)
    best = proposals[0]
    question = Question(
        code="SCAN-012",
        about="unit",
        sentence=f"The unit of {scan.source_name} is not known. {_unit_words(proposals)}",
        choices=_UNITS,
        proposal=best.unit,
        option=f"--unit {best.unit}",
        is_likely=best.is_believable,
        meanings=tuple(_size_words(one) for unit in _UNITS for one in proposals if one.unit == unit),
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
        said = f" (as {proposal.declared_by} says)" if proposal.declared_by else ""
        lines.append(f"In {_UNIT_WORDS[proposal.unit]}{said} it is {_size_words(proposal)}.")
    best = proposals[0]
    verdict = f"Best guess: {best.unit}." if best.is_believable else "None of the units makes a car of it."
    return " ".join([*lines, verdict])


def _size_words(proposal: UnitProposal) -> str:
    return " x ".join(f"{side / 1000.0:.2f}" for side in proposal.size_mm) + " m"


def align(
    prepared: PreparedScan, source_name: str, unit: str, answers: ScanAnswers, ask: Ask
) -> tuple[ScanRecord, AxesProposal | None]:
    """The scan's record with its axes, and the proposal that they come from when they were sought.

    Raises:
        UserError: `SCAN-013` when the nose stays unanswered; `SCAN-016` to `SCAN-024` when no axes can be found.
    """
    if answers.as_given:
        record = _record(source_name, unit, Transform.identity("scan", "vehicle"), "as given", 0.0)
        return record, None
    if answers.landmarks:
        less = tuple(_less_offset(one, prepared.offset_mm) for one in answers.landmarks)
        fitted = align_by_landmarks(less)
        record = _record(source_name, unit, fitted.to_vehicle, "landmarks", fitted.rms_mm)
        return replace(record, landmarks=less), None
    axes = propose_axes(prepared.tree, prepared.surfels, nose=_axis(answers.nose), up=_axis(answers.up))
    nose = _axis(answered(_nose_question(axes, prepared), answers.nose, ask))
    if nose != axes.nose and answers.nose is None:
        axes = propose_axes(prepared.tree, prepared.surfels, nose=nose, up=_axis(answers.up))
    return _record(source_name, unit, axes.to_vehicle, "symmetry", axes.symmetry.rms_mm), axes


def _record(
    source_name: str, unit: str, to_vehicle: Transform, by: AlignedBy, residual_mm: float
) -> ScanRecord:
    return ScanRecord(
        file="",
        source_name=source_name,
        sha256="",
        unit=unit,
        to_vehicle=to_vehicle,
        aligned_by=by,
        residual_mm=residual_mm,
    )


def _less_offset(landmark: ScanLandmark, offset_mm: Vector) -> ScanLandmark:
    x, y, z = (float(at - off) for at, off in zip(landmark.scan_mm, offset_mm, strict=True))
    return replace(landmark, scan_mm=(x, y, z))


def _nose_question(axes: AxesProposal, prepared: PreparedScan) -> Question:
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
        meanings=("best guess" if axes.nose_sure else "a guess", "the other end"),
        picture_svg=side_view_svg(prepared.surfels, axes.to_vehicle, nose=axes.nose, tail=opposite),
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
