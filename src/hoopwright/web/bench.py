"""One person's page: what he chose, what he sees, and how his edits go to the desk."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Literal, TypeVar

from nicegui import run, ui

from hoopwright.findings import Finding, UserError
from hoopwright.store import ProjectFolder
from hoopwright.units import format_length
from hoopwright.web.desk import Desk, Seen
from hoopwright.web.door.asking import NOBODY, Asker
from hoopwright.web.findings_words import finding_words
from hoopwright.web.keys import cage_keys
from hoopwright.web.picking import Picking
from hoopwright.web.viewport import Viewport

Result = TypeVar("Result")
LOOK_AGAIN_S = 0.4


@dataclass
class Bench:
    """A page of the workbench, for one browser.

    Args:
        desk: The open project.
        view: The 3D view.
        seen: What is shown now.
        picking: Picks places in the view.
        asker: Who has the page open.
        units: How lengths are shown.
        chosen: The chosen bar, or None.
        findings: What the last thing done had to say.
        shop: Where phones in the shop come in at this moment; empty while nothing is shared.
        measuring: Whether a click in the picture is a place to measure from or to, and chooses no bar.
        open_tools: Puts the tool over the picture away that is open.
        tab: The tab that is open.
        open_tab: Opens the tab of a name.
    """

    desk: Desk
    view: Viewport
    seen: Seen
    picking: Picking
    asker: Asker = NOBODY
    units: Literal["mm", "in"] = "mm"
    chosen: str | None = None
    findings: tuple[Finding, ...] = ()
    shop: Callable[[], str] = str
    measuring: bool = False
    open_tools: list[Callable[[], None]] = field(default_factory=list)
    tab: str = ""
    open_tab: Callable[[str], None] = lambda _: None
    _told_shop: str = ""
    _listeners: list[tuple[Callable[[], None], ui.element | None]] = field(default_factory=list)

    @property
    def at_laptop(self) -> bool:
        """Whether the page is at the laptop that serves: only there may paths of its disk be named."""
        return self.asker.at_laptop

    @property
    def shop_address(self) -> str:
        """Where phones in the shop come in; empty while nothing is shared."""
        return self.shop()

    def when_changed(self, act: Callable[[], None], *, on: ui.element | None = None) -> None:
        """Call `act` whenever the project, the choice, the units, the findings or sharing have changed.

        Args:
            act: What follows.
            on: What it is for: no more once that was taken off the page.
        """
        self._listeners.append((act, on))

    def tell(self) -> None:
        """Let everything on the page follow what is shown now."""
        self._told_shop = self.shop_address
        for act, on in tuple(self._listeners):
            if on is None or not on.is_deleted:
                act()
        self._listeners[:] = [(act, on) for act, on in self._listeners if on is None or not on.is_deleted]

    def choose(self, bar_id: str | None) -> None:
        """Choose a bar, or none."""
        self.chosen = bar_id
        self.view.choose(bar_id)
        self.tell()

    def length(self, value_mm: float) -> str:
        """A length in the units of this page."""
        return format_length(value_mm, self.units)

    async def edit(
        self, what: Callable[[ProjectFolder], Result], *, bar_id: str | None = None
    ) -> Result | None:
        """Do an edit in the background and show what came of it; a finding that stops it is told.

        Args:
            what: The edit.
            bar_id: The bar that it changes, where another window must not have changed it meanwhile.
        """
        shown = self.seen
        try:
            result = await run.io_bound(lambda: self.desk.edit(what, bar_id=bar_id, shown=shown))
        except UserError as error:
            self.say(error.findings)
            await self.follow(again=True)
            return None
        await self.follow()
        return result

    def say(self, findings: tuple[Finding, ...]) -> None:
        """Tell findings: kept on the page, and the first one as a notice."""
        self.findings = findings
        for finding in findings[:1]:
            # what was pressed may be gone from the page by now; the view stays
            with self.view:
                ui.notify(
                    finding_words(finding, self.units),
                    multi_line=True,
                    type="warning",
                    timeout=8000,
                    close_button="Close",
                )
        self.tell()

    async def follow(self, *, again: bool = False) -> None:
        """Show the project as it is now, if it has changed; `again` shows it in any case."""
        if self.shop_address != self._told_shop:
            self.tell()
        if not again and not self.desk.changed_since(self.seen.version):
            return
        try:
            seen = await run.io_bound(self.desk.seen)
        except UserError as error:
            self.say(error.findings)
            return
        if seen is None:  # the server is closing
            return
        if not again and seen.version == self.seen.version:
            # an edit of this page has shown it meanwhile
            return
        other_shell = seen.shell_key != self.seen.shell_key
        self.seen = seen
        if self.chosen is not None and self.chosen not in seen.project.cage:
            self.chosen = None
        if other_shell and seen.shell_key is not None:
            self.view.load_shell(seen.shell_key)
        elif other_shell:
            self.view.drop_shell()
        self.view.show_cage(cage_keys(seen))
        self.tell()
