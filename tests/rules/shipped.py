"""The rule books that come with the tool, and the table of what they hold.

`python -m tests.rules.shipped` from the root of the repository writes the table anew.
"""

from collections import Counter
from pathlib import Path

from hoopwright.rules import reading
from hoopwright.rules.book import Book, Provenance
from hoopwright.rules.coverage import Covered, coverage
from hoopwright.rules.reading import read_book

FOLDER = Path(reading.__file__).parent / "books"
TABLE = Path(__file__).parents[2] / "docs" / "rule-books-shipped.md"
FILES = tuple(sorted(FOLDER.glob("*.toml")))
EXAMPLE = "own-club-example"

_HEAD = """# Rule books that come with the tool

Each is one edition of one book, as data, in `src/hoopwright/rules/books`. None is complete, and none is the body's
own text: they are reading aids made from the sources that stand beside their lines, and may be out of date. Compare
with the current official text.

How a line is known: **read** in the book's own text, **quoted** by someone, **summary** by someone, or **not
verified**: only remembered, and off until you have compared it with the book and confirmed it for your project. What
becomes of it: **checked** from the model, **asked** of a person because no model can tell, **off**, or **not done**:
known to be there, but not at hand. `{example}` is an example of our own, to be copied. This table is made by
`python -m tests.rules.shipped`, and a test holds it.

| book | body | edition | read | quoted | summary | not verified | checked | asked | off | not done | cases |
|---|---|---|---|---|---|---|---|---|---|---|---|
"""


def numbers_of(book: Book) -> list[int]:
    """Lines of a book by provenance, by what becomes of them, and its cases."""
    known = Counter(rule.provenance for rule in book.rules)
    covered = Counter(row.covered for row in coverage(book))
    cases = sum(len(rule.cases) for rule in book.rules)
    return [*(known[one] for one in Provenance), *(covered[one] for one in Covered), cases]


def table() -> str:
    """The whole page as it must stand in the documentation."""
    lines, total = [], [0] * 9
    for file in FILES:
        book = read_book(file)
        numbers = numbers_of(book)
        total = [one + other for one, other in zip(total, numbers, strict=True)]
        lines.append(f"| `{book.book_id}` | {book.body} | {book.edition} | {_row(numbers)} |")
    lines.append(f"| **{len(FILES)} books** | | | {_row(total)} |")
    return _HEAD.format(example=EXAMPLE) + "\n".join(lines) + "\n"


def _row(numbers: list[int]) -> str:
    return " | ".join(str(number) for number in numbers)


if __name__ == "__main__":
    TABLE.write_text(table(), encoding="utf-8")
