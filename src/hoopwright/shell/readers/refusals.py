"""The ways in which a scan file is refused, and the guard around the libraries that read it."""

import logging
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from hoopwright.findings import Finding, Severity, UserError

LARGEST_COUNT = 700_000_000
"""Most points or triangles of one file: three corners of each triangle still have numbers of 32 bits."""

_FAR_BEYOND = 100


def refusal(
    code: str,
    path: Path,
    what: str,
    todo: str,
    *,
    measured: float | None = None,
    limit: float | None = None,
    unit: str = "",
) -> UserError:
    """The error that stops the job with one finding about the file."""
    return UserError(
        Finding(
            code=code,
            severity=Severity.STOP,
            sentence=f"{path.name}: {what}.",
            todo=todo,
            objects=(str(path),),
            measured=measured,
            limit=limit,
            unit=unit,
        )
    )


def damaged(path: Path, what: str) -> UserError:
    """`SCAN-003`: the file is cut short or damaged; `what` says where, expected and found."""
    return refusal("SCAN-003", path, what, "Copy the file again from where it came, or export it again.")


def nothing_in_it(path: Path, what: str = "there are no points and no triangles in it") -> UserError:
    """`SCAN-004`: the file is whole but holds no scan."""
    return refusal("SCAN-004", path, what, "Check that the scan itself was exported, not an empty layer.")


def too_large(path: Path, what: str, *, measured: float, limit: float, unit: str) -> UserError:
    """`SCAN-009`: the file says that it holds more than it can, or more than can be read."""
    return refusal(
        "SCAN-009",
        path,
        what,
        "If the file is whole, thin the scan where it was made; if not, export it again.",
        measured=measured,
        limit=limit,
        unit=unit,
    )


def check_room(path: Path, what: str, count: int, bytes_each: int, room: int) -> None:
    """Hold a count from a header against the bytes that are there, before anything is allocated.

    Args:
        path: The file.
        what: What is counted, such as `triangles`.
        count: How many the header says.
        bytes_each: The least number of bytes that one takes.
        room: Bytes left in the file.

    Raises:
        UserError: `SCAN-003` if the file is shorter than its header says, `SCAN-009` if it could not
            hold a hundredth of that or the count is over `LARGEST_COUNT`.
    """
    held = room // bytes_each if bytes_each else count
    if count > LARGEST_COUNT or count > _FAR_BEYOND * max(held, _FAR_BEYOND):
        limit = min(held, LARGEST_COUNT)
        text = f"the header says {count:.6g} {what}, the file can hold {held} and {LARGEST_COUNT} can be read"
        raise too_large(path, text, measured=float(min(count, 2**63)), limit=limit, unit=what)
    if count < 0 or count > held:
        raise damaged(
            path,
            f"the file ends too early: expected {count} {what}, found {room} bytes, which can hold {held}",
        )


@contextmanager
def library_guard(path: Path, library: str) -> Iterator[None]:
    """Turn whatever a library does about a bad file into a finding, and keep it from printing.

    Raises:
        UserError: `SCAN-006` where the library is missing, `SCAN-009` without the memory, else as `damaged`.
    """
    with warnings.catch_warnings(), _hushed(library):
        warnings.simplefilter("ignore")
        try:
            yield
        except ImportError:
            raise refusal(
                "SCAN-006",
                path,
                f"the library {library}, which reads this kind of file, is missing",
                'Install it with: pip install "hoopwright[scan]"',
            ) from None
        except MemoryError:
            raise refusal(
                "SCAN-009", path, "there is not enough memory to read it", "Thin the scan where it was made."
            ) from None
        except (UserError, KeyboardInterrupt, SystemExit, GeneratorExit):
            raise
        except BaseException as error:
            # a panic inside a compiled library is a BaseException
            words = " ".join(str(error).split("***")[0].split())[:200] or type(error).__name__
            raise damaged(path, f"the file is damaged or not of its kind; {library} says: {words}") from None


@contextmanager
def _hushed(library: str) -> Iterator[None]:
    logger = logging.getLogger(library)
    level = logger.level
    logger.setLevel(logging.CRITICAL + 1)
    try:
        yield
    finally:
        logger.setLevel(level)


def open_failure(path: Path, error: OSError) -> UserError:
    """`SCAN-001`: the file cannot be opened."""
    return refusal(
        "SCAN-001",
        path,
        f"it cannot be opened ({error.strerror or 'the system gives no reason'})",
        "Check the name, the folder and the rights.",
    )
