"""`hoopwright fit`: the bar that follows the shell, for each number of bends."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from hoopwright.cli import fit_options as option
from hoopwright.cli import typed
from hoopwright.cli.fit_text import fit_keys, fit_text
from hoopwright.cli.output import AsJson, progress_bar, show, stopping_on_findings
from hoopwright.units import parse_angle_deg, parse_length_mm

if TYPE_CHECKING:
    from hoopwright.cage import End


def fit(
    project: Annotated[Path, typer.Argument(help="Project folder.")],
    bar_id: Annotated[str, typer.Argument(help="A bar of the project, or the name of a new one.")],
    bends: option.Bends = None,
    most: option.Most = 4,
    again: option.Again = False,
    start: option.From = None,
    to: option.To = None,
    end_a: option.EndA = None,
    end_b: option.EndB = None,
    slide_a: option.SlideA = "0",
    slide_b: option.SlideB = "0",
    via: option.Via = None,
    role: option.NewRole = None,
    tube: option.Tube = None,
    die: option.Die = None,
    clr: option.Radius = None,
    gap: option.Gap = None,
    clamp: option.Clamp = None,
    lean: option.Lean = None,
    at_pillar: option.AtPillar = False,
    plane_through: option.PlaneThrough = None,
    symmetric: option.Symmetric = None,
    least_bend: option.LeastBend = "3",
    greatest_bend: option.GreatestBend = "120",
    reverse: option.Reverse = False,
    picture: option.Picture = False,
    seed: option.Seed = 1,
    as_json: AsJson = False,
) -> None:
    """Find the bar that follows the shell at the gap asked, for 0, 1, 2, ... bends.

    Without --bends nothing is changed: the table shows where one more bend stops paying.
    """
    from hoopwright.cage import Role
    from hoopwright.jobs.fit_tasks import FitWishes
    from hoopwright.jobs.fits import fit_member
    from hoopwright.store import ProjectFolder

    if at_pillar and (lean is not None or plane_through is not None):
        raise typer.BadParameter("take one of --at-pillar, --lean and --plane-through")
    with stopping_on_findings(as_json):
        wishes = FitWishes(
            a_mm=typed.maybe(typed.place, start),
            b_mm=typed.maybe(typed.place, to),
            end_a=_end(end_a),
            end_b=_end(end_b),
            role=None if role is None else Role(typed.one_of(role, [one.value for one in Role], "a role")),
            tube=typed.maybe(typed.tube_size, tube),
            die=die,
            clr_mm=typed.maybe(parse_length_mm, clr),
            gap_mm=typed.maybe(parse_length_mm, gap),
            clamp_mm=typed.maybe(parse_length_mm, clamp),
            via_mm=tuple(typed.place(text) for text in via or ()),
            lean_deg=typed.maybe(parse_angle_deg, lean),
            at_pillar=at_pillar,
            through_mm=typed.maybe(typed.place, plane_through),
            symmetric=symmetric,
            slide_a_mm=parse_length_mm(slide_a),
            slide_b_mm=parse_length_mm(slide_b),
            least_bend_deg=parse_angle_deg(least_bend),
            greatest_bend_deg=parse_angle_deg(greatest_bend),
            may_reverse=reverse,
            seed=seed,
        )
        tried = tuple(range(max(most, bends or 0) + 1))
        with progress_bar(as_json) as progress:
            report = fit_member(
                ProjectFolder(path=project),
                bar_id,
                wishes,
                bends=tried,
                take=bends,
                warm=again,
                draw=picture,
                progress=progress,
            )
        show(as_json, lambda: fit_keys(report), fit_text(report, project, bar_id), report.findings)


def _end(on: str | None) -> "End | None":
    from hoopwright.jobs.cage_bars import end_on

    return None if on is None else end_on(on, 15.0 if on not in ("shell", "free") else 30.0, None)
