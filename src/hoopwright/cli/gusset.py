"""`hoopwright gusset`: gussets between bars and ties to the shell, with their true shape."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from hoopwright.cli import typed
from hoopwright.cli.output import AsJson, progress_bar, show, stopping_on_findings, table_text
from hoopwright.units import parse_length_mm

if TYPE_CHECKING:
    from hoopwright.jobs.gussets import ListedGusset

app = typer.Typer(no_args_is_help=True, help="Gussets between bars and ties to the shell.")

Project = Annotated[Path, typer.Argument(help="Project folder.")]
Name = Annotated[str, typer.Argument(help="Its name, such as G1.")]
KINDS = ("flat", "folded", "dimpled")


@app.command()
def add(
    project: Project,
    name: Name,
    bar_id: Annotated[str, typer.Argument(help="The bar that it is welded to.")],
    other: Annotated[
        str | None, typer.Argument(help="The other bar; without it, it is a tie to the shell.")
    ] = None,
    kind: Annotated[str, typer.Option(help="flat, folded or dimpled; a tie is always flat.")] = "flat",
    at: Annotated[
        str | None,
        typer.Option(
            help="Inside the corner, or the middle of a tie, as forward,left,up. Without it: the sharpest corner of "
            "the two bars, or where the metal lies nearest along the whole tie."
        ),
    ] = None,
    leg: Annotated[
        str | None,
        typer.Option(
            help="Length along each bar from where the skins meet; 2.5 diameters of the larger tube without. Of a "
            "tie: along its bar, 120 mm without (common practice, no source)."
        ),
    ] = None,
    sheet: Annotated[str, typer.Option(help="Thickness of the sheet.")] = "2",
    hole: Annotated[str, typer.Option(help="Diameter of its hole or dimple; 0 has none.")] = "0",
    other_side: Annotated[
        str | None, typer.Option(help="Add the same on the other side of the car too, under this name.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Put a gusset between two bars, or a tie from a bar to the shell; nothing is kept when it cannot be made."""
    from hoopwright.cage import GussetKind
    from hoopwright.jobs.gussets import WantedGusset, put_gusset
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        wanted = WantedGusset(
            name=name,
            kind=GussetKind.TIE
            if other is None
            else GussetKind(f"{typed.one_of(kind, KINDS, 'a kind of gusset')} gusset"),
            bar_id=bar_id,
            other=other,
            place_mm=typed.maybe(typed.place, at),
            leg_mm=typed.maybe(parse_length_mm, leg),
            thickness_mm=parse_length_mm(sheet),
            hole_mm=parse_length_mm(hole),
        )
        with progress_bar(as_json) as progress:
            listed = put_gusset(ProjectFolder(path=project), wanted, other_side=other_side, progress=progress)
        _show(as_json, listed)


@app.command(name="list")
def list_them(
    project: Project,
    least_leg: Annotated[
        float | None,
        typer.Option(help="Least leg that the rule book allows, in diameters of the larger tube."),
    ] = None,
    most_leg: Annotated[float | None, typer.Option(help="Most leg, likewise.")] = None,
    least_sheet: Annotated[str | None, typer.Option(help="Least thickness of the sheet.")] = None,
    as_json: AsJson = False,
) -> None:
    """Every gusset and tie with its size, gap and mass, and each size against the limits that are typed."""
    from hoopwright.jobs.gussets import list_gussets
    from hoopwright.joints.gusset import GussetLimits
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        limits = GussetLimits(
            least_leg_ratio=least_leg,
            most_leg_ratio=most_leg,
            least_thickness_mm=typed.maybe(parse_length_mm, least_sheet),
        )
        with progress_bar(as_json) as progress:
            listed = list_gussets(ProjectFolder(path=project), limits=limits, progress=progress)
        _show(as_json, listed)


@app.command()
def remove(project: Project, name: Name, as_json: AsJson = False) -> None:
    """Take a gusset out of the plan."""
    from hoopwright.jobs.gussets import take_gusset_out
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        take_gusset_out(ProjectFolder(path=project), name)
        show(as_json, lambda: {"removed": name}, f"removed {name}")


def _show(as_json: bool, listed: "tuple[ListedGusset, ...]") -> None:
    findings = [finding for one in listed for finding in one.findings]
    text = "no gussets" if not listed else "\n".join([_table(listed), *_limits_text(listed)])
    show(as_json, lambda: {"gussets": [_keys(one) for one in listed]}, text, findings)


def _table(listed: "tuple[ListedGusset, ...]") -> str:
    rows = []
    for one in listed:
        gusset, made = one.gusset, one.made
        rows.append(
            [
                gusset.name,
                gusset.kind.value,
                f"{gusset.bar_id} - {gusset.other or 'shell'}",
                f"{gusset.leg_mm:.1f}",
                f"{gusset.thickness_mm:g}",
                *(
                    ("-", "-", "-")
                    if made is None
                    else (f"{made.angle_deg:.1f}°", f"{made.gap_mm:.1f}", f"{made.mass_kg:.3f}")
                ),
            ]
        )
    heads = ["name", "kind", "between", "leg mm", "sheet mm", "corner", "widest gap mm", "kg"]
    return table_text(heads, rows)


def _limits_text(listed: "tuple[ListedGusset, ...]") -> list[str]:
    return [
        f"{one.gusset.name}: {size.what} {size.measured_mm:.1f} mm against {size.limit_mm:.1f}: {size.verdict.value}"
        for one in listed
        for size in one.sizes
        if size.limit_mm is not None
    ]


def _keys(one: "ListedGusset") -> dict[str, Any]:
    gusset, made = one.gusset, one.made
    keys: dict[str, Any] = {
        "name": gusset.name,
        "kind": gusset.kind.value,
        "bar_id": gusset.bar_id,
        "other": gusset.other,
        "place_mm": list(gusset.place_mm),
        "leg_mm": gusset.leg_mm,
        "thickness_mm": gusset.thickness_mm,
        "hole_mm": gusset.hole_mm,
        "sizes": [
            {"what": s.what, "measured_mm": s.measured_mm, "limit_mm": s.limit_mm, "verdict": s.verdict.value}
            for s in one.sizes
        ],
    }
    if made is not None:
        keys |= {
            "angle_deg": made.angle_deg,
            "gap_mm": made.gap_mm,
            "mass_kg": made.mass_kg,
            "outline_mm": made.part.outline_mm.tolist(),
            "holes": [
                {"centre_mm": list(h.centre_mm), "diameter_mm": h.diameter_mm} for h in made.part.holes
            ],
            "folds": [
                {"start_mm": list(f.start_mm), "end_mm": list(f.end_mm), "angle_deg": f.angle_deg}
                for f in made.part.folds
            ],
        }
    return keys
