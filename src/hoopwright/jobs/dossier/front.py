"""The first page of the file: whose it is, what it was made from, and what it does not say."""

from collections.abc import Sequence

from hoopwright.jobs.dossier.source import DossierSource
from hoopwright.jobs.dossier.state import MADE_OF
from hoopwright.papers.dossier import Cover, CoverField, DrawnMember, DrawnSheet
from hoopwright.rules.show import Show
from hoopwright.store import Project

KIND = "File for the scrutineer"
_CAUTIONS = (
    "Nothing here accepts the cage. That is for the scrutineer and the rule book in force, and for nobody else.",
    "'pass' says that a measured value meets the limit that was typed, and no more. What was not checked is named so.",
    "No strength is proven.",
    "Gaps are to scanned metal. Where nothing was scanned the room is unknown, not free.",
    "Welds, the make of the bends and the metal itself cannot be seen in a drawing: they are for the eye, the caliper "
    "and the certificate.",
    "Dotted fields are not known to the records. They are filled in by hand and never guessed.",
    "What is changed on the cage after this day is not in this file; whoever accepted it must be asked first.",
)


def cover_of(
    source: DossierSource, members: Sequence[DrawnMember], sheets: Sequence[DrawnSheet], date: str
) -> Cover:
    """The cover.

    Args:
        source: What the file is made from.
        members: As they are drawn.
        sheets: Landings and gussets as they are drawn.
        date: Day of making, ISO 8601.
    """
    project = source.project
    return Cover(
        title=project.name,
        second=KIND,
        fields=_fields(project, date, _weight_unit(source)),
        state=source.state,
        made_of=MADE_OF,
        cautions=_CAUTIONS,
        tubes=tuple(member.tube for member in members),
        sheets=tuple(one.sheet for one in sheets),
    )


def headed(project: Project) -> str:
    """What stands at the head of each page."""
    stamped = f"    cage {project.car.cage_number}" if project.car.cage_number else ""
    return f"{project.name}{stamped}"


def _weight_unit(source: DossierSource) -> str:
    """Unit of the book's weights; kilograms without a book."""
    return "kg" if source.report.held is None else source.report.held.book.weight_unit


def _fields(project: Project, date: str, weight_unit: str) -> tuple[CoverField, ...]:
    """Car, cage, builder and book; what is not known is a line to write on."""
    car, pin = project.car, project.book
    show = Show(weight_unit=weight_unit)
    weights = [
        CoverField(name=basis.value, value=show.typed(kg, "kg")) for basis, kg in car.weights_kg.items()
    ]
    return (
        CoverField(name="car", value=car.words),
        CoverField(name="chassis number", value=car.chassis_number),
        CoverField(name="number stamped on the cage", value=car.cage_number),
        CoverField(name="builder", value=car.builder),
        CoverField(name="rule book", value="" if pin is None else pin.book_id),
        CoverField(name="edition", value="" if pin is None else pin.edition),
        CoverField(name="homologated", value=car.homologated),
        CoverField(name="this file made on", value=date),
        *(weights or [CoverField(name=f"weight ({weight_unit}), and on which basis")]),
    )
