"""Reading a scan that came from outside, in a process that cannot take the server with it."""

import json
import os
import queue
import signal
import subprocess
import sys
import tempfile
import threading
import time
from dataclasses import dataclass
from pathlib import Path
from typing import IO

import numpy as np

from hoopwright.findings import Finding, Severity, UserError, from_dict
from hoopwright.jobs.reading_worker import FINDINGS, OUT_OF_MEMORY, RESULT, STOPPED
from hoopwright.progress import Progress, silent
from hoopwright.shell.scan import Scan

_LOOK_S = 0.1
_CORES = 4
"""Processor time may be this many times the time on the clock: readers use several cores."""
_STAGE_LETTERS = 200
_OUT_OF_TIME = {-number for number in (getattr(signal, "SIGXCPU", None),) if number is not None}


@dataclass(frozen=True, kw_only=True)
class ReadingLimits:
    """How much one file may cost to read.

    Args:
        time_s: Most time, s.
        memory_mib: Most memory, MiB, of address space; the libraries alone take about a gibibyte of it.
    """

    time_s: float = 600.0
    memory_mib: int = 8192


def read_guarded(path: Path, *, limits: ReadingLimits | None = None, progress: Progress = silent) -> Scan:
    """Read a scan as `read_scan` does, in a process of its own with limits of time and memory.

    A file that was made to do harm, or that a library stumbles over, ends that process and nothing else. When
    `progress` raises, the process is ended too.

    Args:
        path: The file.
        limits: How much it may cost.
        progress: Told how far it is.

    Raises:
        UserError: What `read_scan` says; `WEB-090` took too long, `WEB-091` took too much memory, `WEB-092` the
            reader broke down.
    """
    held = limits or ReadingLimits()
    path = Path(path).absolute()
    with tempfile.TemporaryDirectory(prefix="hoopwright-reading-") as place:
        code = _run(path, Path(place), held, progress)
        if code == STOPPED:
            told = json.loads((Path(place) / FINDINGS).read_text(encoding="utf-8"))
            raise UserError(*(from_dict(one) for one in told["findings"]))
        if code == OUT_OF_MEMORY:
            raise _stop(
                "WEB-091",
                path,
                f"reading it takes more than the {held.memory_mib} MiB of memory that a file may take",
                "Thin the scan where it was made.",
                limit=float(held.memory_mib),
                unit="MiB",
            )
        if code in _OUT_OF_TIME:
            raise _too_long(path, held)
        if code != 0:
            raise _stop(
                "WEB-092",
                path,
                f"the reader broke down on it (status {code})",
                "The file is damaged, or made for no good. Export it again, as binary STL or PLY if you can.",
            )
        return _scan(Path(place))


def _run(path: Path, place: Path, limits: ReadingLimits, progress: Progress) -> int:
    command = [sys.executable, "-m", "hoopwright.jobs.reading_worker", str(path), str(place)]
    command += [str(limits.memory_mib), str(max(1, round(_CORES * limits.time_s)))]
    until = time.monotonic() + limits.time_s
    worker = subprocess.Popen(  # noqa: S603 - our own module; the path is one of its arguments, no shell
        command,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env=_environment(),
        text=True,
        encoding="utf-8",
    )
    told: queue.SimpleQueue[str] = queue.SimpleQueue()
    assert worker.stdout is not None  # noqa: S101 - asked for above
    listener = threading.Thread(target=_listen, args=(worker.stdout, told), daemon=True)
    listener.start()
    try:
        while worker.poll() is None:
            if time.monotonic() > until:
                raise _too_long(path, limits)
            try:
                line = told.get(timeout=_LOOK_S)
            except queue.Empty:
                continue
            _pass_on(line, progress)
        return worker.returncode
    finally:
        worker.kill()
        worker.wait()
        listener.join(timeout=5)
        worker.stdout.close()


def _environment() -> dict[str, str]:
    """The worker finds this package as this process did, and uses few threads: each takes address space."""
    package = str(Path(__file__).parents[2])
    there = os.environ.get("PYTHONPATH")
    few = dict.fromkeys(("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"), "1")
    return {**os.environ, **few, "PYTHONPATH": os.pathsep.join([package, there] if there else [package])}


def _listen(stream: IO[str], told: "queue.SimpleQueue[str]") -> None:
    for line in stream:
        told.put(line)


def _pass_on(line: str, progress: Progress) -> None:
    try:
        stage, share = json.loads(line)
        stage, share = str(stage)[:_STAGE_LETTERS], float(share)
    except (ValueError, TypeError):
        return
    progress(stage, share)


def _scan(place: Path) -> Scan:
    words = json.loads((place / FINDINGS).read_text(encoding="utf-8"))
    with np.load(place / RESULT, allow_pickle=False) as arrays:
        return Scan(
            points=arrays["points"],
            triangles=arrays["triangles"],
            offset=arrays["offset"],
            declared_unit=words["declared_unit"],
            declared_by=words["declared_by"],
            source_name=words["source_name"],
            findings=tuple(from_dict(one) for one in words["findings"]),
        )


def _too_long(path: Path, limits: ReadingLimits) -> UserError:
    return _stop(
        "WEB-090",
        path,
        f"reading it takes more than the {limits.time_s:g} s that a file may take",
        "Thin the scan where it was made, or take it in with 'hoopwright scan'.",
        limit=limits.time_s,
        unit="s",
    )


def _stop(
    code: str,
    path: Path,
    why: str,
    todo: str,
    *,
    limit: float | None = None,
    unit: str = "",
) -> UserError:
    return UserError(
        Finding(
            code=code,
            severity=Severity.STOP,
            sentence=f"{path.name} was not read: {why}. Nothing was changed.",
            todo=todo,
            objects=(path.name,),
            limit=limit,
            unit=unit,
        )
    )
