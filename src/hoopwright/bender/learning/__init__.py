"""A calibration that learns: theory as the first belief, samples over it, then every bend that was logged."""

from hoopwright.bender.learning.as_calibration import as_calibration, learnt_line
from hoopwright.bender.learning.batches import BatchNotice, batch_notices
from hoopwright.bender.learning.bends import BendLog, BendReading, tidy_log
from hoopwright.bender.learning.changes import (
    DriftNotice,
    drift_notice,
    foretold_in_turn,
    notice_findings,
)
from hoopwright.bender.learning.commands import LearntCommand, learnt_command, springback_at
from hoopwright.bender.learning.elastic_plastic import (
    bending_moment_n_mm,
    kept_share,
    radius_after_release_mm,
)
from hoopwright.bender.learning.learn import Learnt, learn, refine
from hoopwright.bender.learning.log_files import bend_log_from_text, read_bend_log
from hoopwright.bender.learning.next_bend import NextBend, best_next_bend
from hoopwright.bender.learning.score import ScoreRow, score
from hoopwright.bender.learning.shape import LearntNumber, LearntShape, learn_shape
from hoopwright.bender.learning.steels import FAMILIES, LinePrior, SteelFamily, line_prior

__all__ = [
    "FAMILIES",
    "BatchNotice",
    "BendLog",
    "BendReading",
    "DriftNotice",
    "Learnt",
    "LearntCommand",
    "LearntNumber",
    "LearntShape",
    "LinePrior",
    "NextBend",
    "ScoreRow",
    "SteelFamily",
    "as_calibration",
    "batch_notices",
    "bend_log_from_text",
    "bending_moment_n_mm",
    "best_next_bend",
    "drift_notice",
    "foretold_in_turn",
    "kept_share",
    "learn",
    "learn_shape",
    "learnt_command",
    "learnt_line",
    "line_prior",
    "notice_findings",
    "radius_after_release_mm",
    "read_bend_log",
    "refine",
    "score",
    "springback_at",
    "tidy_log",
]
