"""`hoopwright bender`: the benders of the shop."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from hoopwright.cli import typed
from hoopwright.cli.output import AsJson, stopping_on_findings, table_text
from hoopwright.cli.shop_options import (
    Back,
    Note,
    ShopOption,
    in_use,
    length,
    retire_named,
    show_records,
    show_stored,
)
from hoopwright.units import parse_angle_deg, parse_length_mm

if TYPE_CHECKING:
    from hoopwright.bender import ShopBender

app = typer.Typer(no_args_is_help=True, help="Benders of the shop: which way they swing, what they clamp.")
Name = Annotated[str, typer.Argument(help="What it is called.")]
Swings = Annotated[
    str | None, typer.Option(help="clockwise or anticlockwise: how the leading end swings, seen from above.")
]
Clamp = Annotated[str | None, typer.Option(help="Straight that the clamp needs.")]
Height = Annotated[str | None, typer.Option(help="Height of the tube's axis over the floor.")]
Reach = Annotated[str | None, typer.Option(help="Greatest angle that can be read under load.")]
Stand = Annotated[Path | None, typer.Option(help="How it stands in its room (TOML).")]


@app.command("add")
def add(
    name: Name,
    swings: Annotated[str, typer.Option(help="clockwise or anticlockwise, seen from above.")],
    clamp: Annotated[str, typer.Option(help="Straight that the clamp needs.")],
    height: Height = None,
    reach: Reach = None,
    stand: Stand = None,
    note: Note = None,
    shop: ShopOption = None,
    as_json: AsJson = False,
) -> None:
    """Add a bender."""
    from hoopwright.bender import ShopBender
    from hoopwright.jobs import shops

    with stopping_on_findings(as_json):
        bender = ShopBender(
            name=name,
            swings=typed.swing(swings) or "clockwise",
            clamp_mm=parse_length_mm(clamp),
            axis_height_mm=typed.maybe(parse_length_mm, height),
            reach_deg=180.0 if reach is None else parse_angle_deg(reach),
            stand={} if stand is None else shops.read_stand(stand),
            note=note or "",
        )
        stored = shops.add_bender(shop, bender)
        show_stored(as_json, stored, f"bender '{name}'", _told(stored.record))


@app.command("change")
def change(
    name: Name,
    swings: Swings = None,
    clamp: Clamp = None,
    height: Height = None,
    reach: Reach = None,
    stand: Stand = None,
    note: Note = None,
    shop: ShopOption = None,
    as_json: AsJson = False,
) -> None:
    """Keep a further version of a bender; what is not typed stays, and so does the version before."""
    from hoopwright.jobs import shops

    with stopping_on_findings(as_json):
        changes = {
            "swings": typed.swing(swings),
            "clamp_mm": typed.maybe(parse_length_mm, clamp),
            "axis_height_mm": typed.maybe(parse_length_mm, height),
            "reach_deg": typed.maybe(parse_angle_deg, reach),
            "stand": None if stand is None else shops.read_stand(stand),
            "note": note,
        }
        stored = shops.change(shop, "bender", name, changes)
        show_stored(as_json, stored, f"bender '{name}'", _told(stored.record))


@app.command("show")
def show_all(
    name: Annotated[str | None, typer.Argument(help="Only this one.")] = None,
    retired: Annotated[bool, typer.Option("--retired", help="Also those out of use.")] = False,
    shop: ShopOption = None,
    as_json: AsJson = False,
) -> None:
    """The benders of the shop."""
    from hoopwright.jobs import shops

    with stopping_on_findings(as_json):
        found = shops.benders(shop, name, retired=retired)
        rows = [
            [b.name, b.swings, length(b.clamp_mm), length(b.axis_height_mm), f"{b.reach_deg:g}",
             "described" if b.stand else "-", in_use(b.retired)]
            for b in found
        ]  # fmt: skip
        heads = ["bender", "swings", "clamp mm", "axis height mm", "reach deg", "stand", "state"]
        text = table_text(heads, rows) if rows else "no bender yet: 'hoopwright bender add'"
        show_records(as_json, "benders", found, text)


@app.command("retire")
def retire(
    name: Name,
    back: Back = False,
    shop: ShopOption = None,
    as_json: AsJson = False,
) -> None:
    """Take a bender out of use; everything measured with it stays."""
    retire_named(as_json, shop, "bender", name, back=back)


def _told(bender: "ShopBender") -> str:
    return f"swings {bender.swings}, clamp {bender.clamp_mm:g} mm, reach {bender.reach_deg:g}°"
