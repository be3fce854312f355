"""The tabs at the right of the workbench, one file each, in the order of the job."""

from collections.abc import Callable
from dataclasses import dataclass

from hoopwright.store import Project
from hoopwright.web.bench import Bench
from hoopwright.web.panels import (
    bar,
    bender,
    cage,
    check,
    cost,
    driver,
    fit,
    joints,
    papers,
    rule_book,
    scan,
    scrutineer,
    sticks,
    tubes,
)


MAKING = "Make the cage"
HANDING_OVER = "Hand it over"


@dataclass(frozen=True, kw_only=True)
class Panel:
    """A tab.

    Args:
        name: What it is called.
        build: Fills it, inside its element.
        group: The row of tabs that it stands in.
    """

    name: str
    build: Callable[[Bench], None]
    group: str = MAKING




def panels() -> tuple[Panel, ...]:
    """Every tab, in order."""
    return (
        Panel(name="Scan", build=scan.build),
        Panel(name="Cage", build=cage.build),
        Panel(name="Bar", build=bar.build),
        Panel(name="Fit", build=fit.build),
        Panel(name="Driver", build=driver.build),
        Panel(name="Check", build=check.build),
        Panel(name="Joints", build=joints.build),
        Panel(name="Bender", build=bender.build),
        Panel(name="Papers", build=papers.build),
        Panel(name="Rule book", build=rule_book.build, group=HANDING_OVER),
        Panel(name="Tubes", build=tubes.build, group=HANDING_OVER),
        Panel(name="Sticks", build=sticks.build, group=HANDING_OVER),
        Panel(name="Cost", build=cost.build, group=HANDING_OVER),
        Panel(name="The file", build=scrutineer.build, group=HANDING_OVER),
    )


def first_panel(project: Project) -> str:
    """The tab to open a project on: where its next thing is done."""
    if project.scan is None and not project.cage.members:
        return "Scan"
    return "Bar" if project.cage.members else "Cage"
