"""A prepared scan kept on disk beside the scan as given. It may be deleted at any time."""

import hashlib
import json
import os
import shutil
import tempfile
import time
import zlib
from dataclasses import fields
from pathlib import Path
from typing import Any

import numpy as np

from hoopwright.shell.prepared import PreparedScan
from hoopwright.shell.regions import Regions
from hoopwright.shell.surfels import Surfels
from hoopwright.shell.tree import TriangleTree

CACHE_VERSION = 5
_LEFT_FOR_S = 3600.0
_PARTS: dict[str, type] = {"tree": TriangleTree, "surfels": Surfels, "regions": Regions}


def content_hash(path: Path) -> str:
    """SHA-256 of a file, as hexadecimal."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def save_prepared(prepared: PreparedScan, folder: Path, key: str) -> None:
    """Write a prepared scan to `folder`, whole or not at all.

    Args:
        prepared: What to keep.
        folder: Where; replaced if it is there.
        key: What it was made from; `load_prepared` asks for the same.
    """
    fresh: Path | None = None
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        _clear_leftovers(folder)
        fresh = Path(tempfile.mkdtemp(prefix=_part_prefix(folder), dir=folder.parent))
        stamps: dict[str, Any] = {}
        numbers: dict[str, Any] = {
            "version": CACHE_VERSION,
            "key": key,
            "is_cloud": prepared.is_cloud,
            "spacing_mm": prepared.spacing_mm,
            "speck_count": prepared.speck_count,
            "offset_mm": prepared.offset_mm.tolist(),
            "cell_mm": prepared.surfels.cell_mm,
            "arrays": stamps,
        }
        for part in _PARTS:
            for field in fields(_PARTS[part]):
                value = getattr(getattr(prepared, part), field.name)
                if isinstance(value, np.ndarray):
                    np.save(fresh / f"{part}.{field.name}.npy", value)
                    stamps[f"{part}.{field.name}"] = _stamp(value)
        (fresh / "numbers.json").write_text(json.dumps(numbers), encoding="utf-8")
        shutil.rmtree(folder, ignore_errors=True)
        os.replace(fresh, folder)  # noqa: PTH105
    except OSError:
        # a full disk costs the cache, never the job: the scan is prepared again next time
        if fresh is not None:
            shutil.rmtree(fresh, ignore_errors=True)


def _part_prefix(folder: Path) -> str:
    return f".{folder.name}.part-"


def _clear_leftovers(folder: Path) -> None:
    """Take away what a killed process left half written, unless it may still be at it."""
    for path in folder.parent.glob(f"{_part_prefix(folder)}*"):
        if time.time() - path.stat().st_mtime > _LEFT_FOR_S:
            shutil.rmtree(path, ignore_errors=True)


def _stamp(array: np.ndarray) -> list[Any]:
    """Kind, shape and checksum of an array: the kernels check no bounds, and a flipped bit would be a wrong gap."""
    checksum = zlib.crc32(np.ascontiguousarray(array).reshape(-1).view(np.uint8).data)
    return [array.dtype.str, *array.shape, checksum]


def load_prepared(folder: Path, key: str) -> PreparedScan | None:
    """The prepared scan in `folder`, its arrays mapped from disk; None when it is not there or not whole."""
    try:
        numbers = json.loads((folder / "numbers.json").read_text(encoding="utf-8"))
        if numbers["version"] != CACHE_VERSION or numbers["key"] != key:
            return None
        parts = {part: _load_part(folder, part, numbers) for part in _PARTS}
        return PreparedScan(
            **parts,
            is_cloud=bool(numbers["is_cloud"]),
            spacing_mm=float(numbers["spacing_mm"]),
            speck_count=int(numbers["speck_count"]),
            offset_mm=np.array(numbers["offset_mm"], dtype=np.float64),
        )
    except (OSError, EOFError, ValueError, KeyError, TypeError):
        return None


def _load_part(folder: Path, part: str, numbers: dict[str, Any]) -> Any:
    kind = _PARTS[part]
    arrays = {
        field.name: _mapped(folder / f"{part}.{field.name}.npy", numbers["arrays"][f"{part}.{field.name}"])
        for field in fields(kind)
        if field.name != "cell_mm"
    }
    return kind(**arrays, cell_mm=float(numbers["cell_mm"])) if kind is Surfels else kind(**arrays)


def _mapped(path: Path, stamp: list[Any]) -> Any:
    """A plain, writable array over the mapped file (copy on write), which the compiled kernels know.

    Raises:
        ValueError: When it is not what was written.
    """
    array = np.asarray(np.load(path, mmap_mode="c"))
    if _stamp(array) != stamp:
        msg = f"{path.name} is not what was written"
        raise ValueError(msg)
    return array
