"""`hoopwright die`: the dies of the shop."""

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
    from hoopwright.bender import ShopDie

app = typer.Typer(no_args_is_help=True, help="Dies of the shop: tube, radius, reach, clamp, bender.")
Name = Annotated[str, typer.Argument(help="What it is called, as bars name it.")]


@app.command("add")
def add(
    name: Name,
    od: Annotated[str, typer.Option(help="Outside diameter of the tube that fits it.")],
    clr: Annotated[str, typer.Option(help="Centreline radius written on it.")],
    reach: Annotated[str, typer.Option(help="Greatest angle that can be commanded with it.")],
    bender: Annotated[str, typer.Option(help="The bender that it belongs to.")],
    clamp: Annotated[
        str | None, typer.Option(help="Straight that its clamp needs; the bender's without.")
    ] = None,
    note: Note = None,
    shop: ShopOption = None,
    as_json: AsJson = False,
) -> None:
    """Add a die."""
    from hoopwright.bender import ShopDie
    from hoopwright.jobs import shops

    with stopping_on_findings(as_json):
        die = ShopDie(
            name=name,
            od_mm=parse_length_mm(od),
            clr_mm=parse_length_mm(clr),
            reach_deg=parse_angle_deg(reach),
            bender=bender,
            clamp_mm=typed.maybe(parse_length_mm, clamp),
            note=note or "",
        )
        stored = shops.add_die(shop, die)
        show_stored(as_json, stored, f"die '{name}'", _told(stored.record))


@app.command("change")
def change(
    name: Name,
    od: Annotated[str | None, typer.Option(help="Outside diameter of the tube that fits it.")] = None,
    clr: Annotated[str | None, typer.Option(help="Centreline radius written on it.")] = None,
    reach: Annotated[str | None, typer.Option(help="Greatest angle that can be commanded with it.")] = None,
    bender: Annotated[str | None, typer.Option(help="The bender that it belongs to.")] = None,
    clamp: Annotated[str | None, typer.Option(help="Straight that its clamp needs.")] = None,
    note: Note = None,
    shop: ShopOption = None,
    as_json: AsJson = False,
) -> None:
    """Keep a further version of a die; what is not typed stays, and so does the version before."""
    from hoopwright.jobs import shops

    with stopping_on_findings(as_json):
        changes = {
            "od_mm": typed.maybe(parse_length_mm, od),
            "clr_mm": typed.maybe(parse_length_mm, clr),
            "reach_deg": typed.maybe(parse_angle_deg, reach),
            "bender": bender,
            "clamp_mm": typed.maybe(parse_length_mm, clamp),
            "note": note,
        }
        stored = shops.change(shop, "die", name, changes)
        show_stored(as_json, stored, f"die '{name}'", _told(stored.record))


@app.command("show")
def show_all(
    name: Annotated[str | None, typer.Argument(help="Only this one.")] = None,
    retired: Annotated[bool, typer.Option("--retired", help="Also those out of use.")] = False,
    shop: ShopOption = None,
    as_json: AsJson = False,
) -> None:
    """The dies of the shop."""
    from hoopwright.jobs import shops

    with stopping_on_findings(as_json):
        found = shops.dies(shop, name, retired=retired)
        rows = [
            [d.name, length(d.od_mm), length(d.clr_mm), f"{d.reach_deg:g}", length(d.clamp_mm), d.bender,
             in_use(d.retired)]
            for d in found
        ]  # fmt: skip
        heads = ["die", "tube OD mm", "radius mm", "reach deg", "clamp mm", "bender", "state"]
        text = table_text(heads, rows) if rows else "no die yet: 'hoopwright die add'"
        show_records(as_json, "dies", found, text)


@app.command("retire")
def retire(
    name: Name,
    back: Back = False,
    shop: ShopOption = None,
    as_json: AsJson = False,
) -> None:
    """Take a die out of use; everything measured with it stays."""
    retire_named(as_json, shop, "die", name, back=back)


def _told(die: "ShopDie") -> str:
    return f"tube {die.od_mm:g} mm, radius {die.clr_mm:g} mm, reach {die.reach_deg:g}°, bender '{die.bender}'"
