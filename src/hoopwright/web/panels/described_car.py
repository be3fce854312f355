"""The car as a rule book asks for it."""

from collections.abc import Callable
from typing import Any

from nicegui import ui

from hoopwright.cage import Car, WeightBasis
from hoopwright.findings import UserError
from hoopwright.jobs.cars import (
    BASIS_WORDS,
    TypedCar,
    car_lines,
    describe_car,
    typed_engine_cm3,
    typed_weight,
)
from hoopwright.jobs.typed import day
from hoopwright.web.bench import Bench
from hoopwright.web.entries import Entry, text_entry
from hoopwright.web.forms import Form, edit_typed, form_part

_ROOFS = {"": "not said", "roof": "there is a roof", "open": "no roof"}
_SIDES = {"": "not said", "L": "left", "R": "right"}


def build(bench: Bench) -> None:
    """Fill the part of the tab."""
    form_part(bench, lambda: bench.seen.project.car, lambda form: _car(bench, form))


def _car(bench: Bench, form: Form) -> None:
    car = bench.seen.project.car
    words: dict[str, Entry[Any]] = {
        "words": text_entry("Car: make, model, year", value=car.words),
        "chassis": text_entry("Chassis number", value=car.chassis_number),
        "cage": text_entry("Number stamped on the cage", value=car.cage_number),
        "builder": text_entry("Who builds the cage", value=car.builder),
    }
    engine = Entry(
        "Engine",
        typed_engine_cm3,
        lambda cm3: f"{cm3:.0f} cm³",
        value="" if car.engine_cm3 is None else f"{car.engine_cm3:g}",
        hint="such as 1998, 2.0 l or 302 ci",
    )
    homologated = Entry(
        "Day of homologation",
        day,
        lambda text: text,
        value=car.homologated,
        hint="year-month-day, as 2006-05-01",
    )
    weight = Entry(
        "Weight and what it counts",
        typed_weight,
        lambda read: f"{read[1]:.0f} kg, {read[0].value}",
        hint=f"such as 1180 kg kerb. Known: {', '.join(dict.fromkeys(_first_words().values()))}",
    )
    roof = ui.select(_ROOFS, value={None: "", True: "open", False: "roof"}[car.is_open], label="Roof")
    side = ui.select(_SIDES, value=car.driver_side, label="The driver sits")
    for choice in (roof, side):
        choice.props("dense outlined")

    async def keep() -> None:
        try:
            typed = _typed(car, words, (engine, homologated, weight), str(roof.value), str(side.value))
        except UserError as error:
            bench.say(error.findings)
            return
        if await edit_typed(bench, form, lambda folder: describe_car(folder, typed)) is not None:
            ui.notify("✓ The car is kept as shown below.")

    ui.button("Keep the car", on_click=keep).classes("hw-button")
    ui.label("As it is kept").classes("hw-head")
    for line in car_lines(car):
        ui.label(line)
    for basis in car.weights_kg:
        ui.button(f"Take the {_first_words()[basis]} weight back", on_click=_back(bench, basis)).props(
            "flat dense"
        )


def _first_words() -> dict[WeightBasis, str]:
    """Shortest words for each basis."""
    first: dict[WeightBasis, str] = {}
    for words, basis in BASIS_WORDS.items():
        first.setdefault(basis, words)
    return first


def _back(bench: Bench, basis: WeightBasis) -> Callable[[], Any]:
    typed = TypedCar(cleared=(_first_words()[basis],))
    return lambda: bench.edit(lambda folder: describe_car(folder, typed))


def _typed(
    car: Car,
    words: dict[str, Entry[Any]],
    others: tuple[Entry[float], Entry[str], Entry[tuple[WeightBasis, float]]],
    roof: str,
    side: str,
) -> TypedCar:
    """What stands in the fields; one that was emptied is taken back.

    Raises:
        UserError: What cannot be read.
    """
    engine, homologated, weight = others
    emptied = [key for key, entry in words.items() if not entry.text]
    emptied += ["engine"] if not engine.text else []
    emptied += ["homologated"] if not homologated.text else []
    emptied += ["roof"] if not roof else []
    emptied += ["driver-side"] if not side else []
    read = weight.maybe()
    # as typed before, the kept volume is not rounded by what the field shows
    kept = car.engine_cm3 is not None and engine.text == engine.first
    return TypedCar(
        words=words["words"].text or None,
        chassis_number=words["chassis"].text or None,
        cage_number=words["cage"].text or None,
        builder=words["builder"].text or None,
        weights_kg={} if read is None else dict([read]),
        engine_cm3=car.engine_cm3 if kept else engine.maybe(),
        homologated=homologated.maybe(),
        is_open=None if not roof else roof == "open",
        driver_side=side or None,
        cleared=emptied,
    )
