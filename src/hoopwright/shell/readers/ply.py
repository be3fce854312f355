"""PLY, text and binary in both byte orders, meshes and clouds. The format states no unit.

Source: G. Turk, The PLY Polygon File Format, Stanford University, 1994.
"""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from hoopwright.progress import Progress
from hoopwright.shell.readers.fans import fan_split
from hoopwright.shell.readers.gathering import Floats, as_scan, localise
from hoopwright.shell.readers.ply_body import Body, binary_rows
from hoopwright.shell.readers.ply_header import Element, Head, read_head
from hoopwright.shell.readers.ply_text import text_rows
from hoopwright.shell.readers.refusals import check_room, nothing_in_it, refusal
from hoopwright.shell.scan import Scan

_LISTS = ("vertex_indices", "vertex_index")


def read_ply(path: Path, progress: Progress) -> Scan:
    """Read a PLY file; polygons become fans of triangles, other elements and properties are passed over.

    Raises:
        UserError: `SCAN-002` for triangle strips, `SCAN-003` to `SCAN-005` and `SCAN-009`.
    """
    head = read_head(path)
    _check(path, head)
    rows = text_rows if head.order == "" else binary_rows
    points: NDArray[np.float32] | None = None
    offset = np.zeros(3)
    triangles: NDArray[np.integer[Any]] | None = None
    body = Body.open(path, head, progress)
    for element in head.elements:
        if element.name == "vertex":
            columns = [element.place(axis) for axis in "xyz"]
            wanted = tuple(column for column in columns if column is not None)
            points, offset = localise(_coordinates(rows(body, element, wanted)), element.count)
        elif element.name == "face" and element.count and triangles is None:
            place = element.place(*_LISTS)
            parts = [fan_split(counts, flat) for counts, flat in rows(body, element, (place or 0,))]
            triangles = np.concatenate([np.empty((0, 3), dtype=np.int32), *parts])
        else:
            for _ in rows(body, element, ()):
                pass
        if points is not None and (triangles is not None or not _has_faces(head)):
            break
    if points is None:
        raise nothing_in_it(path)
    return as_scan(path, points, offset, triangles)


def _has_faces(head: Head) -> bool:
    face = head.element("face")
    return face is not None and face.count > 0


def _coordinates(chunks: Iterator[Any]) -> Iterator[Floats]:
    yield from chunks


def _check(path: Path, head: Head) -> None:
    """Hold the head against the size of the file and against what is read here."""
    names = [element.name for element in head.elements]
    vertex, face = head.element("vertex"), head.element("face")
    if len(set(names)) < len(names) or len(names) > 1000:
        raise refusal("SCAN-003", path, "the head names an element twice", "Export the scan again.")
    if vertex is None or vertex.count == 0:
        raise nothing_in_it(path, "there is no vertex in it")
    missing = [axis for axis in "xyz" if vertex.place(axis) is None]
    listed = [axis for axis in "xyz" if axis not in missing and _is_list(vertex, axis)]
    if missing or listed:
        raise nothing_in_it(path, f"its vertices have no number {', '.join(missing or listed)}")
    if head.element("tristrips") is not None and not _has_faces(head):
        raise refusal(
            "SCAN-002", path, "its triangles are in strips", "Export it with plain faces (vertex_indices)."
        )
    if face is not None and face.count:
        place = face.place(*_LISTS)
        if place is None or face.properties[place].count_dtype is None:
            raise refusal("SCAN-003", path, "its faces have no list vertex_indices", "Export the scan again.")
    room = path.stat().st_size - head.size
    for element in head.elements:
        each = element.least_bytes if head.order else 2 * len(element.properties)
        # the last number of a text needs no line end behind it
        check_room(path, f"rows of '{element.name}'", element.count, each, room + (head.order == ""))
        room -= each * element.count


def _is_list(element: Element, name: str) -> bool:
    place = element.place(name)
    return place is not None and element.properties[place].count_dtype is not None
