"""Grades of bolts: which is at least as good as another, within one standard."""

import re

_ISO = ("4.6", "4.8", "5.6", "5.8", "6.8", "8.8", "9.8", "10.9", "12.9")
_SAE = ("1", "2", "5", "8")


def grade_of(text: str) -> tuple[str, int] | None:
    """Standard and rank of a grade such as `8.8`, `ISO 10.9` or `SAE 5`; None where it is not known.

    Source: property classes of ISO 898-1 and grades of SAE J429, in the order of their tensile strength.
    """
    cleaned = re.sub(r"[\s_-]+", " ", text.strip().upper())
    number = cleaned.split(" ")[-1] if cleaned else ""
    if number in _ISO and re.fullmatch(r"(ISO |CLASS |GRADE )?[\d.]+", cleaned):
        return "ISO", _ISO.index(number)
    if number in _SAE and re.fullmatch(r"(SAE |GRADE |SAE GRADE )\d", cleaned):
        return "SAE", _SAE.index(number)
    return None


def good_enough(grade: str, wanted: tuple[str, ...]) -> bool | None:
    """Whether a grade is at least one of those wanted; None where it is of another standard or not known."""
    ours = grade_of(grade)
    theirs = [found for one in wanted if (found := grade_of(one)) is not None]
    same = [rank for standard, rank in theirs if ours is not None and standard == ours[0]]
    return None if ours is None or not same else ours[1] >= min(same)
