"""The keys of a build's records in a project file."""

from typing import Annotated, Any, Literal

from pydantic import Field

from hoopwright.cage.car import Car, WeightBasis, check_car
from hoopwright.store.build_records import Answer
from hoopwright.store.file_kinds import BarId, FileModel, FileName, Number


class CarKeys(FileModel):
    """The car, as a rule book asks for it."""

    words: str = ""
    chassis_number: str = ""
    cage_number: str = ""
    builder: str = ""
    weights_kg: dict[WeightBasis, Number] = Field(default_factory=dict)
    engine_cm3: Number | None = None
    homologated: str = ""
    is_open: bool | None = None
    driver_side: Literal["L", "R", ""] = ""


class BookKeys(FileModel):
    """The pinned book."""

    book_id: FileName
    edition: str
    sha256: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
    confirmed: tuple[str, ...] = ()


class AnswerKeys(FileModel):
    """An answer by hand."""

    book_id: FileName
    edition: str
    rule_id: str
    answer: Answer
    words: str
    by: str
    date: str


class HandMeasureKeys(FileModel):
    """A number that a person measured."""

    about: str
    name: str
    bend: Annotated[int, Field(ge=0, le=100, strict=True)] = 0
    measured: Number | None
    other: Number | None = None
    date: str


class PhotoKeys(FileModel):
    """A photo."""

    place: str
    file: FileName
    sha256: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
    words: str
    date: str


class LogLineKeys(FileModel):
    """A line of the build log."""

    date: str
    words: str
    by: str = ""


class TubeUsedKeys(FileModel):
    """Which tube a bar was cut from."""

    bar_id: BarId
    batch: str
    stick: str
    steel: str
    heat_number: str
    certificate: str
    date: str


def car_keys(car: Car) -> dict[str, Any]:
    """The car as keys of a project file."""
    return {**vars(car), "weights_kg": dict(car.weights_kg)}


def car_of(keys: CarKeys) -> Car:
    """The car from the keys of a project file.

    Raises:
        UserError: `CAR-001`.
    """
    car = Car(**dict(keys))
    check_car(car)
    return car
