"""`hoopwright measured`: numbers that a person measured on the cage or read from a certificate."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from hoopwright.cli import typed
from hoopwright.cli.output import AsJson, show, stopping_on_findings, table_text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hoopwright.store.build_records import HandMeasure


def measured(
    project: Annotated[Path, typer.Argument(help="Project folder.")],
    about: Annotated[
        str | None, typer.Argument(help="A bar, a foot ('MH foot A'), a driver, L, R or cage; lists without.")
    ] = None,
    bend: Annotated[int, typer.Option(help="Number of the bend, from 1 at end A.")] = 0,
    ovality: Annotated[
        str | None, typer.Option(help="Smallest and largest outside width in that bend: 40.9/46.2.")
    ] = None,
    od: Annotated[str | None, typer.Option(help="Outside diameter of the tube, measured.")] = None,
    wall: Annotated[str | None, typer.Option(help="Wall of the tube, measured.")] = None,
    padding: Annotated[
        str | None, typer.Option(help="Thickness of the padding on the bar; 0 for none.")
    ] = None,
    value: Annotated[
        list[str] | None,
        typer.Option(
            help="Any other by its name: 'pillar gap=180', 'carbon=0.18', 'exit time=6'. Repeatable."
        ),
    ] = None,
    take_back: Annotated[
        list[str] | None, typer.Option(help="Take the last number of that name back. Repeatable.")
    ] = None,
    names: Annotated[bool, typer.Option("--names", help="List what can be measured by hand.")] = False,
    as_json: AsJson = False,
) -> None:
    """Type what was measured by hand; nothing is overwritten, the last number counts."""
    from hoopwright.jobs.hand_measures import TypedMeasure, hand_kinds, keep_measures, measured_by_hand
    from hoopwright.jobs.typed import unreadable
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        folder = ProjectFolder(path=project)
        if names:
            kinds = hand_kinds()
            lines = [
                f"{name}{f' ({kind.unit})' if kind.unit else ''}: {kind.what}" for name, kind in kinds.items()
            ]
            show(
                as_json,
                lambda: {"names": {name: vars(kind) for name, kind in kinds.items()}},
                "\n".join(lines),
            )
            return
        texts = {"ovality": ovality, "outside diameter": od, "wall": wall, "padding": padding}
        wanted = [
            TypedMeasure(name=n, text=t, bend=bend if n == "ovality" else 0) for n, t in texts.items() if t
        ]
        for one in value or ():
            name, equals, text = one.partition("=")
            if not (equals and text.strip()):
                raise unreadable(one, "a name and its number: 'pillar gap=180'")
            wanted.append(TypedMeasure(name=name, text=text))
        wanted += [TypedMeasure(name=n, text="", bend=bend if n == "ovality" else 0) for n in take_back or ()]
        if about is not None and wanted:
            keep_measures(folder, about, wanted, date=typed.today())
        elif wanted:
            raise typer.BadParameter(
                "name the bar, foot, driver or side that was measured", param_hint="ABOUT"
            )
        kept = [
            one for one in measured_by_hand(folder) if about is None or one.about.lower() == about.lower()
        ]
        show(as_json, lambda: {"measures": [vars(one) for one in kept]}, _text(kept))


def _text(kept: "Sequence[HandMeasure]") -> str:
    if not kept:
        return "nothing measured by hand yet; 'hoopwright measured PROJECT --names' says what can be"
    from hoopwright.jobs.hand_measures import hand_kinds

    kinds = hand_kinds()
    rows = []
    for one in kept:
        numbers = " / ".join(f"{number:g}" for number in (one.measured, one.other) if number is not None)
        unit = kinds[one.name].unit if one.name in kinds else ""
        name = f"{one.name}, bend {one.bend}" if one.bend else one.name
        rows.append([one.about, name, f"{numbers} {unit}".strip(), one.date])
    return table_text(["at", "measured", "number", "on"], rows)
