"""The one place that turns a finding into text or JSON, and back."""

from collections.abc import Mapping
from typing import Any

from hoopwright.findings.finding import Finding, Severity

_HEADS = {Severity.STOP: "STOP", Severity.WARNING: "warning", Severity.NOTE: "note"}


def as_text(finding: Finding) -> str:
    """The finding as a person reads it: code, sentence, place, what to do next."""
    parts = [f"{_HEADS[finding.severity]} {finding.code}: {finding.sentence}"]
    if finding.point_mm is not None:
        forward, left, up = finding.point_mm
        parts.append(f"  at forward {forward:.0f}, left {left:.0f}, up {up:.0f} mm")
    if finding.todo:
        parts.append(f"  -> {finding.todo}")
    return "\n".join(parts)


def from_dict(told: Mapping[str, Any]) -> Finding:
    """The finding that `as_dict` told."""
    point = told["point_mm"]
    return Finding(
        **{
            **told,
            "severity": Severity(told["severity"]),
            "objects": tuple(told["objects"]),
            "point_mm": None if point is None else tuple(point),
        }
    )


def as_dict(finding: Finding) -> dict[str, Any]:
    """The finding as JSON carries it; numbers are not rounded."""
    return {
        "code": finding.code,
        "severity": finding.severity.value,
        "sentence": finding.sentence,
        "todo": finding.todo,
        "objects": list(finding.objects),
        "point_mm": None if finding.point_mm is None else list(finding.point_mm),
        "measured": finding.measured,
        "limit": finding.limit,
        "unit": finding.unit,
    }
