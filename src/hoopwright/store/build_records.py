"""What a build gathers for its acceptance: the pinned book, answers and measures by hand, photos, log, tube used."""

from dataclasses import dataclass
from typing import Literal

Answer = Literal["pass", "fail", "not applicable", "not checked"]


@dataclass(frozen=True, kw_only=True)
class BookPin:
    """The one edition of one book that the project is held to.

    Args:
        book_id: Name of the book, as `rules list` has it, or of a file in the project's `books` folder.
        edition: Its edition.
        sha256: Hash of the book's file when it was pinned; a book that changed since is told.
        confirmed: Rules that are off by themselves since nobody read them in the book's own text, and that the person
            has compared with the book and turned on.
    """

    book_id: str
    edition: str
    sha256: str
    confirmed: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class HandAnswer:
    """What a person answered to a rule that the model cannot check; the last one of a rule counts.

    Args:
        book_id: The book.
        edition: Its edition; an answer to another edition does not count.
        rule_id: The rule.
        answer: How it ended.
        words: What was measured or seen, and how.
        by: Who says so.
        date: Day, ISO 8601.
    """

    book_id: str
    edition: str
    rule_id: str
    answer: Answer
    words: str
    by: str
    date: str


@dataclass(frozen=True, kw_only=True)
class HandMeasure:
    """A number that a person measured or read from a certificate; the last one of a name and a place counts.

    Args:
        about: Bar, foot, side or driver that it was measured at.
        name: What was measured, such as `ovality`, `wall` or `pillar gap`.
        bend: Number of the bend, from 1 at end A; 0 where it is not about a bend.
        measured: The number in mm, degrees, seconds, MPa, percent or without a unit, as the name says; None takes an
            earlier one back.
        other: The second number, where a name has two: the largest width beside the smallest.
        date: Day, ISO 8601.
    """

    about: str
    name: str
    bend: int
    measured: float | None
    other: float | None
    date: str


@dataclass(frozen=True, kw_only=True)
class Photo:
    """A photo that was added to the file.

    Args:
        place: Bar, joint or landing that it shows, such as `MH` or `BS-L to MH`.
        file: Name in the project's `photos` folder.
        sha256: Its content hash.
        words: Caption.
        date: Day on which it was added, ISO 8601.
    """

    place: str
    file: str
    sha256: str
    words: str
    date: str


@dataclass(frozen=True, kw_only=True)
class LogLine:
    """A line that the person wrote in the build log.

    Args:
        date: Day and time, ISO 8601.
        words: What was done.
        by: Who.
    """

    date: str
    words: str
    by: str = ""


@dataclass(frozen=True, kw_only=True)
class TubeUsed:
    """Which tube a bar was cut from; the last record of a bar counts.

    Args:
        bar_id: The bar.
        batch: Its batch in the shop; empty where it was only typed.
        stick: The stick in the shop; empty likewise.
        steel: As the batch has it.
        heat_number: As on the certificate; empty where not known.
        certificate: Its number; empty where not known.
        date: Day, ISO 8601.
    """

    bar_id: str
    batch: str
    stick: str
    steel: str
    heat_number: str
    certificate: str
    date: str
