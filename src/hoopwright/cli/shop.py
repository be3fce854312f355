"""`hoopwright shop`: what the shop holds, and all of it as plain files; `backup` and `restore`."""

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from hoopwright.cli.output import AsJson, show, stopping_on_findings, table_text
from hoopwright.cli.shop_options import ShopOption

if TYPE_CHECKING:
    from hoopwright.store.shop.backup import Restored

app = typer.Typer(
    no_args_is_help=True, help="The shop database: what it holds, and all of it as plain files."
)


@app.command("show")
def show_all(shop: ShopOption = None, as_json: AsJson = False) -> None:
    """Where the shop is, and what is in it."""
    from hoopwright.jobs import shops

    with stopping_on_findings(as_json):
        found = shops.contents(shop)
        lines = [f"shop {found.place}: {_counts(found.counts)}"]
        heads = ["calibration", "die", "batch", "tube mm", "day"]
        rows = [
            [c["key"], c["die"], c["batch"] or "-", c["tube"], c["date"] or "-"] for c in found.calibrations
        ]
        lines += [table_text(heads, rows)] if rows else []
        keys = {
            "shop": found.place,
            "counts": dict(found.counts),
            "calibrations": [dict(one) for one in found.calibrations],
        }
        show(as_json, lambda: keys, "\n".join(lines))


@app.command("export")
def export(
    folder: Annotated[Path, typer.Argument(help="Folder to write into.")],
    shop: ShopOption = None,
    as_json: AsJson = False,
) -> None:
    """Write everything as plain files, one JSON record to a line."""
    from hoopwright.jobs import shops

    with stopping_on_findings(as_json):
        made = shops.export_all(shop, folder)
        text = f"written to {folder}: {_counts(made.counts)}"
        show(as_json, lambda: {"folder": str(folder), "counts": dict(made.counts)}, text)


@app.command("import")
def take_in(
    folder: Annotated[Path, typer.Argument(help="Folder that 'shop export' wrote.")],
    shop: ShopOption = None,
    as_json: AsJson = False,
) -> None:
    """Take an export in, all or nothing; what is kept already is not doubled."""
    from hoopwright.jobs import shops

    with stopping_on_findings(as_json):
        made = shops.import_all(shop, folder)
        told = [f"{word} {made.new[word]} of {count}" for word, count in made.counts.items()]
        keys = {"folder": str(folder), "counts": dict(made.counts), "new": dict(made.new)}
        show(as_json, lambda: keys, f"new from {folder}: {', '.join(told)}")


def backup(
    file: Annotated[Path, typer.Argument(help="File to write; it must not be there yet.")],
    shop: ShopOption = None,
    as_json: AsJson = False,
) -> None:
    """Copy the whole shop, as it is at this moment, into one file."""
    from hoopwright.jobs import shops

    with stopping_on_findings(as_json):
        bends = shops.back_up_shop(shop, file)
        keys = {"file": str(file), "bends": bends}
        show(as_json, lambda: dict(keys), f"backup written to {file}: {bends} bends and all else")


def restore(
    file: Annotated[Path, typer.Argument(help="A file that 'backup' wrote.")],
    shop: ShopOption = None,
    as_json: AsJson = False,
) -> None:
    """Bring the shop back to a backup, which is looked through first; what was there before is kept."""
    from hoopwright.jobs import shops

    with stopping_on_findings(as_json):
        made = shops.restore_shop(shop, file)
        keys = {"replaced": str(made.replaced), "bends": made.bends, "bends_before": made.bends_before}
        show(as_json, lambda: dict(keys), _restored(made, file))


def _restored(made: "Restored", file: Path) -> str:
    before = "could not be read" if made.bends_before is None else f"had {made.bends_before} bends"
    return f"restored from {file}: {made.bends} bends. What was there before {before}; it is kept in {made.replaced}"


def _counts(counts: Mapping[str, int]) -> str:
    return ", ".join(f"{word} {count}" for word, count in counts.items())
