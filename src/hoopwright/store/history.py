"""The states that a project went through: one file for each step, in `history/` of its folder."""

from dataclasses import dataclass
from pathlib import Path

from hoopwright.findings import UserError
from hoopwright.store.project import Project
from hoopwright.store.schema import from_json
from hoopwright.store.writing import write_whole


@dataclass(frozen=True, kw_only=True)
class History:
    """The kept states of one project. Whoever writes holds the project's lock.

    Args:
        path: The folder that they lie in.
    """

    path: Path

    def holds(self, step: int) -> bool:
        """Whether the state of a step is there."""
        return self.file(step).is_file()

    @property
    def steps(self) -> tuple[int, ...]:
        """The steps whose states are there, in order; not those that were undone and moved aside."""
        return tuple(sorted(int(path.stem) for path in self._files()))

    def file(self, step: int) -> Path:
        """Where the state of a step lies, whether it is there or not."""
        return self.path / f"{step:06d}.json"

    def keep(self, step: int, content: bytes) -> None:
        """Put the state of a step by.

        Raises:
            UserError: `STORE-002` when it cannot be written.
        """
        self.path.mkdir(exist_ok=True)
        write_whole(self.file(step), content)

    def read(self, step: int) -> tuple[Project, int]:
        """The state of a step, and the step that stands in it.

        Raises:
            UserError: `STORE-003` or `STORE-004` when it cannot be read.
            OSError: When it is not there.
        """
        path = self.file(step)
        return from_json(path.read_bytes(), path.name)

    def read_if_whole(self, step: int) -> Project | None:
        """The state of a step; None where it is not there or cannot be read."""
        try:
            return self.read(step)[0]
        except (OSError, UserError):
            return None

    def drop_undone(self, step: int) -> None:
        """States that were undone before a new edit move aside; nothing is deleted."""
        undone = [path for path in self._files() if int(path.stem) > step]
        if undone:
            aside = self._next_aside()
            aside.mkdir()
            for path in undone:
                path.replace(aside / path.name)

    def _files(self) -> list[Path]:
        return [path for path in sorted(self.path.glob("*.json")) if path.stem.isdecimal()]

    def _next_aside(self) -> Path:
        numbers = [path.name.removeprefix("undone-") for path in self.path.glob("undone-*")]
        last = max((int(number) for number in numbers if number.isdecimal()), default=0)
        return self.path / f"undone-{last + 1:03d}"
