"""What the commands of the shop share: the option that names it, and how a kept record is told."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from hoopwright.cli.output import show, stopping_on_findings

if TYPE_CHECKING:
    from hoopwright.findings import Finding
    from hoopwright.jobs.shops import Word
    from hoopwright.store.shop import Stored

ShopOption = Annotated[
    str | None,
    typer.Option(
        "--shop",
        help="Shop database: a file, or an address such as postgresql://host/shop. Without it HOOPWRIGHT_SHOP, "
        "or your own.",
    ),
]
LogOption = Annotated[
    str | None,
    typer.Option(
        help="Learn from bends as they came out: a CSV file (key,time,batch,command_deg,released_deg), or the word "
        "'shop' for those of the same die and tube in the shop's log."
    ),
]
Back = Annotated[bool, typer.Option("--back", help="Take it into use again.")]
Note = Annotated[str | None, typer.Option(help="Anything else.")]


def log_file(log: str) -> Path | None:
    """The file of logged bends; None for the shop's own log."""
    return None if log == "shop" else Path(log)


def show_stored(as_json: bool, stored: "Stored[Any]", name: str, told: str) -> None:
    """Print a record that was kept, or that it was kept already."""
    from hoopwright.jobs.shops import as_keys

    text = f"{name} kept: {told}" if stored.is_new else f"{name} was kept already: {told}"
    keys = {**as_keys(stored.record), "is_new": stored.is_new}
    show(as_json, lambda: keys, text, stored.findings)


def retire_named(as_json: bool, shop: str | None, word: "Word", name: str, *, back: bool) -> None:
    """Take a bender, die or batch out of use or back into it, and print how it stands."""
    from hoopwright.jobs import shops

    with stopping_on_findings(as_json):
        stored = shops.retire(shop, word, name, back=back)
        show_stored(as_json, stored, f"{word} '{name}'", in_use(stored.record.retired))


def show_records(
    as_json: bool, word: str, records: Sequence[Any], text: str, findings: "Sequence[Finding]" = ()
) -> None:
    """Print records as a list."""
    from hoopwright.jobs.shops import as_keys

    show(as_json, lambda: {word: [as_keys(record) for record in records]}, text, findings)


def length(value_mm: float | None) -> str:
    """A length for a table; a dash where it is not known."""
    return "-" if value_mm is None else f"{value_mm:g}"


def in_use(retired: bool) -> str:
    """Whether a thing is in use, for a table."""
    return "out of use" if retired else "in use"
