"""`hoopwright assembly`: how each bar gets into the car, and in which order."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from hoopwright.cli.output import AsJson, progress_bar, show, stopping_on_findings, table_text
from hoopwright.cli.paper_options import day_of
from hoopwright.units import parse_length_mm

if TYPE_CHECKING:
    from hoopwright.jobs.assembly import AssemblyReport
    from hoopwright.joints.ways.order import Step


def assembly(
    project: Annotated[Path, typer.Argument(help="Project folder.")],
    bar: Annotated[str | None, typer.Argument(help="One bar; the order of all without.")] = None,
    through: Annotated[
        list[str] | None,
        typer.Option(
            help="Opening to try: door-left, door-right, screen, tailgate, or one that you typed. Repeatable."
        ),
    ] = None,
    gap: Annotated[str, typer.Option(help="Clearance that a bar keeps on its way.")] = "3",
    order: Annotated[
        str | None,
        typer.Option(
            help="'auto' finds one, 'typed' checks the project's, or bars in order: MH,SB-L+SB-R,SC. "
            "Without it, the project's where it has one."
        ),
    ] = None,
    tacked: Annotated[
        list[str] | None, typer.Option(help="Bars that go in as one piece: SB-L+SC+SB-R. Repeatable.")
    ] = None,
    keep: Annotated[
        bool, typer.Option("--keep", help="Keep the order in the project (undo takes it back).")
    ] = False,
    picture: Annotated[
        bool, typer.Option("--picture", help="Draw every step into the project's papers.")
    ] = False,
    date: Annotated[
        str | None, typer.Option(help="With --picture: day of issue, ISO 8601; today without.")
    ] = None,
    seed: Annotated[
        int, typer.Option(help="Seed of the random numbers: the same seed gives the same ways.")
    ] = 1,
    trials: Annotated[int, typer.Option(help="How long a way is looked for, through each opening.")] = 6000,
    as_json: AsJson = False,
) -> None:
    """Find the way of every bar through an opening to its place, past what is in, and an order that goes."""
    from hoopwright.jobs.assembly import plan_assembly
    from hoopwright.jobs.assembly_pictures import draw_assembly
    from hoopwright.jobs.made_pdf import DrawnFiles
    from hoopwright.store import ProjectFolder

    if seed < 1 or not 1 <= trials <= 1_000_000:
        raise typer.BadParameter("The seed is 1 or more, trials are 1 to 1000000.")
    if keep and bar is not None:
        raise typer.BadParameter("--keep keeps a whole order: leave the bar out.")
    typed = None if order in (None, "auto", "typed") else _groups(str(order).split(","))
    with stopping_on_findings(as_json):
        folder = ProjectFolder(path=project)
        day = day_of(date)
        with progress_bar(as_json) as progress:
            made = plan_assembly(
                folder,
                bar=bar,
                through=through or (),
                gap_mm=parse_length_mm(gap),
                order=typed,
                use="auto" if order == "auto" else "typed" if order == "typed" else "",
                tacked=_groups(tacked or ()),
                keep=keep,
                seed=seed,
                trials=trials,
                progress=progress,
            )
            drawn = draw_assembly(folder, made, date=day, progress=progress) if picture else DrawnFiles()
        lines = [
            _table(made),
            *(["the order is kept"] if made.kept else []),
            *(f"written: {one}" for one in drawn.files),
        ]
        keys = {**_keys(made), "pictures": list(drawn.files)}
        show(as_json, lambda: keys, "\n".join(lines), (*made.findings, *drawn.findings))


def _groups(words: list[str] | tuple[()]) -> tuple[tuple[str, ...], ...]:
    groups = tuple(tuple(name.strip() for name in word.split("+")) for word in words)
    if any(not name for group in groups for name in group):
        raise typer.BadParameter("Bars are joined as MH,SB-L or tacked as SB-L+SC; a name is missing.")
    return groups


def _table(made: "AssemblyReport") -> str:
    heads = ["step", "bar", "goes", "through", "tightest mm", "at", "near", "over the last 100 mm"]
    return table_text(heads, [_row(made, number, step) for number, step in enumerate(made.steps, start=1)])


def _row(made: "AssemblyReport", number: int, step: "Step") -> list[str]:
    way, name = step.way, "+".join(step.group)
    if not way.found:
        return [str(number), name, "NO", "", "", "", "", ""]
    tight = way.tightest
    at = ["", "", ""]
    if tight is not None:
        where = f"{tight.along_mm:.0f} from A" + (f" of {tight.name}" if len(step.group) > 1 else "")
        at = [f"{tight.clearance_mm:.1f}", where, tight.to or made.region_of(tight.triangle)]
    return [
        str(number),
        name,
        "yes",
        way.through,
        *at,
        made.whence(step).removesuffix(" over the last 100 mm"),
    ]


def _keys(made: "AssemblyReport") -> dict[str, Any]:
    return {
        "order": [list(step.group) for step in made.steps] if made.is_order else None,
        "kept": made.kept,
        "gap_mm": made.place.gap_mm,
        "seed": made.place.seed,
        "openings": [
            {
                "name": one.name,
                "middle_mm": list(one.middle_mm),
                "outward": list(one.outward),
                "wide_mm": one.wide_mm,
                "high_mm": one.high_mm,
                "typed": one.typed,
            }
            for one in made.openings
        ],
        "steps": [_step_keys(made, step) for step in made.steps],
    }


def _step_keys(made: "AssemblyReport", step: "Step") -> dict[str, Any]:
    way, tight = step.way, step.way.tightest
    return {
        "bars": list(step.group),
        "after": list(step.there),
        "too_early_for": list(step.too_early_for),
        "found": way.found,
        "through": way.through if way.found else None,
        "trials": way.trials,
        "straight_off": way.straight if way.found else None,
        "turns_about_mm": [float(x) for x in way.carried.body.middle_mm],
        "poses": [
            {"shift_mm": [float(x) for x in one[:3]], "turn_xyzw": [float(x) for x in one[3:]]}
            for one in way.poses
        ],
        "tightest": None
        if tight is None
        else {
            "clearance_mm": tight.clearance_mm,
            "bar": tight.name,
            "from_a_mm": tight.along_mm,
            "place_mm": list(tight.place_mm),
            "to": tight.to or made.region_of(tight.triangle),
        },
    }
