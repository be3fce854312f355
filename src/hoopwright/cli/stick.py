"""`hoopwright stick`: sticks and offcuts on the rack."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated, Any

import typer

from hoopwright.cli import typed
from hoopwright.cli.output import AsJson, show, stopping_on_findings, table_text
from hoopwright.cli.shop_options import Note, ShopOption, show_records
from hoopwright.units import parse_length_mm

if TYPE_CHECKING:
    from hoopwright.store.shop import Stored

app = typer.Typer(no_args_is_help=True, help="Sticks and offcuts on the rack.")
Label = Annotated[str, typer.Argument(help="What is written on it.")]


@app.command("add")
def add(
    label: Label,
    batch: Annotated[str, typer.Option(help="Its tube batch.")],
    length: Annotated[str, typer.Option(help="Its length.")],
    count: Annotated[int, typer.Option(help="So many alike, labelled LABEL-1, LABEL-2 and so on.")] = 1,
    note: Note = None,
    shop: ShopOption = None,
    as_json: AsJson = False,
) -> None:
    """Add sticks to the rack."""
    from hoopwright.bender import Stick
    from hoopwright.jobs import shop_sticks

    with stopping_on_findings(as_json):
        stick = Stick(label=label, batch=batch, length_mm=parse_length_mm(length), note=note or "")
        _show(as_json, shop_sticks.add_sticks(shop, stick, count))


@app.command("use")
def use(
    label: Label,
    offcut: Annotated[str | None, typer.Option(help="Length that is left and goes back to the rack.")] = None,
    offcut_label: Annotated[
        str, typer.Option(help="Its label; LABELa, or the next letter that is free, without.")
    ] = "",
    shop: ShopOption = None,
    as_json: AsJson = False,
) -> None:
    """Mark a stick as used, and keep what is left of it."""
    from hoopwright.jobs import shop_sticks

    with stopping_on_findings(as_json):
        offcut_mm = typed.maybe(parse_length_mm, offcut)
        _show(as_json, shop_sticks.use_stick(shop, label, offcut_mm=offcut_mm, offcut_label=offcut_label))


@app.command("put-back")
def put_back(label: Label, shop: ShopOption = None, as_json: AsJson = False) -> None:
    """Take 'stick use' back: the stick lies on the rack again, and what was left of it is no more."""
    from hoopwright.jobs import shop_sticks

    with stopping_on_findings(as_json):
        _show(as_json, shop_sticks.put_stick_back(shop, label))


@app.command("show")
def show_all(
    batch: Annotated[str | None, typer.Option(help="Only of this batch.")] = None,
    used: Annotated[bool, typer.Option("--used", help="Also those that are gone.")] = False,
    shop: ShopOption = None,
    as_json: AsJson = False,
) -> None:
    """What is on the rack."""
    from hoopwright.jobs import shop_sticks

    with stopping_on_findings(as_json):
        found = shop_sticks.sticks(shop, batch=batch, used=used)
        rows = [[s.label, s.batch, f"{s.length_mm:g}", s.state, s.cut_from or "-"] for s in found]
        heads = ["stick", "batch", "length mm", "state", "left of"]
        text = table_text(heads, rows) if rows else "nothing on the rack: 'hoopwright stick add'"
        show_records(as_json, "sticks", found, text)


def _show(as_json: bool, stored: "Sequence[Stored[Any]]") -> None:
    from hoopwright.jobs.shops import as_keys

    lines = [
        f"stick '{one.record.label}' {one.record.state}, {one.record.length_mm:g} mm of batch "
        f"'{one.record.batch}'{'' if one.is_new else ' (was kept already)'}"
        for one in stored
    ]
    keys = [{**as_keys(one.record), "is_new": one.is_new} for one in stored]
    show(as_json, lambda: {"sticks": keys}, "\n".join(lines))
