"""Which kind of file it is: by what is in it, and only then by its name."""

import re
from pathlib import Path

from hoopwright.findings import UserError
from hoopwright.shell.readers.ptx import looks_like_ptx
from hoopwright.shell.readers.refusals import refusal
from hoopwright.shell.readers.stl import counted_size, is_text

HEAD_BYTES = 65536

_MAGIC = ((b"ASTM-E57", "e57"), (b"LASF", "las"), (b"glTF", "glb"))
_FOREIGN = (
    (b"PK\x03\x04", "a zip archive (3MF, KMZ or zipped files)"),
    (b"\x1f\x8b", "a packed file"),
    (b"ISO-10303", "a STEP file, which holds drawn surfaces"),
    (b"# .PCD", "a PCD file"),
    (b"#VRML", "a VRML file"),
    (b"Kaydara", "an FBX file"),
    (b"<?xml", "an XML file"),
    (b"%PDF", "a PDF file"),
    (b"{", "a JSON file (glTF or other)"),
)
_BY_SUFFIX = {
    ".stl": "stl", ".ply": "ply", ".obj": "obj", ".glb": "glb", ".e57": "e57", ".las": "las", ".laz": "las",
    ".ptx": "ptx", ".pts": "xyz", ".xyz": "xyz", ".txt": "xyz", ".csv": "xyz", ".asc": "xyz", ".tsv": "xyz",
}  # fmt: skip
_NUMBERS = re.compile(rb'^[ \t"]*[-+]?\.?\d[^ \t,;]*([ \t,;"]+[-+]?\.?\d[^ \t,;]*){2,}', re.MULTILINE)
_OBJ_LINE = re.compile(rb"^\s*v[ \t]+[-+.\d]", re.MULTILINE)


def kind_of(path: Path, head: bytes, size: int) -> str:
    """One of `stl`, `ply`, `obj`, `glb`, `e57`, `las`, `xyz` and `ptx`.

    Args:
        path: The file, for its suffix and for words.
        head: Its first `HEAD_BYTES` bytes.
        size: Its size in bytes.

    Raises:
        UserError: `SCAN-002` with the kinds that are read.
    """
    if head[:3] == b"ply" and head[3:4].isspace():
        return "ply"
    for magic, kind in _MAGIC:
        if head.startswith(magic):
            return kind
    if counted_size(head) == size or is_text(head):
        return "stl"
    suffix = _BY_SUFFIX.get(path.suffix.lower())
    if suffix == "stl":
        return suffix
    start = head.removeprefix(b"\xef\xbb\xbf").lstrip()
    for magic, name in _FOREIGN:
        if start.startswith(magic):
            raise _unknown(path, f"it is {name}")
    if b"\0" in head and head[:2] not in (b"\xff\xfe", b"\xfe\xff"):
        raise _unknown(path, "nothing in it tells what kind of file it is")
    if looks_like_ptx(start):
        return "ptx"
    if suffix in ("obj", "ptx", "xyz"):
        return suffix
    if _OBJ_LINE.search(head):
        return "obj"
    if _NUMBERS.search(head[:4096]):
        return "xyz"
    raise _unknown(path, "nothing in it tells what kind of file it is")


def _unknown(path: Path, what: str) -> UserError:
    return refusal(
        "SCAN-002",
        path,
        what,
        "Export the scan as STL, PLY, OBJ, GLB, E57, LAS/LAZ, PTX, PTS or XYZ text.",
    )
