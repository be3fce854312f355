"""`hoopwright batch`: the tube batches of the shop."""

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

if TYPE_CHECKING:
    from hoopwright.bender import TubeBatch

app = typer.Typer(no_args_is_help=True, help="Tube batches: size, steel, heat number, certificate.")
Name = Annotated[str, typer.Argument(help="What it is called.")]
Steel = Annotated[str | None, typer.Option(help="Grade, as the certificate writes it.")]
Heat = Annotated[str | None, typer.Option(help="Heat number on certificate and tube.")]
Yield = Annotated[float | None, typer.Option("--yield", help="Yield strength on the certificate, MPa.")]
Certificate = Annotated[str | None, typer.Option(help="Number of the certificate.")]


@app.command("add")
def add(
    name: Name,
    tube: Annotated[str, typer.Option(help="OD x wall, such as '45 x 2.5'.")],
    steel: Steel = None,
    heat: Heat = None,
    yield_mpa: Yield = None,
    certificate: Certificate = None,
    note: Note = None,
    shop: ShopOption = None,
    as_json: AsJson = False,
) -> None:
    """Add a tube batch."""
    from hoopwright.bender import TubeBatch
    from hoopwright.jobs import shops

    with stopping_on_findings(as_json):
        batch = TubeBatch(
            name=name,
            tube=typed.tube_size(tube),
            steel=steel or "",
            heat_number=heat or "",
            yield_mpa=yield_mpa,
            certificate=shops.certificate_number(certificate),
            note=note or "",
        )
        stored = shops.add_batch(shop, batch)
        show_stored(as_json, stored, f"batch '{name}'", _told(stored.record))


@app.command("change")
def change(
    name: Name,
    tube: Annotated[str | None, typer.Option(help="OD x wall, such as '45 x 2.5'.")] = None,
    steel: Steel = None,
    heat: Heat = None,
    yield_mpa: Yield = None,
    certificate: Certificate = None,
    note: Note = None,
    shop: ShopOption = None,
    as_json: AsJson = False,
) -> None:
    """Keep a further version of a batch; what is not typed stays, and so does the version before."""
    from hoopwright.jobs import shops

    with stopping_on_findings(as_json):
        changes = {
            "tube": typed.maybe(typed.tube_size, tube),
            "steel": steel,
            "heat_number": heat,
            "yield_mpa": yield_mpa,
            "certificate": certificate,
            "note": note,
        }
        stored = shops.change(shop, "batch", name, changes)
        show_stored(as_json, stored, f"batch '{name}'", _told(stored.record))


@app.command("show")
def show_all(
    name: Annotated[str | None, typer.Argument(help="Only this one.")] = None,
    retired: Annotated[bool, typer.Option("--retired", help="Also those of which none is left.")] = False,
    shop: ShopOption = None,
    as_json: AsJson = False,
) -> None:
    """The tube batches of the shop."""
    from hoopwright.jobs import shops
    from hoopwright.jobs.batch_numbers import number_findings

    with stopping_on_findings(as_json):
        found = shops.batches(shop, name, retired=retired)
        rows = [
            [b.name, str(b.tube), b.steel or "-", b.heat_number or "-", length(b.yield_mpa),
             b.certificate or "-", in_use(b.retired)]
            for b in found
        ]  # fmt: skip
        heads = ["batch", "tube mm", "steel", "heat number", "yield MPa", "certificate", "state"]
        text = table_text(heads, rows) if rows else "no batch yet: 'hoopwright batch add'"
        show_records(as_json, "batches", found, text, number_findings(found))


@app.command("retire")
def retire(
    name: Name,
    back: Back = False,
    shop: ShopOption = None,
    as_json: AsJson = False,
) -> None:
    """Say that none is left of a batch; everything measured with it stays."""
    retire_named(as_json, shop, "batch", name, back=back)


def _told(batch: "TubeBatch") -> str:
    return f"tube {batch.tube} mm, heat number {batch.heat_number or 'not given'}"
