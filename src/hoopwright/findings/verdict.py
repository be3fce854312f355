"""The four ways that a check can end."""

from enum import StrEnum


class Verdict(StrEnum):
    """How a check ended. Missing data is `NOT_CHECKED`, never `PASS`."""

    PASS = "pass"  # noqa: S105
    FAIL = "fail"
    NOT_APPLICABLE = "not applicable"
    NOT_CHECKED = "not checked"
