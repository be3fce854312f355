"""The house: which package may import which, held against every import in the source.

The table is `docs/architecture.md` as data. A module that is in no listed package fails, as does an import
that goes up, goes to a sibling that is not listed, closes a circle, or brings a library in at the wrong door.
"""

import ast
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2] / "src" / "hoopwright"
GROUND = ("units", "findings", "progress")
"""Rank 0 may be imported from everywhere."""


@dataclass(frozen=True, kw_only=True)
class Room:
    """A package's row.

    Args:
        rank: Imports go to a lower rank, except within rank 0 and where a row names a sibling.
        may: Packages whose every name may be imported, besides rank 0.
        types: Packages of which only classes may be imported: what they hold, not what they do.
    """

    rank: int
    may: tuple[str, ...] = ()
    types: tuple[str, ...] = ()


BELOW_STORE = (
    *("geometry", "tubes", "bars", "shell", "democar", "cage"),
    *("fitting", "bender", "joints", "rules", "proof", "stock"),
)
HOUSE = {
    "progress": Room(rank=0),
    "findings": Room(rank=0),
    "units": Room(rank=0),
    "geometry": Room(rank=1),
    "tubes": Room(rank=1),
    "bars": Room(rank=2, may=("geometry", "tubes")),
    "shell": Room(rank=2, may=("geometry",)),
    "democar": Room(rank=2, may=("geometry",)),
    "cage": Room(rank=3, may=("bars", "tubes", "geometry"), types=("shell",)),
    "fitting": Room(rank=4, may=("cage", "bars", "shell", "geometry", "tubes")),
    "bender": Room(rank=4, may=("bars", "tubes", "geometry")),
    "joints": Room(rank=4, may=("cage", "bars", "shell", "geometry", "tubes")),
    "rules": Room(rank=4, may=("cage", "bars", "shell", "geometry", "tubes")),
    "proof": Room(rank=4, may=("cage", "bars", "shell", "geometry", "tubes")),
    "stock": Room(rank=4, may=("tubes",)),
    "papers": Room(
        rank=5,
        may=("bars", "tubes", "geometry"),
        types=("fitting", "bender", "joints", "rules", "proof", "stock", "cage", "shell"),
    ),
    "store": Room(rank=5, may=("cage", "bender", "stock"), types=("bars", "shell", "tubes", "geometry")),
    "jobs": Room(rank=6, may=(*BELOW_STORE, "papers", "store")),
    "cli": Room(rank=7, may=("jobs", "store"), types=(*BELOW_STORE, "papers")),
    "web": Room(rank=7, may=("jobs", "store"), types=(*BELOW_STORE, "papers")),
    "__main__": Room(rank=8, may=("cli",)),
}
SIBLINGS = {("units", "findings"), ("cli", "web")}
"""Imports within one rank that are wanted: a typed length that cannot be read is a finding; `open` starts the pages."""

DOORS = {
    "numpy": None,
    "scipy": None,
    "pydantic": None,
    "pydantic_core": None,
    "numba": {"shell", "fitting", "papers"},  # fitting: the search; papers: the depth buffer of the picture
    "trimesh": {"shell", "papers"},  # shell reads scans with it, papers writes GLB
    "laspy": {"shell"},
    "lazrs": {"shell"},
    "pye57": {"shell"},
    "fast_simplification": {"shell"},
    "reportlab": {"papers"},
    "segno": {"papers"},
    "pypdf": {"papers"},
    "PIL": {"papers"},
    "ezdxf": {"papers"},
    "OCP": {"papers"},
    "xlsxwriter": {"papers"},
    "ompl": {"joints"},
    "sqlalchemy": {"store"},
    "alembic": {"store"},
    "psycopg": {"store"},
    "platformdirs": {"store"},
    "typer": {"cli"},
    "click": {"cli"},
    "rich": {"cli"},
    "nicegui": {"web"},
    "fastapi": {"web"},
    "starlette": {"web"},
    "uvicorn": {"web"},
    "webview": {"web"},
}
"""Third-party library and the packages that may import it; None is everywhere."""

BANNED = {"utils", "util", "common", "helpers", "helper", "misc"}


@dataclass(frozen=True, kw_only=True)
class Import:
    """One import, where it stands and what it brings."""

    module: str
    line: int
    target: str
    names: tuple[str, ...]
    lazy: bool

    def __str__(self) -> str:
        return f"{self.module}:{self.line} imports {self.target} ({', '.join(self.names)})"


def module_name(path: Path, root: Path) -> str:
    parts = path.relative_to(root).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def imports_of(path: Path, root: Path) -> Iterator[Import]:
    module = module_name(path, root)
    tree = ast.parse(path.read_text(encoding="utf-8"))
    top = set(map(id, tree.body))
    for node in ast.walk(tree):
        lazy = id(node) not in top
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield Import(module=module, line=node.lineno, target=alias.name, names=("*",), lazy=lazy)
        elif isinstance(node, ast.ImportFrom):
            target = "." * node.level + (node.module or "")
            names = tuple(alias.name for alias in node.names)
            yield Import(module=module, line=node.lineno, target=target, names=names, lazy=lazy)


def source_imports(root: Path = ROOT) -> list[Import]:
    return [found for path in sorted(root.rglob("*.py")) for found in imports_of(path, root)]


def package_of(module: str) -> str:
    """Package of a dotted name inside the project; empty for the project's own front door."""
    return module.split(".")[0]


def own_targets(found: Import) -> list[tuple[str, str]]:
    """Package inside the project and imported name, for each name of an import."""
    if found.target == "hoopwright":
        return [(name if name in HOUSE else "", name) for name in found.names]
    if found.target.startswith("hoopwright."):
        inside = found.target.removeprefix("hoopwright.")
        return [(package_of(inside), name) for name in found.names]
    return []


def is_class_name(name: str) -> bool:
    return name[:1].isupper() and not name.isupper()


def wrong_imports(imports: list[Import], house: dict[str, Room]) -> list[str]:
    wrong = []
    for found in imports:
        here = package_of(found.module)
        for target, name in own_targets(found):
            if here == target or target == "" or here not in house:
                continue
            if target not in house:
                wrong.append(f"{found}: {target} is in no row of the table")
            elif not allowed(here, target, name, house):
                wrong.append(f"{found}: {here} may not import {name} of {target}")
    return wrong


def allowed(here: str, target: str, name: str, house: dict[str, Room]) -> bool:
    room = house.get(here, Room(rank=-1))
    lower = house[target].rank < room.rank
    if not lower:
        return (here, target) in SIBLINGS
    listed = target in GROUND or target in room.may
    return listed or (target in room.types and is_class_name(name))


def wrong_doors(imports: list[Import]) -> list[str]:
    wrong = []
    for found in imports:
        library = found.target.split(".")[0]
        if library in ("", "hoopwright") or library in sys.stdlib_module_names:
            continue
        doors = DOORS.get(library, set())
        if doors is not None and package_of(found.module) not in doors:
            wrong.append(f"{found}: {library} may only be imported in {sorted(doors) or 'no package'}")
    return wrong


def edges(imports: list[Import], modules: set[str]) -> dict[str, set[str]]:
    """Which module runs which other when it is imported."""
    graph: dict[str, set[str]] = {module: set() for module in modules}
    for found in imports:
        if found.target.split(".")[0] != "hoopwright":
            continue
        inside = found.target.removeprefix("hoopwright").removeprefix(".")
        for name in found.names:
            full = f"{inside}.{name}".strip(".")
            graph[found.module].add(full if full in modules else inside)
    return graph


def circle(graph: dict[str, set[str]]) -> list[str]:
    """The first circle of imports that is found, or nothing."""
    done: set[str] = set()

    def walk(module: str, trail: list[str]) -> list[str]:
        if module in trail:
            return [*trail[trail.index(module) :], module]
        if module in done:
            return []
        for target in sorted(graph.get(module, ())):
            if found := walk(target, [*trail, module]):
                return found
        done.add(module)
        return []

    for module in sorted(graph):
        if found := walk(module, []):
            return found
    return []


def all_modules(root: Path = ROOT) -> set[str]:
    return {module_name(path, root) for path in root.rglob("*.py")}


def test_every_module_is_in_a_row_of_the_table():
    strangers = sorted(module for module in all_modules() if module and package_of(module) not in HOUSE)
    assert strangers == []


def test_imports_go_down_only():
    assert wrong_imports(source_imports(), HOUSE) == []


def test_every_import_names_its_package():
    assert [str(found) for found in source_imports() if found.target.startswith(".")] == []
    assert [str(found) for found in source_imports() if "*" in found.names and own_targets(found)] == []


def test_libraries_come_in_at_their_own_door():
    assert wrong_doors(source_imports()) == []


def test_no_module_imports_itself_round_a_corner():
    assert circle(edges(source_imports(), all_modules())) == []


def test_no_vague_names():
    vague = [
        path for path in ROOT.rglob("*.py") if BANNED & set(path.relative_to(ROOT).with_suffix("").parts)
    ]
    assert vague == []


def test_the_table_itself_goes_down():
    for name, room in HOUSE.items():
        for target in (*room.may, *room.types):
            assert HOUSE[target].rank < room.rank, f"{name} lists {target}, which is not below it"


# The guard seen red: one small house with each fault in it -------------------------------------------------


@pytest.fixture
def small_house(tmp_path):
    def build(**files):
        for name, text in files.items():
            path = tmp_path / f"{name.replace('__', '/')}.py"
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
        return tmp_path

    return build


@pytest.mark.parametrize(
    ("module", "text"),
    [
        ("geometry__lines", "from hoopwright.bars import Bar\n"),
        ("geometry__lines", "from hoopwright.tubes import TubeSize\n"),
        ("geometry__lines", "import hoopwright.bars.bar\n"),
        ("geometry__lines", "def late():\n    from hoopwright.bars import Bar\n"),
        (
            "geometry__lines",
            "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    import hoopwright.cage\n",
        ),
        ("findings__finding", "from hoopwright.units import parse_length_mm\n"),
        ("stock__plan", "from hoopwright.bars import Bar\n"),
        ("cage__landing", "from hoopwright.shell import gaps\n"),
        ("cli__table", "from hoopwright.bars import bend_table\n"),
        ("cli__table", "from hoopwright import bars\n"),
        ("papers__sheet", "from hoopwright.bender import order\n"),
        ("bars__bar", "from hoopwright.unheard import Bar\n"),
        ("web__page", "from hoopwright.cli.main import app\n"),
    ],
)
def test_a_wrong_import_is_seen(small_house, module, text):
    assert len(wrong_imports(source_imports(small_house(**{module: text})), HOUSE)) == 1


@pytest.mark.parametrize(
    ("module", "text"),
    [
        ("units__lengths", "from hoopwright.findings import UserError\n"),
        ("cage__landing", "from hoopwright.shell import Scan\n"),
        ("cli__table", "from hoopwright.bars import BendTable\nfrom hoopwright.jobs import table\n"),
        ("shell__scan", "from hoopwright.progress import Progress\nfrom hoopwright import __version__\n"),
    ],
)
def test_a_wanted_import_passes(small_house, module, text):
    assert wrong_imports(source_imports(small_house(**{module: text})), HOUSE) == []


@pytest.mark.parametrize(
    ("module", "text"),
    [
        ("bars__skin", "import trimesh\n"),
        ("democar__car", "from numba import njit\n"),
        ("cli__main", "def late():\n    from reportlab.pdfgen import canvas\n"),
        ("jobs__save", "import sqlalchemy.orm\n"),
        ("geometry__lines", "import shapely\n"),
    ],
)
def test_a_library_at_the_wrong_door_is_seen(small_house, module, text):
    assert len(wrong_doors(source_imports(small_house(**{module: text})))) == 1


def test_a_circle_is_seen(small_house):
    root = small_house(
        bars__a="from hoopwright.bars.b import two\n",
        bars__b="from hoopwright.bars import c\n",
        bars__c="def late():\n    from hoopwright.bars.a import one\n",
    )
    assert circle(edges(source_imports(root), all_modules(root))) == ["bars.a", "bars.b", "bars.c", "bars.a"]
