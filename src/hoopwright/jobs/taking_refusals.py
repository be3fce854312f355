"""What holds a plan from being recorded: sticks to be bought, and what is another thing now than when it was made."""

from collections.abc import Sequence

from hoopwright.bender import Stick
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.cuts import group_title
from hoopwright.jobs.kept_plans import PlannedStick, PlanToSaw, stick_of
from hoopwright.jobs.sawn_plans import is_sawn_by
from hoopwright.jobs.stock_pieces import blanks_of
from hoopwright.stock import CutPart
from hoopwright.store import Project, ProjectFolder

_SAME_MM = 0.05
"""Lengths that differ by less are the same on a saw."""


def refuse_bought(plan: PlanToSaw) -> None:
    """Sticks that no batch and no heat number is known of: `STOCK-010`."""
    missing = [(stick.length_mm, stick.tube) for stick in plan.sticks if not stick.label]
    if not missing:
        return
    lines = [
        f"{missing.count(one)} of {one[0]:g} mm, tube {one[1]}".rstrip() for one in dict.fromkeys(missing)
    ]
    raise _stop(
        "STOCK-010",
        f"The plan of {plan.project} has sticks that are not in the shop: {'; '.join(lines)}; nothing was recorded.",
        "Add them with batch and heat number ('hoopwright batch add', 'hoopwright stick add'), plan again, and record "
        "the plan that is made of them.",
        plan.project,
    )


def refuse_other_stick(plan: PlanToSaw, cut: PlannedStick, stick: Stick) -> None:
    """What the shop says of a stick now against what the plan was made of: `STOCK-011`."""
    if stick.state == "used":
        if is_sawn_by(stick, plan.project, plan.identity):
            raise changed(plan.project, plan.identity, "it is recorded as sawn already")
        raise changed(plan.project, plan.identity, f"stick '{stick.label}' was used meanwhile")
    if stick.batch != cut.batch or abs(stick.length_mm - cut.length_mm) > _SAME_MM:
        raise changed(
            plan.project,
            plan.identity,
            f"stick '{stick.label}' is {stick.length_mm:g} mm of batch '{stick.batch}' now, and was "
            f"{cut.length_mm:g} mm of '{cut.batch}'",
        )


def refuse_other_bars(folder: ProjectFolder, project: Project, plan: PlanToSaw) -> None:
    """What the project says of its bars now against what the plan was made of: `STOCK-011`."""
    if project.name != plan.project:
        raise changed(plan.project, plan.identity, f"the project is called {project.name} now")
    for bar, before in plan.cut_from.items():
        if bar not in project.cage:
            raise changed(plan.project, plan.identity, f"bar {bar} is not in the cage any more")
        now = stick_of(project, bar)
        if now != before:
            why = f"cut from stick '{now}' meanwhile" if now else "not cut any more"
            raise changed(plan.project, plan.identity, f"bar {bar} is {why}")
    blanks = blanks_of(folder, project, only=tuple(plan.cut_from)).pieces
    now_is = {
        piece.name: (group_title(*size), piece.length_mm) for size, found in blanks.items() for piece in found
    }
    for stick in plan.sticks:
        for part in stick.parts:
            if part.name in plan.cut_from:
                why = _other_blank(stick.tube, part, now_is.get(part.name))
                if why:
                    raise changed(plan.project, plan.identity, f"bar {part.name} {why}")


def _other_blank(tube: str, part: CutPart, now: tuple[str, float] | None) -> str:
    """Why the blank of a bar is not the one that was sawn; empty where it is."""
    if now is None:
        return "is one that no sheet can be made of any more"
    if now[0] != tube:
        return f"is of {now[0]} now, and was of {tube}"
    if abs(now[1] - part.length_mm) > _SAME_MM:
        return f"needs a blank of {now[1]:.1f} mm now, and needed {part.length_mm:.1f} mm"
    return ""


def changed(project: str, plan: str, why: str) -> UserError:
    """The stop for a plan that is another one now."""
    return _stop(
        "STOCK-011",
        f"Plan {plan} is not the plan of {project} any more: {why}. Nothing was recorded.",
        "Plan again with what the plan was made with, or mark single sticks with 'hoopwright stick use'.",
        plan,
    )


def refuse_back(identity: str, sticks: Sequence[Stick], offcuts: Sequence[Stick]) -> None:
    """A plan that nothing was recorded by, and offcuts that were used since: `STOCK-012`, `STOCK-013`."""
    if not sticks:
        raise _stop(
            "STOCK-012",
            f"No stick in the shop was recorded as sawn by plan {identity} for this project.",
            "Look at 'hoopwright stick show --used': the note of each says by which plan it was sawn.",
            identity,
        )
    sawn = [stick.label for stick in offcuts if stick.state == "used"]
    if sawn:
        raise _stop(
            "STOCK-013",
            f"{', '.join(sawn)}: left by plan {identity} and used since, so that its stick cannot be whole again.",
            "Add what is really there with 'hoopwright stick add'.",
            *sawn,
        )


def _stop(code: str, sentence: str, todo: str, *objects: str) -> UserError:
    return UserError(
        Finding(code=code, severity=Severity.STOP, sentence=sentence, todo=todo, objects=objects)
    )
