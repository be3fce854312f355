"""What the page of the papers shows, and how a paper is linked."""

from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field
from typing import Literal

from nicegui import ui

from hoopwright.findings import Finding
from hoopwright.jobs.issuing_sheets import IssueResult
from hoopwright.jobs.paper_files import KINDS, PaperKind, PapersMade
from hoopwright.jobs.paper_lists import ListedPaper, SheetState
from hoopwright.web.bench import Bench
from hoopwright.web.paper_routes import paper_address

Look = Callable[[], Awaitable[None]]


@dataclass
class PapersShown:
    """What this page shows of the papers."""

    sheets: tuple[SheetState, ...] | None = None
    files: tuple[ListedPaper, ...] = ()
    pages: tuple[str, ...] = ()
    paged: str = ""
    issued: IssueResult | None = None
    stopped: tuple[Finding, ...] = ()
    made: PapersMade | None = None
    kinds: dict[PaperKind, bool] = field(default_factory=lambda: dict.fromkeys(KINDS, True))
    paper: Literal["A4", "letter"] = "A4"


def paper_link(bench: Bench, one: ListedPaper) -> None:
    """A link that opens a paper in a page of its own."""
    ui.link(one.name, paper_address(bench.view.base, one.name), new_tab=True).classes("hw-link")
