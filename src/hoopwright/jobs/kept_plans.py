"""Plans that were shown, kept by their checksum: what was sawn by is what is recorded, not what is found now.

They lie in the project's `stock/plans.cache` and may be deleted; a plan that is not there is solved again.
"""

import contextlib
import hashlib
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any

from hoopwright.findings import Finding, UserError
from hoopwright.findings.wording import as_dict, from_dict
from hoopwright.jobs.cut_keys import stick_keys
from hoopwright.jobs.cuts import GroupCuts
from hoopwright.stock import CutPart
from hoopwright.store import Project, ProjectFolder
from hoopwright.store.writing import make_folder, write_whole

MOST_PLANS = 50
_FORMAT = 1
_IDENTITY = re.compile(r"[0-9a-f]{10}")


@dataclass(frozen=True, kw_only=True)
class PlannedStick:
    """A stick of a plan.

    Args:
        source: To be bought, a whole stick on the rack, or an offcut.
        label: What is written on it; empty for one that is to be bought.
        batch: Its batch; empty likewise.
        length_mm: Its length.
        tube: Its size and steel, in words.
        parts: What is cut from it.
        rest_mm: What is left.
    """

    source: str
    label: str
    batch: str
    length_mm: float
    tube: str
    parts: tuple[CutPart, ...]
    rest_mm: float


@dataclass(frozen=True, kw_only=True)
class PlanToSaw:
    """A plan as it was shown.

    Args:
        identity: Ten digits of a hash over all that is sawn from what.
        project: Name of the project.
        sticks: All of them.
        cut_from: For each of its bars the stick that it was cut from before; empty for none.
        findings: What was told with it.
    """

    identity: str
    project: str
    sticks: tuple[PlannedStick, ...]
    cut_from: Mapping[str, str]
    findings: tuple[Finding, ...] = ()


def plan_keys(project: Project, groups: Sequence[GroupCuts]) -> dict[str, Any]:
    """All that is sawn from what, as its identity is made of it."""
    return {
        "project": project.name,
        "kerfs_mm": [group.plan.task.rules.kerf_mm for group in groups],
        "groups": [stick_keys(group.to_saw, group.tube, group.steel) for group in groups],
    }


def plan_identity(keys: Mapping[str, Any]) -> str:
    """Ten digits of a hash over all that is sawn from what."""
    told = [keys["project"], keys["kerfs_mm"], keys["groups"]]
    text = json.dumps(told, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()[:10]


def plan_file_keys(
    project: Project, groups: Sequence[GroupCuts], findings: Sequence[Finding]
) -> dict[str, Any]:
    """A plan with what its bars were cut from when it was made, as it is kept."""
    bars = [piece.name for group in groups for piece in group.plan.task.pieces]
    return {
        "format": _FORMAT,
        "plan": plan_keys(project, groups),
        "cut_from": {bar: stick_of(project, bar) for bar in bars},
        "findings": [as_dict(finding) for finding in findings],
    }


def plan_to_saw(kept: Mapping[str, Any]) -> PlanToSaw:
    """The plan that `plan_file_keys` told."""
    keys = kept["plan"]
    return PlanToSaw(
        identity=plan_identity(keys),
        project=keys["project"],
        sticks=tuple(_planned(stick) for group in keys["groups"] for stick in group),
        cut_from=MappingProxyType(dict(kept["cut_from"])),
        findings=tuple(from_dict(told) for told in kept["findings"]),
    )


def keep_plan(folder: ProjectFolder, kept: Mapping[str, Any]) -> None:
    """Keep a plan that is shown; where it cannot be kept, taking it solves it again."""
    place = _place(folder)
    name = f"{plan_identity(kept['plan'])}.json"
    with contextlib.suppress(UserError, OSError):
        make_folder(place)
        write_whole(place / name, json.dumps(kept, allow_nan=False).encode())
        oldest = sorted(place.glob("*.json"), key=lambda file: file.stat().st_mtime)
        for file in oldest[:-MOST_PLANS]:
            file.unlink(missing_ok=True)


def kept_plan(folder: ProjectFolder, identity: str) -> PlanToSaw | None:
    """The plan of an identity as it was shown; None where it is not kept, or not as it was."""
    if not _IDENTITY.fullmatch(identity):
        return None
    try:
        kept = json.loads((_place(folder) / f"{identity}.json").read_bytes())
        plan = plan_to_saw(kept)
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None
    return plan if kept["format"] == _FORMAT and plan.identity == identity else None


def stick_of(project: Project, bar: str) -> str:
    """The stick that a bar is on record as cut from; empty for none."""
    used = project.tube_of.get(bar)
    return "" if used is None else used.stick


def _planned(keys: Mapping[str, Any]) -> PlannedStick:
    return PlannedStick(
        source=keys["source"],
        label=keys["label"],
        batch=keys["batch"],
        length_mm=keys["length_mm"],
        tube=" ".join(filter(None, (keys["tube"] and f"{keys['tube']} mm", keys["steel"]))),
        parts=tuple(CutPart(**part) for part in keys["parts"]),
        rest_mm=keys["rest_mm"],
    )


def _place(folder: ProjectFolder) -> Path:
    return folder.stock / "plans.cache"
