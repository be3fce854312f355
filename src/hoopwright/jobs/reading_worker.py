"""A process of its own that reads one scan file and ends; started by `guarded_reading`.

It gets its limits before it opens the file, says on stdout how far it is, and leaves the scan as plain arrays.
"""

import json
import sys
from pathlib import Path

RESULT, FINDINGS = "scan.npz", "findings.json"
STOPPED, OUT_OF_MEMORY = 3, 4


def main(file: str, place: str, memory_mib: str, seconds: str) -> int:
    """Read a file into a folder.

    Args:
        file: The scan.
        place: An empty folder for what came of it.
        memory_mib: Most memory, MiB; 0 for no limit of its own.
        seconds: Most processor time, s.

    Returns:
        0 read, 3 stopped by findings, 4 out of memory.
    """
    _limit(int(memory_mib), int(seconds))
    import numpy as np

    from hoopwright.findings import UserError, as_dict
    from hoopwright.shell.readers import read_scan

    def told(stage: str, share: float) -> None:
        sys.stdout.write(json.dumps([stage, share]) + "\n")
        sys.stdout.flush()

    folder = Path(place)
    try:
        scan = read_scan(Path(file), progress=told)
        words = {
            "declared_unit": scan.declared_unit,
            "declared_by": scan.declared_by,
            "source_name": scan.source_name,
            "findings": [as_dict(one) for one in scan.findings],
        }
        np.savez(folder / RESULT, points=scan.points, triangles=scan.triangles, offset=scan.offset)
    except UserError as error:
        words = {"findings": [as_dict(one) for one in error.findings]}
        (folder / FINDINGS).write_text(json.dumps(words), encoding="utf-8")
        return STOPPED
    except MemoryError:
        return OUT_OF_MEMORY
    (folder / FINDINGS).write_text(json.dumps(words), encoding="utf-8")
    return 0


def _limit(memory_mib: int, seconds: int) -> None:
    """Have the system hold this process to its limits, where it can."""
    if sys.platform == "win32":
        return
    import resource

    resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds + 5))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    if memory_mib and sys.platform != "darwin":  # there the system does not hold a process to it
        most = memory_mib * 1024**2
        resource.setrlimit(resource.RLIMIT_AS, (most, most))


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:5]))
