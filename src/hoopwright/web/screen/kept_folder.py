"""A project's folder that does not read anew what has not changed: many screens ask at once."""

import threading
from dataclasses import dataclass, field

from hoopwright.store import ProjectFolder
from hoopwright.store.folder import PROJECT_FILE, Opened


@dataclass(frozen=True, kw_only=True)
class KeptFolder(ProjectFolder):
    """The folder, with the project as it was read last; the file's bytes say whether it still holds."""

    _last: list[Opened] = field(default_factory=list, init=False, repr=False, compare=False)
    _one: threading.Lock = field(default_factory=threading.Lock, init=False, repr=False, compare=False)

    def open(self) -> Opened:
        """Read the project, or hand out the last reading where its file has the same bytes.

        Raises:
            UserError: As `ProjectFolder.open`.
        """
        try:
            content = (self.path / PROJECT_FILE).read_bytes()
        except OSError:
            return super().open()
        with self._one:
            if self._last and self._last[0].content == content:
                return self._last[0]
        opened = super().open()
        with self._one:
            self._last[:] = [opened]
        return opened
