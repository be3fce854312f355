"""One open project as the server holds it: what is on disk now, its shell, and one edit at a time."""

import hashlib
import threading
from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

from hoopwright.cage import Cage
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.shells import cut_open, open_whole_shell
from hoopwright.jobs.views import BarView, drawn_shell, view_bars
from hoopwright.progress import Progress, silent
from hoopwright.shell.display import DisplayMesh
from hoopwright.shell.shell import Shell
from hoopwright.store import Project, ProjectFolder
from hoopwright.store.folder import PROJECT_FILE, Opened
from hoopwright.store.stamps import stamp_of_files
from hoopwright.web.present import Present
from hoopwright.web.uploads import Uploads

Result = TypeVar("Result")


@dataclass(frozen=True, kw_only=True, eq=False)
class Seen:
    """The project at one moment, with what is drawn of it.

    Args:
        version: Grows with every change that the desk saw, whoever made it.
        opened: As read.
        calibrations: Changes with the sample bends that are kept in the project.
        bars: Every bar with its gaps.
        shell_key: Names the shell as it is drawn; None without a scan.
    """

    version: int
    opened: Opened
    calibrations: str
    bars: tuple[BarView, ...]
    shell_key: str | None

    @property
    def project(self) -> Project:
        """The project."""
        return self.opened.project


class Desk:
    """A project that several pages look at and change.

    Edits go through jobs, which read and write the folder; the desk lets one at a time through and looks again.

    Args:
        folder: The project.
    """

    def __init__(self, folder: ProjectFolder) -> None:
        self.folder = folder
        self.present = Present()
        self._one_edit = threading.RLock()
        self._seen: Seen | None = None
        self._bars: tuple[Cage, Shell | None, tuple[BarView, ...]] | None = None
        self._shell: tuple[object, Shell] | None = None
        self._whole: tuple[object, Shell] | None = None
        self._drawn: dict[bool, tuple[str | None, DisplayMesh]] = {}
        self._one_drawing = {light: threading.Lock() for light in (True, False)}
        self.uploads = Uploads(folder)

    def seen(self, progress: Progress = silent) -> Seen:
        """The project as it is on disk, read again only when its file or its sample bends have changed.

        Raises:
            UserError: When the project or its scan cannot be opened.
        """
        with self._one_edit:
            calibrations = self._calibrations()
            opened = self.folder.open()
            then = self._seen
            if then is None or (then.opened.content, then.calibrations) != (opened.content, calibrations):
                shell = self._shell_of(opened.project, progress)
                bars = self._bars_of(opened.project.cage, shell)
                then = Seen(
                    version=1 if then is None else then.version + 1,
                    opened=opened,
                    calibrations=calibrations,
                    bars=bars,
                    shell_key=None if shell is None else _name_of(opened.project),
                )
                self._seen = then
            return then

    def shell(self, progress: Progress = silent) -> Shell | None:
        """The shell with the holes of the bars, or None without a scan."""
        with self._one_edit:
            return self._shell_of(self.folder.open().project, progress)

    def whole_shell(self, progress: Progress = silent) -> Shell | None:
        """The shell as scanned, without holes, or None without a scan."""
        with self._one_edit:
            return self._whole_of(self.folder.open().project, progress)

    def shown(self) -> tuple[Seen, Shell | None]:
        """What was last looked at, with its shell; nothing is read for it unless it is the first look.

        A node that is dragged asks many times a second: what another program wrote meanwhile is seen when it is let go.
        """
        seen = self._seen or self.seen()
        kept = self._shell
        if seen.shell_key is None or kept is None:
            return seen, self.shell()
        return seen, kept[1]

    def drawn(self, *, light: bool) -> tuple[str | None, DisplayMesh] | None:
        """The thinned scan to look at, and its key; None without a scan. Thinned once, whoever asks."""
        with self._one_drawing[light]:
            seen, shell = self.shown()
            if shell is None:
                return None
            kept = self._drawn.get(light)
            if kept is None or kept[0] != seen.shell_key:
                kept = (seen.shell_key, drawn_shell(self.folder, seen.project, shell, light=light))
                self._drawn[light] = kept
            return kept

    def changed_since(self, version: int) -> bool:
        """Whether the project has changed, here or elsewhere, since a version was shown."""
        seen = self._seen
        if seen is None or seen.version != version:
            return True
        try:
            content = (self.folder.path / PROJECT_FILE).read_bytes()
        except OSError:
            return True
        return (content, self._calibrations()) != (seen.opened.content, seen.calibrations)

    def edit(
        self,
        what: Callable[[ProjectFolder], Result],
        *,
        bar_id: str | None = None,
        shown: Seen | None = None,
    ) -> Result:
        """Do one edit.

        Args:
            what: The edit; it saves by itself.
            bar_id: The bar that it changes, where it changes one as it was shown.
            shown: What the person had before his eyes.

        Raises:
            UserError: What the edit stops on; `WEB-001` where that bar was changed elsewhere since.
        """
        with self._one_edit:
            if bar_id is not None and shown is not None:
                _check_unchanged(self.folder.open().project, shown.project, bar_id)
            try:
                return what(self.folder)
            finally:
                self._seen_again()

    def _calibrations(self) -> str:
        return stamp_of_files(self.folder.calibration_files)

    def _seen_again(self) -> None:
        try:
            self.seen()
        except UserError:
            # the page tells it when it looks
            return

    def _bars_of(self, cage: Cage, shell: Shell | None) -> tuple[BarView, ...]:
        """Bars with their gaps; those of before where an edit changed neither the cage nor the shell."""
        kept = self._bars
        if kept is None or kept[0] != cage or kept[1] is not shell:
            kept = self._bars = (cage, shell, view_bars(cage, shell))
        return kept[2]

    def _shell_of(self, project: Project, progress: Progress) -> Shell | None:
        if project.scan is None:
            return None
        key = (_name_of(project), project.named_places)
        if self._shell is None or self._shell[0] != key:
            whole = self._whole_of(project, progress)
            self._shell = None if whole is None else (key, cut_open(whole, project))
        return None if self._shell is None else self._shell[1]

    def _whole_of(self, project: Project, progress: Progress) -> Shell | None:
        scan = project.scan
        if scan is None:
            return None
        axes = scan.to_vehicle.rotation.tobytes() + scan.to_vehicle.shift_mm.tobytes()
        key = (scan.sha256, scan.unit, axes, project.named_places)
        if self._whole is None or self._whole[0] != key:
            # both are let go before the next is read, so that memory holds one scan and not two
            self._whole = self._shell = self._bars = None
            self._whole = (key, open_whole_shell(self.folder, project, progress=progress))
        return self._whole[1]


def _name_of(project: Project) -> str:
    """Names what a drawn shell is made from."""
    scan = project.scan
    assert scan is not None  # noqa: S101 - asked for projects with a scan only
    axes = scan.to_vehicle.rotation.tobytes() + scan.to_vehicle.shift_mm.tobytes()
    made_from = f"{scan.sha256}{scan.unit}{project.cage.holes}{_holed(project)}".encode() + axes
    return hashlib.sha256(made_from).hexdigest()[:20]


def _holed(project: Project) -> tuple[object, ...]:
    """The bars that have holes: these follow their axes."""
    names = {hole.bar_id for hole in project.cage.holes}
    return tuple(
        (member.nodes_mm, member.clr_mm, member.tube)
        for member in project.cage.members
        if member.member_id in names or member.mirror_of in names
    )


def _check_unchanged(now: Project, then: Project, bar_id: str) -> None:
    was = next((m for m in then.cage.members if m.member_id == bar_id), None)
    there = next((m for m in now.cage.members if m.member_id == bar_id), None)
    if was == there:
        return
    how = "was taken out" if there is None else "was changed"
    raise UserError(
        Finding(
            code="WEB-001",
            severity=Severity.STOP,
            sentence=f"Bar {bar_id} {how} in another window since this one showed it; nothing was overwritten.",
            todo="Look at it as it is now, and do your change again if you still want it.",
            objects=(bar_id,),
        )
    )
