"""A body whose every distance is known: one section across the car, drawn out along it."""

import itertools
import json
import os
import tempfile
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import settings
from typer.testing import CliRunner

from hoopwright.bars import Bar, centreline
from hoopwright.cli.main import app
from hoopwright.geometry import Transform
from hoopwright.shell.clearance import TubeToMeasure
from hoopwright.shell.prepared import prepare_scan
from hoopwright.shell.scan import Scan
from hoopwright.shell.shell import make_shell
from hoopwright.shell.weld import weld_corners
from hoopwright.tubes import TubeSize

# the same examples on every machine, and no clock in a test: a slow, shared machine is no fault of the code
settings.register_profile("hoopwright", derandomize=True, deadline=None)
settings.load_profile("hoopwright")
# what a test finds must not hang on shop, rates or paired devices of whoever runs it, and leaves none there
os.environ["HOOPWRIGHT_SHOP"] = "none"
_OWN_DATA = tempfile.TemporaryDirectory(prefix="hoopwright-tests-")
os.environ["XDG_DATA_HOME"] = _OWN_DATA.name

# walls upright to 620, leaning in to (556, 1082), a chamfer to (500, 1118), a flat roof; left, up in mm
HALF_SECTION = ((680.0, 0.0), (680.0, 620.0), (556.0, 1082.0), (500.0, 1118.0))
LENGTH_MM = 1800.0
HOOP_LEFT_UP = (
    (610.0, 0.0),
    (640.0, 620.0),
    (505.0, 1085.0),
    (-505.0, 1085.0),
    (-640.0, 620.0),
    (-610.0, 0.0),
)


def section_soup(*, right_in_mm=0.0, piece_mm=60.0, openings=()):
    """Triangles (n, 3, 3), forward 0 back to -1800; `openings` are (forward from, to, left > 0, up from, to)."""
    right = [(right_in_mm - left, up) for left, up in reversed(HALF_SECTION)]
    corners = [*HALF_SECTION, *right]
    ring = []
    for (left, up), (next_left, next_up) in itertools.pairwise(corners):
        pieces = int(np.ceil(np.hypot(next_left - left, next_up - up) / piece_mm))
        share = np.arange(pieces) / pieces
        ring += list(zip(left + share * (next_left - left), up + share * (next_up - up), strict=True))
    ring = np.array([*ring, corners[-1]])
    forward = np.linspace(0.0, -LENGTH_MM, int(LENGTH_MM / piece_mm) + 1)
    grid = np.stack([
        np.repeat(forward[:, None], len(ring), axis=1),
        np.broadcast_to(ring[:, 0], (len(forward), len(ring))),
        np.broadcast_to(ring[:, 1], (len(forward), len(ring))),
    ], axis=-1)  # fmt: skip
    a, b, c, d = grid[:-1, :-1], grid[1:, :-1], grid[1:, 1:], grid[:-1, 1:]
    quads = np.stack([np.stack([a, b, c], axis=2), np.stack([a, c, d], axis=2)], axis=2).reshape(-1, 2, 3, 3)
    middle = quads.reshape(-1, 6, 3).mean(axis=1)
    keep = np.ones(len(quads), dtype=bool)
    for rear, front, is_left, low, high in openings:
        keep &= ~(
            (middle[:, 0] > rear) & (middle[:, 0] < front) & ((middle[:, 1] > 0.0) == is_left)
            & (middle[:, 2] > low) & (middle[:, 2] < high)
        )  # fmt: skip
    return quads[keep].reshape(-1, 3, 3)


def cabin_soup(**how):
    """The section closed at both ends and by a floor: a simple cabin."""
    soup = section_soup(**how)
    lefts, ups = [np.linspace(-680.0, 680.0, 30), np.linspace(-LENGTH_MM, 0.0, 40)]
    floor = _sheet(lambda u, v: np.stack([v, u, np.zeros_like(u)], axis=-1), lefts, ups)
    ends = []
    for forward in (0.0, -LENGTH_MM):
        heights = np.linspace(0.0, 1118.0, 30)
        share = np.linspace(-1.0, 1.0, 30)

        def end(u, v, at=forward):
            half = np.interp(v, [620.0, 1082.0, 1118.0], [680.0, 556.0, 500.0])
            return np.stack([np.full_like(u, at), u * half, v], axis=-1)

        ends.append(_sheet(end, share, heights))
    return np.concatenate([soup, floor, *ends])


def _sheet(place, us, vs):
    grid = place(*np.meshgrid(us, vs, indexing="ij"))
    a, b, c, d = grid[:-1, :-1], grid[1:, :-1], grid[1:, 1:], grid[:-1, 1:]
    return np.stack([np.stack([a, b, c], axis=2), np.stack([a, c, d], axis=2)], axis=2).reshape(-1, 3, 3)


def as_scan(soup, name="section.stl"):
    points, triangles = weld_corners(np.asarray(soup, dtype=np.float32))
    return Scan(
        points=points,
        triangles=triangles,
        offset=np.zeros(3),
        declared_unit=None,
        declared_by="",
        source_name=name,
    )


def as_cloud(points, name="section.xyz"):
    return Scan(
        points=np.asarray(points, dtype=np.float32),
        triangles=np.empty((0, 3), dtype=np.int32),
        offset=np.zeros(3),
        declared_unit=None,
        declared_by="",
        source_name=name,
    )


def shell_of(scan, to_vehicle=None, named_places=()):
    return make_shell(
        prepare_scan(scan, "mm"), to_vehicle or Transform.identity("scan", "vehicle"), named_places
    )


def hoop(forward=-900.0, left_up=HOOP_LEFT_UP):
    return Bar(
        name="MH",
        nodes_mm=tuple((forward, left, up) for left, up in left_up),
        clr_mm=137.5,
        tube=TubeSize(od_mm=45.0, wall_mm=2.5),
    )


def tube_along(bar, **landings):
    return TubeToMeasure(name=bar.name, path=centreline(bar), od_mm=bar.tube.od_mm, **landings)


def straight(a, b, od_mm=45.0, **landings):
    bar = Bar(name="S", nodes_mm=(a, b), clr_mm=100.0, tube=TubeSize(od_mm=od_mm, wall_mm=2.5))
    return tube_along(bar, **landings)


@pytest.fixture(scope="session")
def bodies():
    return SimpleNamespace(
        section_soup=section_soup,
        cabin_soup=cabin_soup,
        as_scan=as_scan,
        as_cloud=as_cloud,
        shell_of=shell_of,
        hoop=hoop,
        tube_along=tube_along,
        straight=straight,
    )


@pytest.fixture(scope="session")
def section_shell():
    return shell_of(as_scan(section_soup()))


class Ran:
    """How a command ended."""

    def __init__(self, result):
        self.status, self.out, self.err = result.exit_code, result.stdout, result.stderr

    @property
    def keys(self):
        return json.loads(self.out)

    @property
    def codes(self):
        return [finding["code"] for finding in self.keys["findings"]]


class Commands:
    """The commands, in this process; an error that no command expects fails the test with its trace."""

    def run(self, *words, typed=None):
        return Ran(
            CliRunner().invoke(app, [str(word) for word in words], input=typed, catch_exceptions=False)
        )

    def keys(self, *words, status=0):
        """What a command prints with `--json`."""
        at = words.index("--") if "--" in words else len(words)
        ran = self.run(*words[:at], "--json", *words[at:])
        assert ran.status == status, ran.out + ran.err
        return ran.keys

    def stops(self, *words):
        """Codes of the findings that a command stops with."""
        return [finding["code"] for finding in self.keys(*words, status=1)["findings"]]


@pytest.fixture(scope="session")
def hoopwright():
    return Commands()


def _pdf_paths(pdf, page=0):
    """The drawn paths of a PDF page as PDFium reads them, in mm right and up from the page's lower left corner."""
    import ctypes

    import pypdfium2
    import pypdfium2.raw as raw

    document = pypdfium2.PdfDocument(pdf)
    read = document[page]
    found = []
    for place in range(raw.FPDFPage_CountObjects(read.raw)):
        item = raw.FPDFPage_GetObject(read.raw, place)
        if raw.FPDFPageObj_GetType(item) != raw.FPDF_PAGEOBJ_PATH:
            continue
        matrix = raw.FS_MATRIX()
        raw.FPDFPageObj_GetMatrix(item, matrix)
        width = ctypes.c_float()
        raw.FPDFPageObj_GetStrokeWidth(item, width)
        fill, stroke = ctypes.c_int(), ctypes.c_int()
        raw.FPDFPath_GetDrawMode(item, fill, stroke)
        points, closed, curved = [], False, False
        for step in range(raw.FPDFPath_CountSegments(item)):
            segment = raw.FPDFPath_GetPathSegment(item, step)
            x, y = ctypes.c_float(), ctypes.c_float()
            raw.FPDFPathSegment_GetPoint(segment, x, y)
            points.append((
                matrix.a * x.value + matrix.c * y.value + matrix.e,
                matrix.b * x.value + matrix.d * y.value + matrix.f,
            ))  # fmt: skip
            closed |= bool(raw.FPDFPathSegment_GetClose(segment))
            curved |= raw.FPDFPathSegment_GetType(segment) == raw.FPDF_SEGMENT_BEZIERTO
        found.append(
            SimpleNamespace(
                points=np.array(points) * 25.4 / 72.0,
                width=width.value * 25.4 / 72.0 if stroke.value else 0.0,
                filled=fill.value != 0,
                closed=closed,
                curved=curved,
            )
        )
    return found


@pytest.fixture(scope="session")
def pdf_paths():
    """Reads the lines and areas of a PDF page back with another library than wrote them."""
    return _pdf_paths
