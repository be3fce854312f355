"""What is asked of a bar to fit, as a person types it."""

from nicegui import ui

from hoopwright.cage import Member
from hoopwright.jobs.fit_tasks import FitWishes
from hoopwright.jobs.typed import place as typed_place
from hoopwright.units import format_angle, parse_angle_deg, parse_length_mm
from hoopwright.web.bench import Bench
from hoopwright.web.entries import Entry, as_typed, both_units, length_entry, place_entry

ALL = "0 to 4, to compare"
MOST = 6
AS_IT_IS, LEANING, PILLARS, THROUGH = (
    "as it is",
    "one plane, leaning rearward",
    "the plane of the B-pillars",
    "the plane of both ends and a place",
)
SIDES = {"as it is": None, "its own mirror image": True, "each side by itself": False}


class FitAsked:
    """The fields.

    Args:
        bench: The page.
        member: The bar.
    """

    def __init__(self, bench: Bench, member: Member) -> None:
        limits = bench.seen.project.cage.limits
        ui.label(f"Fit {member.member_id}").classes("hw-head")
        self.gap = length_entry("Gap to keep", value=bench.length(limits.gap_mm), stands_for_mm=limits.gap_mm)
        self.count = ui.select([ALL, *map(str, range(MOST + 1))], value=ALL, label="Bends")
        self.count.props("dense outlined").classes("w-full")
        with ui.expansion("Ends").classes("w-full hw-fold"):
            self.a = self._end(bench, member, "A", 0)
            self.slide_a = _slide("A")
            self.b = self._end(bench, member, "B", -1)
            self.slide_b = _slide("B")
        with ui.expansion("Plane and way").classes("w-full hw-fold"):
            self.plane = ui.select(
                [AS_IT_IS, LEANING, PILLARS, THROUGH], value=AS_IT_IS, label="Bends lie in"
            )
            self.plane.props("dense outlined").classes("w-full")
            self.lean = _angle("Leaning rearward by", "0")
            self.through = place_entry(bench, "Place in the plane", what="a place in the plane")
            self.sides = ui.select(list(SIDES), value="as it is", label="Both sides")
            self.sides.props("dense outlined").classes("w-full")
            self.via = (
                ui.textarea("Places to pass near, one a line")
                .props("dense outlined autogrow")
                .classes("w-full")
            )
        with ui.expansion("Limits").classes("w-full hw-fold"):
            self.clamp = length_entry(
                "Straight that the clamp needs", hint="empty: the die's, or the project's"
            )
            self.least = _angle("Smallest bend worth making", "3")
            self.greatest = _angle("Greatest bend of the die", "120")
            self.reverse = ui.checkbox("A bend may turn against the one before")

    def _end(
        self, bench: Bench, member: Member, letter: str, index: int
    ) -> Entry[tuple[float, float, float]]:
        place = member.nodes_mm[index]
        return place_entry(
            bench,
            f"Place of end {letter}",
            what=f"end {letter}",
            value=as_typed(place),
            hint="empty: as it is",
        )

    def bends(self) -> tuple[int, ...]:
        """Numbers of bends to try."""
        return (0, 1, 2, 3, 4) if self.count.value == ALL else (int(str(self.count.value)),)

    def wishes(self) -> FitWishes:
        """What is asked.

        Raises:
            UserError: `TYPED-001`, `UNIT-001` for what cannot be read.
        """
        plane = str(self.plane.value)
        lines = [line for line in str(self.via.value or "").splitlines() if line.strip()]
        return FitWishes(
            a_mm=self._moved(self.a),
            b_mm=self._moved(self.b),
            gap_mm=self.gap.maybe(),
            clamp_mm=self.clamp.maybe(),
            via_mm=tuple(typed_place(line) for line in lines),
            lean_deg=self.lean.value() if plane == LEANING else None,
            at_pillar=plane == PILLARS,
            through_mm=self.through.value() if plane == THROUGH else None,
            symmetric=SIDES[str(self.sides.value)],
            slide_a_mm=self.slide_a.maybe() or 0.0,
            slide_b_mm=self.slide_b.maybe() or 0.0,
            least_bend_deg=self.least.value(),
            greatest_bend_deg=self.greatest.value(),
            may_reverse=bool(self.reverse.value),
        )

    @staticmethod
    def _moved(entry: Entry[tuple[float, float, float]]) -> tuple[float, float, float] | None:
        """The place that was typed; None where what stands there was left alone, which is rounded to be read."""
        return entry.maybe() if entry.text != entry.first else None


def _slide(letter: str) -> Entry[float]:
    return Entry(f"End {letter} may slide", parse_length_mm, _slide_words, value="0")


def _slide_words(slide_mm: float) -> str:
    if slide_mm == 0.0:
        return "0: it stays where it is; type how far it may go, such as 60"
    return f"{both_units(slide_mm)} each way, along the bar it lands on, else across the car"


def _angle(label: str, value: str) -> Entry[float]:
    return Entry(label, parse_angle_deg, format_angle, value=value)
