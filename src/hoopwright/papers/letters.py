"""What a person must be told of letters that pages cannot show."""

from collections.abc import Iterable, Sequence

from hoopwright.findings import Finding
from hoopwright.papers.drawing import Page, texts
from hoopwright.papers.face import UNKNOWN, unwritable

_MOST_PLACES = 3


def unprinted(pages: Sequence[Page]) -> tuple[Finding, ...]:
    """As `unprinted_words`, of all that is written on pages."""
    return unprinted_words(text.text for page in pages for text in texts(page.items))


def unprinted_words(lines: Iterable[str]) -> tuple[Finding, ...]:
    """Letters that do not print as they were typed, and the words that they stand in.

    Args:
        lines: All that is written on a paper, line by line.

    Returns:
        Nothing, or one `PAPER-004`.
    """
    found: dict[str, None] = {}
    places: dict[str, None] = {}
    for words in dict.fromkeys(lines):
        lacking = unwritable(words)
        if lacking:
            found.update(dict.fromkeys(lacking))
            places[words] = None
    if not found:
        return ()
    shown = ", ".join(f"'{words}'" for words in list(places)[:_MOST_PLACES])
    more = f" and {len(places) - _MOST_PLACES} more lines" if len(places) > _MOST_PLACES else ""
    return (
        Finding(
            code="PAPER-004",
            sentence=f"Letters that the papers cannot show stand on them as '{UNKNOWN}' or without their accent: "
            f"{' '.join(found)}, in {shown}{more}.",
            todo="Type those words in Latin, Greek or Cyrillic letters and make the papers again, or write them in "
            "by hand.",
            objects=tuple(places),
        ),
    )
