"""What a job found, what a check ended in, and how a person is told."""

from hoopwright.findings.finding import Finding, Severity, UserError, stopping, worst
from hoopwright.findings.verdict import Verdict
from hoopwright.findings.wording import as_dict, as_text, from_dict

__all__ = [
    "Finding",
    "Severity",
    "UserError",
    "Verdict",
    "as_dict",
    "as_text",
    "from_dict",
    "stopping",
    "worst",
]
