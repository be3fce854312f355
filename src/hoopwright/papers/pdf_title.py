"""Which paper a PDF is, as it says itself."""

from pathlib import Path

from pypdf import PdfReader
from pypdf.errors import PyPdfError

_CREATOR = "hoopwright"


def made_title(file: Path) -> str | None:
    """The title of a PDF that was made here; None for any other file, or one that cannot be read."""
    try:
        known = PdfReader(file).metadata
    except (OSError, PyPdfError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None
    return known.title if known is not None and known.creator == _CREATOR else None
