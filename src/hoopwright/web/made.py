"""What a tab made of the project: made in the background, kept with the version it was made of, and shown."""

from collections.abc import Awaitable, Callable, Hashable, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from nicegui import ui

from hoopwright.findings import Finding
from hoopwright.progress import Progress
from hoopwright.store import ProjectFolder
from hoopwright.web.bench import Bench
from hoopwright.web.picks import draw_when_other, finding_list, when_open
from hoopwright.web.work import work

Report = TypeVar("Report")


@dataclass
class Made(Generic[Report]):
    """What a page last made.

    Args:
        report: None while nothing was made.
        version: The version of the project that it was made of.
        turns_asked: How often it was asked for.
        turn_shown: Which of these is shown.
    """

    report: Report | None = None
    version: int | None = None
    turns_asked: int = 0
    turn_shown: int = 0


async def make(
    bench: Bench,
    made: Made[Report],
    title: str,
    what: Callable[[ProjectFolder, Progress], Report],
    *,
    edits: bool = False,
) -> None:
    """Make it in the background and let the page follow; what stops it leaves what was made before.

    Pressed again before it is done, what was asked for later is shown, whichever is done first.

    Args:
        bench: The page.
        made: Takes the result.
        title: What is done, in words.
        what: The work.
        edits: Whether it changes the project: then it is made of the version that it leaves.
    """
    version = bench.seen.version
    made.turns_asked += 1
    turn = made.turns_asked
    report = await work(bench, title, what, edits=edits)
    if report is not None and turn > made.turn_shown:
        made.turn_shown = turn
        made.report, made.version = report, bench.seen.version if edits else version
        bench.tell()


def told_below(bench: Bench) -> Callable[[Sequence[Finding]], None]:
    """A place under a form for what stopped it, which stays when the notice has gone; gives what fills it."""
    box = ui.column().classes("w-full gap-1")

    def tell(findings: Sequence[Finding]) -> None:
        box.clear()
        with box:
            finding_list(bench, findings)

    return tell


def fill_part(
    bench: Bench, key: Callable[[], Hashable], fill: Callable[[], object], *, gap: str = "gap-2"
) -> None:
    """A part of the page that is filled now, and anew whenever the key is another one."""
    box = ui.column().classes(f"w-full {gap}")

    def draw() -> None:
        box.clear()
        with box:
            fill()

    draw_when_other(bench, key, draw)


def when_unfolded(
    bench: Bench,
    tab: str,
    fold: ui.expansion,
    key: Callable[[], Hashable],
    act: Callable[[], Awaitable[None]],
) -> None:
    """Do something when a card of the open tab is unfolded, and again whenever the key is another one meanwhile.

    Args:
        bench: The page.
        tab: Name of the tab.
        fold: The card.
        key: What the result hangs on.
        act: Reads what the card shows, in the background.
    """

    async def look() -> None:
        if fold.value:
            await act()

    fold.on_value_change(bench.tell)
    when_open(bench, tab, lambda: (bool(fold.value), key()), look)
