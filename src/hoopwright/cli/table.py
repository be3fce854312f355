"""`hoopwright table`: bend table from nodes, or nodes from a bend table."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from hoopwright.cli.output import AsJson, show, stopping_on_findings, table_text
from hoopwright.cli.typed import one_of
from hoopwright.units import parse_length_mm

if TYPE_CHECKING:
    from hoopwright.bars import BendTable
    from hoopwright.jobs.calculators import TableResult


def table(
    file: Annotated[
        Path,
        typer.Argument(help="CSV: forward,left,up; with --from-bends straight_mm,rotation_deg,angle_deg."),
    ],
    clr: Annotated[str, typer.Option(help="Centreline radius, such as 137.5 or '5 1/2 in'.")],
    od: Annotated[str, typer.Option(help="Outside diameter.")] = "45",
    clamp: Annotated[str, typer.Option(help="Straight that the clamp needs between bends.")] = "0",
    from_bends: Annotated[bool, typer.Option("--from-bends", help="The file holds a bend table.")] = False,
    compare: Annotated[Path | None, typer.Option(help="A bend table (CSV) to hold against this bar.")] = None,
    csv: Annotated[str | None, typer.Option(help="Print CSV alone: 'bends' or 'nodes'.")] = None,
    as_json: AsJson = False,
) -> None:
    """Straights, rotations and angles of a bar, with the developed length."""
    from hoopwright.jobs import calculators

    with stopping_on_findings(as_json):
        made = calculators.table(
            file,
            clr_mm=parse_length_mm(clr),
            od_mm=parse_length_mm(od),
            from_bends=from_bends,
            clamp_mm=parse_length_mm(clamp),
            compare=compare,
        )
        if csv is not None:
            wanted = one_of(csv, ("bends", "nodes"), "what to print")
            print(made.bends_csv if wanted == "bends" else made.nodes_csv, end="")
            return
        show(as_json, lambda: _keys(made), _text(made), made.findings)


def _keys(made: "TableResult") -> dict[str, object]:
    bends = made.table
    keys: dict[str, object] = {
        "straights_mm": list(bends.straights_mm),
        "angles_deg": list(bends.angles_deg),
        "rotations_deg": list(bends.rotations_deg),
        "rotations_total_deg": list(bends.rotations_total_deg),
        "arcs_mm": list(bends.arcs_mm),
        "developed_mm": bends.developed_mm,
        "nodes_mm": [list(node) for node in made.nodes_mm],
        "clr_mm": bends.clr_mm,
    }
    return keys if made.miss_mm is None else keys | {"end_miss_mm": made.miss_mm}


def _text(made: "TableResult") -> str:
    bends = made.table
    rows = [
        [str(k + 1), f"{straight:.1f}", *_bend_cells(bends, k)]
        for k, straight in enumerate(bends.straights_mm)
    ]
    heads = ["", "straight mm", "rotation °", "from bend 1 °", "angle °", "arc mm"]
    nodes = [[str(k + 1), *(f"{value:.1f}" for value in node)] for k, node in enumerate(made.nodes_mm)]
    parts = [
        table_text(heads, rows),
        f"developed length {bends.developed_mm:.1f} mm at radius {bends.clr_mm:g} mm",
        "rotations: clockwise positive, looking from end A to end B",
        "",
        table_text(["node", "forward mm", "left mm", "up mm"], nodes),
    ]
    if made.miss_mm is not None:
        parts.append(f"\nbent as the compared table says, end B lands {made.miss_mm:.1f} mm off")
    return "\n".join(parts)


def _bend_cells(bends: "BendTable", k: int) -> list[str]:
    if k >= len(bends.angles_deg):
        return ["", "", "", ""]
    return [
        f"{bends.rotations_deg[k]:.2f}",
        f"{bends.rotations_total_deg[k]:.2f}",
        f"{bends.angles_deg[k]:.2f}",
        f"{bends.arcs_mm[k]:.1f}",
    ]
