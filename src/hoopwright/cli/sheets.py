"""`hoopwright sheets`: issue bar sheets."""

from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from hoopwright.cli import typed
from hoopwright.cli.output import AsJson, progress_bar, show, stopping_on_findings, table_text
from hoopwright.cli.paper_options import Paper, day_of, paper_of, unit_of
from hoopwright.units import shown

if TYPE_CHECKING:
    from hoopwright.bender import BarSheet
    from hoopwright.jobs.issuing_sheets import IssueResult


def sheets(
    project: Annotated[Path, typer.Argument(help="Project folder.")],
    bar: Annotated[list[str] | None, typer.Option(help="Only this bar. Repeatable.")] = None,
    order: Annotated[
        str | None,
        typer.Option(
            help="auto, 'A to B', 'B to A', 'middle outward', or a list: '2 from A, 1 from B'. Without it that of the "
            "last sheet."
        ),
    ] = None,
    room: Annotated[
        str | None,
        typer.Option(
            help="Room file, or 'shop' for the bender described there: with order auto, the order that goes through it."
        ),
    ] = None,
    swings: Annotated[
        str | None,
        typer.Option(help="clockwise or anticlockwise: which way your bender swings the leading end; kept."),
    ] = None,
    paper: Paper = "A4",
    unit: Annotated[str, typer.Option(help="mm or in.")] = "mm",
    placeholder: Annotated[
        bool, typer.Option("--placeholder", help="Where no calibration is, a sheet stamped 'not calibrated'.")
    ] = False,
    address: Annotated[
        str | None,
        typer.Option(
            help="Where phones in the shop come in, as 'open --share' tells it: the square code of each sheet then "
            "opens its bar there."
        ),
    ] = None,
    date: Annotated[str | None, typer.Option(help="Day of issue, ISO 8601; today without.")] = None,
    as_json: AsJson = False,
) -> None:
    """Write one sheet for each bar, an overview and a cut list into the project's papers."""
    from hoopwright.jobs.issuing_sheets import issue_sheets
    from hoopwright.jobs.orders import room_named
    from hoopwright.jobs.sheets import SheetWishes
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        wishes = SheetWishes(
            date=day_of(date),
            only=tuple(bar or ()),
            order=typed.maybe(typed.order, order),
            room=None if room is None else room_named(room),
            swings=typed.swing(swings),
            paper=paper_of(paper),
            unit=unit_of(unit),
            placeholder=placeholder,
            shop_address="" if address is None else typed.shop_address(address),
        )
        with progress_bar(as_json) as progress:
            made = issue_sheets(ProjectFolder(path=project), wishes, progress=progress)
        show(as_json, lambda: _keys(made), _text(made, project), made.findings)


def _keys(made: "IssueResult") -> dict[str, Any]:
    return {
        "sheets": [_sheet_keys(sheet) for sheet in made.sheets],
        "files": list(made.files),
        "old": list(made.old),
    }


def _sheet_keys(sheet: "BarSheet") -> dict[str, Any]:
    return {
        "bar_id": sheet.bar_id,
        "title": sheet.title,
        "side": sheet.side,
        "revision": sheet.revision,
        "identity": sheet.identity,
        "calibration": sheet.calibration_name,
        "calibrated": sheet.calibrated,
        "blank_mm": sheet.blank_mm,
        "trim_a_mm": sheet.trim_a_mm,
        "trim_b_mm": sheet.trim_b_mm,
        "straights_mm": list(sheet.table.straights_mm),
        "angles_deg": list(sheet.table.angles_deg),
        "rotations_deg": list(sheet.table.rotations_deg),
        "rotations_total_deg": list(sheet.table.rotations_total_deg),
        "clr_mm": sheet.table.clr_mm,
        "steps": [asdict(step) for step in sheet.steps],
        "checks": [vars(check) for check in sheet.checks],
        "wrong_turn_miss_mm": sheet.wrong_turn_miss_mm,
        "nodes_mm": [list(node) for node in sheet.bar.nodes_mm],
    }


def _text(made: "IssueResult", project: Path) -> str:
    rows = [
        [
            sheet.bar_id,
            sheet.title,
            str(len(sheet.steps)),
            shown(sheet.blank_mm, 1),
            str(sheet.revision),
            sheet.calibration_name if sheet.calibrated else "NOT CALIBRATED",
        ]
        for sheet in made.sheets
    ]
    lines = [table_text(["bar", "role", "bends", "blank mm", "revision", "calibration"], rows)]
    lines += [
        f"written: {project / name}"
        for name in made.files
        if name.endswith(("sheets.pdf", "view.pdf", "list.pdf"))
    ]
    lines += [f"now OLD: {project / name}" for name in made.old]
    return "\n".join(lines)
