"""A leg marked on a bar: the cage held to its book again, beside the full check of the same run.

python -m benchmarks.marking PROJECT

`PROJECT` is copied first; `hoopwright demo DIR` makes one.
"""

import itertools
import shutil
import sys
import tempfile
from collections.abc import Iterator
from functools import partial
from pathlib import Path

from benchmarks.timing import best_of, line
from hoopwright.cage import Role
from hoopwright.jobs.bar_values import mark_leg
from hoopwright.jobs.rule_checks import BookReport
from hoopwright.jobs.rule_views import held_or_stop
from hoopwright.store import ProjectFolder


def main() -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as place:
        folder = ProjectFolder(path=Path(shutil.copytree(sys.argv[1], Path(place) / "car")))
        hoop = next(one for one in folder.open().project.cage.members if one.role is Role.MAIN_HOOP).member_id
        before = held_or_stop(folder)
        lengths = itertools.count(600)
        full = best_of(partial(held_or_stop, folder), runs=3)
        marked = best_of(partial(_marked, folder, hoop, lengths, before), runs=3)
        report = _marked(folder, hoop, lengths, before)
        again = best_of(partial(held_or_stop, folder, before=before), runs=3)
        now = held_or_stop(folder)
        same = (report.rows, report.findings) == (now.rows, now.findings)
        print(f"{len(report.rows)} rows; rows and findings are those of a full check: {same}")
        line("the whole cage held to its book", full, "s", "-")
        line("a leg marked and kept, and held again", marked, "s", "under 0.3")
        line("of it, held again", again, "s", "under 0.1")
        line("share of the full check", again / full, "", "under 0.1")


def _marked(folder: ProjectFolder, bar_id: str, lengths: Iterator[int], before: BookReport) -> BookReport:
    mark_leg(folder, bar_id, float(next(lengths)))
    return held_or_stop(folder, before=before)


if __name__ == "__main__":
    main()
