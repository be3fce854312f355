"""`hoopwright bar tube`, `steel` and `leg`: what a bar is made of, and where its leg ends."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from hoopwright.cli import typed
from hoopwright.cli.output import AsJson, show, stopping_on_findings
from hoopwright.units import parse_length_mm

if TYPE_CHECKING:
    from hoopwright.cage import EndLetter
    from hoopwright.jobs.bar_values import ChangedBars

Project = Annotated[Path, typer.Argument(help="Project folder.")]
BarId = Annotated[str, typer.Argument(help="The bar, such as MH.")]


def tube(
    project: Project,
    bar_id: BarId,
    size: Annotated[str, typer.Argument(help="Its new tube: 'OD x WALL'.")],
    die: Annotated[str | None, typer.Option(help="Die that it is bent on then.")] = None,
    clr: Annotated[str | None, typer.Option(help="Radius that it is drawn with then.")] = None,
    as_json: AsJson = False,
) -> None:
    """Make a bar and its mirror of another tube; gaps, ends, sheets and papers follow."""
    from hoopwright.jobs.bar_values import set_tube
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        new = typed.tube_size(size)
        done = set_tube(
            ProjectFolder(path=project), bar_id, new, die=die, clr_mm=typed.maybe(parse_length_mm, clr)
        )
        _tell(as_json, done, f"tube {new}")


def steel(
    project: Project,
    bar_id: BarId,
    words: Annotated[str, typer.Argument(help="Steel as its certificate has it, such as 'E235 +N'.")],
    as_json: AsJson = False,
) -> None:
    """Say what a bar and its mirror are made of."""
    from hoopwright.jobs.bar_values import set_steel
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        _tell(as_json, set_steel(ProjectFolder(path=project), bar_id, words), f"steel {words}")


def leg(
    project: Project,
    bar_id: BarId,
    length: Annotated[str, typer.Argument(help="Along the bar from its foot to where its leg ends; 'none'.")],
    end: Annotated[
        str | None,
        typer.Option("--from", help="End that it is counted from, A or B; that of the foot without."),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Mark which part of a bar and its mirror counts as the leg, for books that count its bends."""
    from hoopwright.jobs.bar_values import mark_leg
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        leg_mm = None if length.strip().lower() == "none" else parse_length_mm(length)
        folder = ProjectFolder(path=project)
        done = mark_leg(folder, bar_id, leg_mm, None if end is None else _letter(end))
        at = folder.open().project.cage.member(bar_id).leg_from
        words = "no leg marked" if leg_mm is None else f"leg of {leg_mm:g} mm from end {at}"
        _tell(as_json, done, words)


def _letter(text: str) -> "EndLetter":
    return "A" if typed.one_of(text.strip().upper(), ("A", "B"), "an end of the bar") == "A" else "B"


def _tell(as_json: bool, done: "ChangedBars", words: str) -> None:
    show(as_json, lambda: {"bars": list(done.bars)}, f"{', '.join(done.bars)}: {words}", done.findings)
