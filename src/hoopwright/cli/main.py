"""The command `hoopwright`. Heavy libraries are imported inside the commands."""

from typing import Annotated

import typer

from hoopwright.cli import (
    asbent,
    assembly,
    bar,
    batch,
    bend,
    bender,
    calibrate,
    car,
    check,
    command,
    compare,
    cope,
    cuts,
    demo,
    die,
    dossier,
    driver,
    fit,
    gusset,
    history,
    holdable,
    joints,
    landing,
    landmark,
    layout,
    log,
    measured,
    new,
    open_,
    order,
    papers,
    picture,
    quote,
    reach,
    rules,
    scan,
    sheets,
    shop,
    stick,
    stock,
    table,
    tolerance,
    tube,
    tubes,
)

app = typer.Typer(
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    help="From a scanned shell and a few sample bends to safety-cage bars that fit. "
    "It draws and computes; only the scrutineer decides.",
)


def _print_version(wanted: bool) -> None:
    if wanted:
        from hoopwright import __version__

        print(__version__)
        raise typer.Exit


@app.callback()
def _main(
    _version: Annotated[
        bool, typer.Option("--version", help="Print the version.", is_eager=True, callback=_print_version)
    ] = False,
) -> None:
    """From a scanned shell and a few sample bends to safety-cage bars that fit.

    It draws and computes; only the scrutineer decides.
    """


for _module, _name in (
    (table.table, "table"),
    (calibrate.calibrate, "calibrate"),
    (command.command, "command"),
    (tube.tube, "tube"),
    (tubes.tubes, "tubes"),
    (cope.cope, "cope"),
    (cuts.cuts, "cuts"),
    (new.new, "new"),
    (car.car, "car"),
    (open_.open_workbench, "open"),
    (scan.scan, "scan"),
    (layout.layout, "layout"),
    (fit.fit, "fit"),
    (check.check, "check"),
    (compare.compare, "compare"),
    (asbent.asbent, "asbent"),
    (measured.measured, "measured"),
    (holdable.holdable, "holdable"),
    (order.order, "order"),
    (assembly.assembly, "assembly"),
    (tolerance.tolerance, "tolerance"),
    (joints.joints, "joints"),
    (sheets.sheets, "sheets"),
    (papers.papers, "papers"),
    (bend.bend, "bend"),
    (reach.reach, "reach"),
    (picture.picture, "picture"),
    (history.undo, "undo"),
    (history.redo, "redo"),
    (demo.demo, "demo"),
    (shop.backup, "backup"),
    (shop.restore, "restore"),
):
    app.command(_name)(_module)
for _group, _name in (
    (bar.app, "bar"),
    (driver.app, "driver"),
    (landmark.app, "landmark"),
    (rules.app, "rules"),
    (gusset.app, "gusset"),
    (landing.app, "landing"),
    (dossier.app, "dossier"),
    (bender.app, "bender"),
    (die.app, "die"),
    (batch.app, "batch"),
    (stick.app, "stick"),
    (stock.app, "stock"),
    (log.app, "log"),
    (shop.app, "shop"),
    (quote.app, "quote"),
):
    app.add_typer(_group, name=_name)
