"""How the page says a finding: in its unit, and with the places of the page instead of commands."""

import re
from dataclasses import replace

from hoopwright.findings import Finding, as_text
from hoopwright.units import LengthUnit, told_in
from hoopwright.web.on_the_page import Place, on_the_page


def finding_words(finding: Finding, unit: LengthUnit) -> str:
    """The finding whole: code, sentence, place, what to do next."""
    here = replace(finding, sentence=on_the_page(finding.sentence)[0], todo=on_the_page(finding.todo)[0])
    return _whole_fractions(told_in(as_text(here), unit, kept=finding.objects))


def finding_line(finding: Finding, unit: LengthUnit) -> str:
    """What was found and what to do next, in one line."""
    words = " ".join(filter(None, (on_the_page(finding.sentence)[0], on_the_page(finding.todo)[0])))
    return _whole_fractions(told_in(words, unit, kept=finding.objects))


def job_words(text: str, unit: LengthUnit) -> str:
    """Any other sentence that a job says."""
    return _whole_fractions(told_in(on_the_page(text)[0], unit))


def places_named(finding: Finding) -> tuple[Place, ...]:
    """The places of the page that its words name."""
    return tuple(dict.fromkeys((*on_the_page(finding.sentence)[1], *on_the_page(finding.todo)[1])))


def _whole_fractions(text: str) -> str:
    """No line ends between whole inches and their fraction."""
    return re.sub(r'(?<=\d) (?=\d+/\d+")', "\u00a0", text)
