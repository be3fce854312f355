"""A project as it was at an earlier step of its history: to look at, never to change."""

from dataclasses import dataclass
from typing import NoReturn

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.store.folder import Opened, ProjectFolder
from hoopwright.store.project import Project
from hoopwright.store.schema import from_json


@dataclass(frozen=True, kw_only=True)
class EarlierProject(ProjectFolder):
    """A project folder whose project is that of one step of its history.

    Scans, calibrations and papers are those of the folder as it is now.

    Args:
        path: The folder.
        step: Which step.
    """

    step: int

    def open(self) -> Opened:
        """Read the project as it was at the step.

        Raises:
            UserError: `STORE-005` when there is no project; `STORE-012` when the step is not kept; `STORE-003` or
                `STORE-004` when it cannot be read.
        """
        now = super().open()
        if now.step == self.step:
            return now
        kept = self._history.file(self.step)
        try:
            content = kept.read_bytes()
        except OSError:
            raise UserError(
                Finding(
                    code="STORE-012",
                    severity=Severity.STOP,
                    sentence=f"Step {self.step} of {self.path} is not kept; the project is at step {now.step}.",
                    todo=f"The steps that are kept: {self._steps()}.",
                    objects=(str(self.path),),
                    measured=float(self.step),
                    limit=float(now.step),
                )
            ) from None
        project, step = from_json(content, kept.name)
        return Opened(project=project, step=step, content=content)

    def save(self, opened: Opened, project: Project) -> NoReturn:
        """Never: what was is not changed.

        Raises:
            TypeError: Always.
        """
        raise _unchanging()

    def record(self, opened: Opened, project: Project) -> NoReturn:
        """Never; raises as `save`."""
        raise _unchanging()

    def undo(self, opened: Opened) -> NoReturn:
        """Never; raises as `save`."""
        raise _unchanging()

    def redo(self, opened: Opened) -> NoReturn:
        """Never; raises as `save`."""
        raise _unchanging()

    def _steps(self) -> str:
        kept = self._history.steps
        if not kept:
            return "none but the present one"
        return str(kept[0]) if len(kept) == 1 else f"from {kept[0]} to {kept[-1]}"


def _unchanging() -> TypeError:
    return TypeError("an earlier state of a project is not changed")
