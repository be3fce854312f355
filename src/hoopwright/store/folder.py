"""The project folder: `cage.json`, `history/`, `scans/`, `calibrations/` and `papers/`."""

from dataclasses import dataclass, replace
from pathlib import Path

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.store.history import History
from hoopwright.store.kept_scans import keep_scan
from hoopwright.store.project import NEVER_UNDONE, Project
from hoopwright.store.schema import from_json, to_json
from hoopwright.store.writing import not_made, one_at_a_time, write_whole

PROJECT_FILE = "cage.json"


@dataclass(frozen=True, kw_only=True)
class Opened:
    """A project as it was read.

    Args:
        project: The project.
        step: Its place in the history.
        content: The file's bytes; a save checks that nobody changed them since.
    """

    project: Project
    step: int
    content: bytes


@dataclass(frozen=True, kw_only=True)
class ProjectFolder:
    """A folder that holds one project.

    Args:
        path: The folder.
    """

    path: Path

    @property
    def holds_project(self) -> bool:
        """Whether there is a project, readable or not, or a file where the folder should be."""
        return self.path.is_file() or (self.path / PROJECT_FILE).exists()

    @property
    def scans(self) -> Path:
        """Scans as given, and their caches."""
        return self.path / "scans"

    @property
    def papers(self) -> Path:
        """Made things."""
        return self.path / "papers"

    @property
    def photos(self) -> Path:
        """Photos for the scrutineer's file, made small."""
        return self.path / "photos"

    @property
    def calibrations(self) -> Path:
        """Sample-bend files as given."""
        return self.path / "calibrations"

    @property
    def calibration_files(self) -> list[Path]:
        """The sample-bend files, in the order in which they were kept."""
        return sorted(self.calibrations.glob("*.toml"))

    @property
    def bending(self) -> Path:
        """Records of what was bent, one file for each stick."""
        return self.path / "bending"

    @property
    def stock(self) -> Path:
        """A recording of cuts that is under way, and plans that were shown."""
        return self.path / "stock"

    def create(self, project: Project) -> None:
        """Start a project in a folder that holds none.

        Raises:
            UserError: `STORE-001` when there is one already or the path is a file.
        """
        file = self.path / PROJECT_FILE
        try:
            taken = file.exists() or (self.path.exists() and not self.path.is_dir())
        except OSError as error:
            raise not_made(self.path, error) from error
        if taken:
            raise UserError(
                Finding(
                    code="STORE-001",
                    severity=Severity.STOP,
                    sentence=f"{self.path} already holds a project, or is not a folder.",
                    todo="Choose another folder.",
                    objects=(str(self.path),),
                )
            )
        try:
            for folder in (self.path, self.scans, self.papers, self.calibrations, self._history.path):
                folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise not_made(self.path, error) from error
        write_whole(file, to_json(project, 1))

    def open(self) -> Opened:
        """Read the project.

        Raises:
            UserError: `STORE-005` when there is none; `STORE-003` or `STORE-004` when it cannot be read.
        """
        try:
            content = (self.path / PROJECT_FILE).read_bytes()
        except OSError:
            raise UserError(
                Finding(
                    code="STORE-005",
                    severity=Severity.STOP,
                    sentence=f"{self.path} holds no project ({PROJECT_FILE} is not there).",
                    todo="Start one with 'hoopwright new', or name the right folder.",
                    objects=(str(self.path),),
                )
            ) from None
        project, step = from_json(content, PROJECT_FILE)
        return Opened(project=project, step=step, content=content)

    def save(self, opened: Opened, project: Project) -> Opened:
        """Save a changed project; the state before it is kept for undo.

        Raises:
            UserError: `STORE-006` when another window saved since `opened` was read, `STORE-002` when it
                cannot be written. The file keeps its old content then.
        """
        with one_at_a_time(self.path):
            self._refuse_if_changed(opened)
            self._history.keep(opened.step, opened.content)
            self._history.drop_undone(opened.step)
            content = to_json(project, opened.step + 1)
            write_whole(self.path / PROJECT_FILE, content)
        return Opened(project=project, step=opened.step + 1, content=content)

    def record(self, opened: Opened, project: Project) -> Opened:
        """Save records that are no edit (tape distances, issued sheets, bars as bent): undo does not take them back.

        Raises:
            UserError: `STORE-006`, `STORE-002` as in `save`.
        """
        with one_at_a_time(self.path):
            self._refuse_if_changed(opened)
            content = to_json(project, opened.step)
            write_whole(self.path / PROJECT_FILE, content)
        return Opened(project=project, step=opened.step, content=content)

    def undo(self, opened: Opened) -> Opened:
        """Go back one step.

        Raises:
            UserError: `STORE-007` at the first step; `STORE-006` as in `save`.
        """
        return self._go(opened, opened.step - 1, "undo")

    def redo(self, opened: Opened) -> Opened:
        """Take an undo back.

        Raises:
            UserError: `STORE-007` when nothing was undone; `STORE-006` as in `save`.
        """
        return self._go(opened, opened.step + 1, "redo")

    def before(self, opened: Opened, most: int) -> tuple[tuple[int, Project], ...]:
        """The states that the project went through, the newest first; one that cannot be read ends them.

        Args:
            opened: As it is.
            most: How many at most.
        """
        states = []
        for step in range(opened.step - 1, max(0, opened.step - 1 - most), -1):
            kept = self._history.read_if_whole(step)
            if kept is None:
                break
            states.append((step, kept))
        return tuple(states)

    def undone(self, opened: Opened) -> Project | None:
        """The state that `redo` would go to; None where nothing was undone, or it cannot be read."""
        return self._history.read_if_whole(opened.step + 1)

    @property
    def _history(self) -> History:
        return History(path=self.path / "history")

    def _go(self, opened: Opened, step: int, what: str) -> Opened:
        with one_at_a_time(self.path):
            self._refuse_if_changed(opened)
            if not self._history.holds(step):
                raise UserError(
                    Finding(
                        code="STORE-007",
                        severity=Severity.STOP,
                        sentence=f"There is nothing to {what}.",
                        objects=(str(self.path),),
                    )
                )
            self._history.keep(opened.step, opened.content)
            kept, kept_step = self._history.read(step)
            # what was measured or issued stays so: only intent goes back
            now = opened.project
            project = replace(kept, **{name: getattr(now, name) for name in NEVER_UNDONE})
            content = to_json(project, kept_step)
            write_whole(self.path / PROJECT_FILE, content)
        return Opened(project=project, step=kept_step, content=content)

    def _refuse_if_changed(self, opened: Opened) -> None:
        if (self.path / PROJECT_FILE).read_bytes() != opened.content:
            raise UserError(
                Finding(
                    code="STORE-006",
                    severity=Severity.STOP,
                    sentence="The project was changed from another window since it was opened here. Nothing was "
                    "overwritten.",
                    todo="Repeat the command; it then works on the new state.",
                    objects=(str(self.path),),
                )
            )

    def keep_scan(self, source: Path, sha256: str) -> str:
        """Copy a scan into the project as given; returns its name in `scans`. A damaged copy is replaced.

        Raises:
            UserError: `STORE-002` when it cannot be written.
        """
        return keep_scan(self.scans, source, sha256)
