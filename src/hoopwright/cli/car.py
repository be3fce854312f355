"""`hoopwright car`: what a rule book asks of the car."""

from pathlib import Path
from typing import Annotated

import typer

from hoopwright.cli import typed
from hoopwright.cli.output import AsJson, show, stopping_on_findings


def car(
    project: Annotated[Path, typer.Argument(help="Project folder.")],
    words: Annotated[str | None, typer.Option(help="Make, model and year.")] = None,
    chassis: Annotated[str | None, typer.Option(help="Chassis number, as stamped.")] = None,
    cage: Annotated[str | None, typer.Option(help="Number stamped on the cage.")] = None,
    builder: Annotated[str | None, typer.Option(help="Who builds the cage.")] = None,
    weight: Annotated[
        list[str] | None,
        typer.Option(
            help="Weight and what it counts: '1180 kg kerb', '2600 lb listed', '1050 kg without driver', "
            "'1000 kg no fuel no driver', '1120 kg race ready'. Repeatable: books differ."
        ),
    ] = None,
    engine: Annotated[str | None, typer.Option(help="Swept volume: '1998', '2.0 l', '302 ci'.")] = None,
    homologated: Annotated[str | None, typer.Option(help="Day of homologation: 2006-05-01.")] = None,
    roof: Annotated[bool | None, typer.Option("--roof/--no-roof", help="Whether the car has a roof.")] = None,
    driver_side: Annotated[str | None, typer.Option(help="Side of the driver's seat: L or R.")] = None,
    clear: Annotated[
        list[str] | None,
        typer.Option(
            help="Take back: words, chassis, cage, builder, engine, homologated, roof, driver-side, weight."
        ),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Describe the car for the rule book: what was understood is shown; what was never said is not guessed."""
    from hoopwright.jobs.cars import TypedCar, car_lines, describe_car, typed_engine_cm3, typed_weight
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        kept = describe_car(
            ProjectFolder(path=project),
            TypedCar(
                words=words,
                chassis_number=chassis,
                cage_number=cage,
                builder=builder,
                weights_kg=dict(typed_weight(text) for text in weight or ()),
                engine_cm3=typed.maybe(typed_engine_cm3, engine),
                homologated=typed.maybe(typed.day, homologated),
                is_open=None if roof is None else not roof,
                driver_side=typed.maybe(lambda text: typed.one_of(text, ("L", "R"), "L or R"), driver_side),
                cleared=clear or (),
            ),
        )
        keys = {**vars(kept), "weights_kg": {basis.value: kg for basis, kg in kept.weights_kg.items()}}
        show(as_json, lambda: keys, "\n".join(car_lines(kept)))
