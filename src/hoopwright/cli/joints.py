"""`hoopwright joints`: what is cut to what, and how each end is cut."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from hoopwright.cli import typed
from hoopwright.cli.joints_text import card_keys, card_text, list_keys, list_text
from hoopwright.cli.output import AsJson, progress_bar, show, stopping_on_findings
from hoopwright.units import parse_length_mm

if TYPE_CHECKING:
    from hoopwright.joints.cope import CutKind
    from hoopwright.joints.meet import CutWishes

_CUTS: tuple["CutKind", ...] = ("outside", "square", "radial")


def joints(
    project: Annotated[Path, typer.Argument(help="Project folder.")],
    bar: Annotated[str | None, typer.Argument(help="The full card of this bar's ends.")] = None,
    root_gap: Annotated[
        list[str] | None,
        typer.Option(help="Left between cut and header, for all joints, or 'MH/SB-L-B: 1.2'. Repeatable."),
    ] = None,
    ovality: Annotated[
        list[str] | None,
        typer.Option(help="A bend as measured, in its plane x across: 'MH 2: 40.9 x 46.2'. Repeatable."),
    ] = None,
    cut: Annotated[
        str,
        typer.Option(
            help="outside: the outside touches all round, the inside edge is filed back; square: straight in through "
            "the wall, nothing stands in; radial: straight in to the inside's line."
        ),
    ] = "outside",
    saw: Annotated[
        list[str] | None, typer.Option(help="A hole saw that you have; common sizes without. Repeatable.")
    ] = None,
    order: Annotated[
        str | None, typer.Option(help="Order of assembly, 'MH, SB-L, SB-R'; the cage's own without.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Every joint of the cage: which tube runs through, which is cut, how it is clocked, how long it gets."""
    from hoopwright.jobs import joints as jobs
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        wishes = _wishes(root_gap or [], ovality or [], cut, order)
        saws = {} if saw is None else {"saws_mm": [parse_length_mm(text) for text in saw]}
        folder = ProjectFolder(path=project)
        with progress_bar(as_json) as progress:
            made = jobs.joints_of(
                folder, wishes, only=() if bar is None else (bar,), progress=progress, **saws
            )
        if bar is None:
            show(as_json, lambda: list_keys(made), list_text(made), made.findings)
        else:
            one = made.bar(bar)
            show(as_json, lambda: card_keys(made, one), card_text(made, one), made.findings)


def _wishes(gaps: list[str], ovals: list[str], cut: str, order: str | None) -> "CutWishes":
    from hoopwright.joints.meet import CutWishes

    read = [typed.root_gap(text) for text in gaps]
    return CutWishes(
        root_gap_mm=next((gap for name, gap in reversed(read) if name is None), 0.0),
        root_gaps_mm={name: gap for name, gap in read if name is not None},
        oval_bends=dict(typed.oval_bend(text) for text in ovals),
        cut=typed.one_of(cut, _CUTS, "how the wall is cut"),
        order=tuple(name.strip() for name in (order or "").split(",") if name.strip()),
    )
