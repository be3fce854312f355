"""`hoopwright bar`: add, move, mirror, remove and show bars."""

from pathlib import Path
from typing import Annotated

import typer

from hoopwright.cli import bar_values, cut_from, holes, other_side, typed
from hoopwright.cli.output import NEGATIVE_PLACES, AsJson, show, stopping_on_findings, table_text
from hoopwright.findings import Finding
from hoopwright.units import parse_length_mm

app = typer.Typer(no_args_is_help=True, help="Add, move, mirror, remove and show bars.")

Project = Annotated[Path, typer.Argument(help="Project folder.")]
BarId = Annotated[str, typer.Argument(help="The bar, such as MH.")]
Place = Annotated[str, typer.Argument(help="Place as forward,left,up.")]
Alone = Annotated[
    bool, typer.Option("--alone", help="Leave the ends of other bars that land on it where they are.")
]


@app.command("add")
def add(
    project: Project,
    bar_id: Annotated[str, typer.Argument(help="Name of the new bar, such as MH.")],
    role: Annotated[str, typer.Option(help="What it is, such as 'main hoop' or 'side bar'.")],
    nodes: Annotated[Path, typer.Option(help="CSV of its nodes: forward,left,up.")],
    tube: Annotated[str, typer.Option(help="Tube: 'OD x WALL'.")] = "45 x 2.5",
    die: Annotated[str, typer.Option(help="Die that it is bent on.")] = "45",
    clr: Annotated[str, typer.Option(help="Radius that it is drawn with.")] = "137.5",
    trim_a: Annotated[str, typer.Option(help="Tube left beyond end A until test fit.")] = "30",
    trim_b: Annotated[str, typer.Option(help="Tube left beyond end B until test fit.")] = "30",
    end_a: Annotated[
        str, typer.Option(help="What end A lands on: shell, free, or a bar such as MH.")
    ] = "free",
    end_b: Annotated[str, typer.Option(help="What end B lands on.")] = "free",
    landing_a: Annotated[
        str | None,
        typer.Option(help="Length at end A that is not judged for gaps; by what it lands on without."),
    ] = None,
    landing_b: Annotated[str | None, typer.Option(help="The same at end B.")] = None,
    as_json: AsJson = False,
) -> None:
    """Add a bar by its nodes."""
    from hoopwright.cage import Role
    from hoopwright.jobs import cage_bars
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        kinds = tuple(one.value for one in Role)
        findings = cage_bars.add_bar(
            ProjectFolder(path=project),
            bar_id=bar_id,
            role=Role(typed.one_of(role, kinds, "a role")),
            nodes_file=nodes,
            tube=typed.tube_size(tube),
            die=die,
            clr_mm=parse_length_mm(clr),
            end_a=cage_bars.end_on(end_a, parse_length_mm(trim_a), typed.maybe(parse_length_mm, landing_a)),
            end_b=cage_bars.end_on(end_b, parse_length_mm(trim_b), typed.maybe(parse_length_mm, landing_b)),
        )
        show(as_json, lambda: {"bar_id": bar_id}, f"bar {bar_id} added", findings)


@app.command("move", context_settings=NEGATIVE_PLACES)
def move(
    project: Project,
    bar_id: BarId,
    node: Annotated[int, typer.Argument(help="Number of the node, from 1 at end A.")],
    place: Place,
    alone: Alone = False,
    as_json: AsJson = False,
) -> None:
    """Move one node of a bar; ends of other bars that land on it go along."""
    from hoopwright.jobs import cage_bars
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        at = typed.place(place)
        findings = cage_bars.move_bar_node(ProjectFolder(path=project), bar_id, node, at, alone=alone)
        _done(as_json, bar_id, f"node {node} of {bar_id} moved", findings)


@app.command("add-node", context_settings=NEGATIVE_PLACES)
def add_node(
    project: Project,
    bar_id: BarId,
    after: Annotated[int, typer.Argument(help="Number of the node after which it comes.")],
    place: Place,
    alone: Alone = False,
    as_json: AsJson = False,
) -> None:
    """Add a node: one more bend; ends of other bars that land on it go along."""
    from hoopwright.jobs import cage_bars
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        at = typed.place(place)
        findings = cage_bars.add_bar_node(ProjectFolder(path=project), bar_id, after, at, alone=alone)
        _done(as_json, bar_id, f"node added to {bar_id}", findings)


@app.command("remove-node")
def remove_node(
    project: Project,
    bar_id: BarId,
    node: Annotated[int, typer.Argument(help="Number of the node.")],
    alone: Alone = False,
    as_json: AsJson = False,
) -> None:
    """Take a node out: one bend less; ends of other bars that land on it go along."""
    from hoopwright.jobs import cage_bars
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        findings = cage_bars.remove_bar_node(ProjectFolder(path=project), bar_id, node, alone=alone)
        _done(as_json, bar_id, f"node {node} taken out of {bar_id}", findings)


app.command("hole", context_settings=NEGATIVE_PLACES)(holes.hole)
app.command("holes")(holes.holes)
app.command("remove-hole")(holes.remove_hole)


@app.command("mirror")
def mirror(
    project: Project,
    bar_id: BarId,
    new_id: Annotated[str, typer.Argument(help="Name of the bar of the other side.")],
    as_json: AsJson = False,
) -> None:
    """Add the bar of the other side: same lengths and angles, every rotation with the other sign."""
    from hoopwright.jobs import cage_bars
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        cage_bars.mirror_bar(ProjectFolder(path=project), bar_id, new_id)
        _done(as_json, new_id, f"{new_id} mirrors {bar_id}", ())


@app.command("free")
def free(project: Project, bar_id: BarId, as_json: AsJson = False) -> None:
    """Give a mirrored bar nodes of its own."""
    from hoopwright.jobs import cage_bars
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        cage_bars.free_bar(ProjectFolder(path=project), bar_id)
        _done(as_json, bar_id, f"{bar_id} no longer mirrors another bar", ())


@app.command("remove")
def remove(project: Project, bar_id: BarId, as_json: AsJson = False) -> None:
    """Take a bar out of the cage."""
    from hoopwright.jobs import cage_bars
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        cage_bars.remove_bar(ProjectFolder(path=project), bar_id)
        _done(as_json, bar_id, f"bar {bar_id} removed", ())


@app.command("list")
def list_bars(project: Project, as_json: AsJson = False) -> None:
    """The bars of the cage with their nodes."""
    from hoopwright.jobs import cage_bars
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        listed = cage_bars.list_bars(ProjectFolder(path=project))
        rows = [
            [
                one.bar.name,
                one.member.role.value,
                str(one.bar.tube),
                one.member.mirror_of or "",
                " ".join(f"({f:.0f},{le:.0f},{u:.0f})" for f, le, u in one.bar.nodes_mm),
            ]
            for one in listed
        ]
        keys = [
            {
                "bar_id": one.bar.name,
                "role": one.member.role.value,
                "mirror_of": one.member.mirror_of,
                "od_mm": one.bar.tube.od_mm,
                "wall_mm": one.bar.tube.wall_mm,
                "clr_mm": one.bar.clr_mm,
                "nodes_mm": [list(node) for node in one.bar.nodes_mm],
            }
            for one in listed
        ]
        text = (
            table_text(["bar", "role", "tube", "mirror of", "nodes (forward,left,up)"], rows)
            if rows
            else "no bars yet"
        )
        show(as_json, lambda: {"bars": keys}, text)


@app.command("show")
def show_bar(
    project: Project,
    bar_or_code: Annotated[str, typer.Argument(help="A bar, or what the square code on its sheet says.")],
    as_json: AsJson = False,
) -> None:
    """One bar's sheet as text, and whether the sheet in hand is the one in force."""
    from hoopwright.jobs.opened_sheets import open_sheet
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        shown = open_sheet(ProjectFolder(path=project), bar_or_code, typed.today())
        keys = {"bar_id": shown.sheet.bar_id, "identity": shown.sheet.identity, "in_force": shown.in_force}
        show(as_json, lambda: dict(keys), shown.text, shown.findings)


app.command("other-side")(other_side.other_side)
app.command("tube")(bar_values.tube)
app.command("steel")(bar_values.steel)
app.command("leg")(bar_values.leg)
app.command("cut-from")(cut_from.cut_from)


def _done(as_json: bool, bar_id: str, text: str, findings: tuple[Finding, ...]) -> None:
    show(as_json, lambda: {"bar_id": bar_id}, text, findings)
