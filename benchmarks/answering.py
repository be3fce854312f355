"""An answer given by hand to one rule: the cage held to its book again, beside the full check of the same run.

python -m benchmarks.answering PROJECT

`PROJECT` is copied first; `hoopwright demo DIR` makes one.
"""

import shutil
import sys
import tempfile
from functools import partial
from pathlib import Path

from benchmarks.timing import best_of, line
from hoopwright.findings import Verdict
from hoopwright.jobs.rule_answers import answer_rule
from hoopwright.jobs.rule_checks import BookReport
from hoopwright.jobs.rule_views import held_or_stop
from hoopwright.store import ProjectFolder


def main() -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as place:
        folder = ProjectFolder(path=Path(shutil.copytree(sys.argv[1], Path(place) / "car")))
        before = held_or_stop(folder)
        asked = next(
            row.rule_id for row in before.rows if row.is_by_hand or row.verdict is Verdict.NOT_CHECKED
        )
        full = best_of(partial(held_or_stop, folder), runs=3)
        again = best_of(partial(_answered, folder, asked, before), runs=3)
        report = _answered(folder, asked, before)
        now = held_or_stop(folder)
        same = (report.rows, report.findings) == (now.rows, now.findings)
        print(f"{len(report.rows)} rows; rows and findings are those of a full check: {same}")
        line("the whole cage held to its book", full, "s", "-")
        line("one answer kept, and held again", again, "s", "under 0.1")
        line("share of the full check", again / full, "", "under 0.1")


def _answered(folder: ProjectFolder, rule_id: str, before: BookReport) -> BookReport:
    answer_rule(folder, rule_id, "pass", "looked at every one", by="", date="2026-01-01")
    return held_or_stop(folder, before=before)


if __name__ == "__main__":
    main()
