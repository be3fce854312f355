"""`hoopwright landing`: what the feet of the cage stand on."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from hoopwright.cli import typed
from hoopwright.cli.default_command import group_that_does
from hoopwright.cli.landing_text import feet_table, landing_keys, landing_text, report_keys
from hoopwright.cli.output import AsJson, progress_bar, show, stopping_on_findings
from hoopwright.units import parse_angle_deg, parse_length_mm

if TYPE_CHECKING:
    from hoopwright.cage import EndLetter


app = typer.Typer(
    cls=group_that_does("list"),
    no_args_is_help=True,
    help="Landings: plates, folded plates and boxes under the feet, fitted to the scan. "
    "'hoopwright landing PROJECT' lists the feet.",
)
Project = Annotated[Path, typer.Argument(help="Project folder.")]
BarId = Annotated[str, typer.Argument(help="The bar, such as MH.")]
End = Annotated[str, typer.Argument(help="Which end: A or B.")]
_KINDS = {"plate": "plate", "folded": "folded plate", "folded plate": "folded plate", "box": "box"}


@app.command("list")
def list_all(project: Project, as_json: AsJson = False) -> None:
    """Every foot of the cage, and what it stands on."""
    from hoopwright.jobs.landings import land_feet
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        with progress_bar(as_json) as progress:
            report = land_feet(ProjectFolder(path=project), progress=progress)
        show(as_json, lambda: report_keys(report), feet_table(report), report.findings)


@app.command("show")
def show_one(project: Project, bar_id: BarId, end: End, as_json: AsJson = False) -> None:
    """One landing: its faces and their gaps, its flat part, and how the leg is cut."""
    from hoopwright.jobs.landings import land_feet
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        letter = _letter(end)
        with progress_bar(as_json) as progress:
            report = land_feet(ProjectFolder(path=project), only=(bar_id, letter), progress=progress)
        foot = report.feet[0]
        show(as_json, lambda: landing_keys(foot), landing_text(foot), report.findings)


@app.command("set", context_settings={"ignore_unknown_options": True})
def set_one(
    project: Project,
    bar_id: Annotated[str | None, typer.Argument(help="The bar, such as MH; none with --all.")] = None,
    end: Annotated[str | None, typer.Argument(help="Which end: A or B.")] = None,
    every: Annotated[bool, typer.Option("--all", help="All feet at once.")] = False,
    kind: Annotated[
        str | None,
        typer.Option(
            help="plate, folded or box; without it folded where a side wall is in reach, else plate."
        ),
    ] = None,
    length: Annotated[str | None, typer.Option(help="Of its sole along.")] = None,
    width: Annotated[
        str | None, typer.Option(help="Of its sole across; of a folded plate from the corner.")
    ] = None,
    wall: Annotated[str | None, typer.Option(help="How far a folded plate goes up the wall.")] = None,
    thickness: Annotated[str | None, typer.Option(help="Of the sheet; 3 mm without.")] = None,
    height: Annotated[str | None, typer.Option(help="Of a box's top over the metal.")] = None,
    turn: Annotated[
        str | None, typer.Option(help="Of its length from the front of the car, degrees.")
    ] = None,
    area: Annotated[str | None, typer.Option(help="Wanted in all planes: 120 (cm2) or 18.6 in2.")] = None,
    bolts: Annotated[int | None, typer.Option(help="How many bolts; 0 is welded.")] = None,
    bolt: Annotated[str | None, typer.Option(help="Diameter of the bolts.")] = None,
    inside_radius: Annotated[str | None, typer.Option(help="Of its folds; the thickness without.")] = None,
    k: Annotated[
        float | None,
        typer.Option(help="Neutral line from the inside of a fold, in thicknesses; 0.447 without."),
    ] = None,
    folds: Annotated[int | None, typer.Option(help="Most folds of a folded plate; 2 without.")] = None,
    square: Annotated[
        bool | None, typer.Option("--square/--level", help="Top of a box square to the leg, or level.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Choose what a foot stands on, or all feet; what is not typed stays as it was, or is the usual."""
    from hoopwright.cage import LandingKind
    from hoopwright.jobs.landings import set_every_landing, set_landing
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        chosen = typed.maybe(lambda text: typed.one_of(text, tuple(_KINDS), "a kind of landing"), kind)
        lengths = {
            "length_mm": length, "width_mm": width, "wall_mm": wall, "thickness_mm": thickness,
            "height_mm": height, "bolt_mm": bolt, "inside_radius_mm": inside_radius,
        }  # fmt: skip
        wishes: dict[str, Any] = {name: typed.maybe(parse_length_mm, text) for name, text in lengths.items()}
        wishes |= {
            "kind": None if chosen is None else LandingKind(_KINDS[chosen]),
            "turn_deg": typed.maybe(parse_angle_deg, turn),
            "area_mm2": typed.maybe(typed.area_mm2, area),
            "bolts": bolts,
            "k_ratio": k,
            "most_folds": folds,
            "is_square": square,
        }
        folder = ProjectFolder(path=project)
        if every == (bar_id is not None or end is not None):
            raise typer.BadParameter("name one bar and its end, or type --all and no bar")
        with progress_bar(as_json) as progress:
            if every:
                report = set_every_landing(folder, wishes, progress=progress)
            else:
                report = set_landing(folder, bar_id or "", _letter(end or ""), wishes, progress=progress)
        if every:
            show(as_json, lambda: report_keys(report), feet_table(report), report.findings)
        else:
            foot = report.feet[0]
            show(as_json, lambda: landing_keys(foot), landing_text(foot), report.findings)


@app.command("remove")
def remove(project: Project, bar_id: BarId, end: End, as_json: AsJson = False) -> None:
    """Take the landing of a foot out of the plan."""
    from hoopwright.jobs.landings import take_landing_out
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        letter = _letter(end)
        take_landing_out(ProjectFolder(path=project), bar_id, letter)
        show(as_json, lambda: {"bar_id": bar_id, "end": letter}, f"landing of {bar_id} end {letter} removed")


def _letter(text: str) -> "EndLetter":
    return "A" if typed.one_of(text, ("A", "B"), "which end of the bar") == "A" else "B"
