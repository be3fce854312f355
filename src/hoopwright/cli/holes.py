"""`hoopwright bar hole`, `bar holes` and `bar remove-hole`: holes that are cut so that a bar passes."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from hoopwright.cli import typed
from hoopwright.cli.output import AsJson, progress_bar, show, stopping_on_findings, table_text
from hoopwright.units import parse_length_mm

if TYPE_CHECKING:
    from hoopwright.jobs.holes import ListedHole

Project = Annotated[Path, typer.Argument(help="Project folder.")]
BarId = Annotated[str, typer.Argument(help="The bar that passes, such as SK-L.")]


def hole(
    project: Project,
    bar_id: BarId,
    place: Annotated[
        str, typer.Argument(help="Place as forward,left,up; the hole goes to the bar's axis there.")
    ],
    diameter: Annotated[
        str | None,
        typer.Option(help="How wide; without it the tube and 5 mm all round (common practice, no source)."),
    ] = None,
    deep: Annotated[
        str | None,
        typer.Option(
            help="How far along the bar metal is cut, each way; as far as the hole is wide without it."
        ),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Cut a hole in the shell so that a bar passes; a mirrored bar gets the mirrored hole."""
    from hoopwright.jobs.holes import cut_hole
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        at = typed.place(place)
        with progress_bar(as_json) as progress:
            made, findings = cut_hole(
                ProjectFolder(path=project),
                bar_id,
                at,
                diameter_mm=typed.maybe(parse_length_mm, diameter),
                deep_mm=typed.maybe(parse_length_mm, deep),
                progress=progress,
            )
        text = f"hole {made.hole.number} for {bar_id}\n{_table([made])}"
        show(as_json, lambda: _keys(made), text, findings)


def holes(
    project: Project,
    bar: Annotated[list[str] | None, typer.Argument(help="Only these bars.")] = None,
    as_json: AsJson = False,
) -> None:
    """The holes that are cut for bars, and what each cuts."""
    from hoopwright.jobs.holes import list_holes
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        with progress_bar(as_json) as progress:
            listed = list_holes(ProjectFolder(path=project), only=bar or (), progress=progress)
        text = _table(listed) if listed else "no holes"
        show(as_json, lambda: {"holes": [_keys(one) for one in listed]}, text)


def remove_hole(
    project: Project,
    bar_id: BarId,
    number: Annotated[int, typer.Argument(help="Number of the hole among those of the bar.")],
    as_json: AsJson = False,
) -> None:
    """Take a hole out of the plan."""
    from hoopwright.jobs.holes import take_hole_out
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        take_hole_out(ProjectFolder(path=project), bar_id, number)
        show(as_json, lambda: {"bar_id": bar_id, "number": number}, f"hole {number} for {bar_id} removed")


def _keys(one: "ListedHole") -> dict[str, Any]:
    return {
        "bar_id": one.hole.hole.bar_id,
        "number": one.hole.number,
        "place_mm": list(one.hole.hole.place_mm),
        "direction": list(one.hole.direction),
        "diameter_mm": one.hole.hole.diameter_mm,
        "deep_mm": one.hole.hole.deep_mm,
        "skins": None if one.skins is None else [vars(skin) for skin in one.skins],
    }


def _table(listed: "list[ListedHole] | tuple[ListedHole, ...]") -> str:
    rows = [
        [
            one.hole.hole.bar_id,
            str(one.hole.number),
            f"{one.hole.hole.diameter_mm:.1f}",
            ", ".join(f"{x:.1f}" for x in one.hole.hole.place_mm),
            f"{one.hole.hole.deep_mm:.0f}",
            "no scan" if one.skins is None else "; ".join(skin.regions[0] for skin in one.skins) or "nothing",
        ]
        for one in listed
    ]
    return table_text(["bar", "hole", "diameter", "forward, left, up", "deep each way", "cuts"], rows)
