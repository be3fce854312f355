"""A calibration that goes on learning from the bends that were logged."""

from hoopwright.jobs.learning.kept import learnt_samples, write_learnt
from hoopwright.jobs.learning.made import calibrate_with_log, command_with_log
from hoopwright.jobs.learning.report import BatchReport, LearntReport, command_keys
from hoopwright.jobs.learning.source import learn_from, logged_bends, read_samples_of

__all__ = [
    "BatchReport",
    "LearntReport",
    "calibrate_with_log",
    "command_keys",
    "command_with_log",
    "learn_from",
    "learnt_samples",
    "logged_bends",
    "read_samples_of",
    "write_learnt",
]
