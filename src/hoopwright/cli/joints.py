"""`hoopwright joints`: what is cut to what, and how each end is cut."""

from pathlib import Path
from typing import Annotated

import typer

from hoopwright.cli.cut_options import Cut, Order, Ovality, RootGap, cut_wishes
from hoopwright.cli.joints_keys import card_keys, list_keys
from hoopwright.cli.joints_text import card_text, list_text
from hoopwright.cli.output import AsJson, progress_bar, show, stopping_on_findings
from hoopwright.units import parse_length_mm


def joints(
    project: Annotated[Path, typer.Argument(help="Project folder.")],
    bar: Annotated[str | None, typer.Argument(help="The full card of this bar's ends.")] = None,
    root_gap: RootGap = None,
    ovality: Ovality = None,
    cut: Cut = "outside",
    saw: Annotated[
        list[str] | None, typer.Option(help="A hole saw that you have; common sizes without. Repeatable.")
    ] = None,
    order: Order = None,
    as_json: AsJson = False,
) -> None:
    """Every joint of the cage: which tube runs through, which is cut, how it is clocked, how long it gets."""
    from hoopwright.jobs import joints as jobs
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        wishes = cut_wishes(root_gap, ovality, cut, order)
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
