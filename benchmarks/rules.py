"""A whole check of a 20-bar cage against a long rule book, and the tubes that it allows.

python -m benchmarks.rules
"""

import itertools
from types import MappingProxyType

from benchmarks.timing import best_of, line
from hoopwright.cage.car import Car, WeightBasis
from hoopwright.cage.member import Role
from hoopwright.rules.engine import check_book
from hoopwright.rules.facts import (
    BarFacts,
    BendFacts,
    Certificate,
    DriverFacts,
    Facts,
    FootFacts,
    HelmetRoom,
    JointFacts,
    Measured,
    OpeningFacts,
    Process,
)
from hoopwright.rules.reading import book_from_text
from hoopwright.rules.tube_choice import tube_choices
from hoopwright.tubes import TubeSize, common_steels, sold_sizes

_ROLES = (Role.MAIN_HOOP, Role.SIDE_BAR, Role.BACKSTAY, Role.HOOP_DIAGONAL, Role.DOOR_BAR)
_RULES = (
    'kind = "tube size"\nbands = [{ most = 1000, sizes = "38 x 2.5" }, { sizes = ["45 x 2.5", "50 x 2"] }]',
    'kind = "material"\nprocess = "cold drawn seamless"\ncarbon_most = 0.3\nyield_least = 350',
    'kind = "bend radius"\nleast_times_od = 3',
    'kind = "ovality"\nleast = 0.9',
    'kind = "bends"\nmost = 4\nsum_most = 190',
    'kind = "angle"\nof = "vertical"\napplies = "backstay"\nleast = 30',
    'kind = "distance"\nof = "end to foot"\nmost = 100',
    'kind = "members"\napplies = "door bar"\nleast = 2\non = "each side"',
    'kind = "plate"\narea_least = "120 cm2"\nthickness_least = 3',
    'kind = "padding"\nwithin = 300',
)


def main() -> None:
    """Measure and print."""
    text = '[book]\nid = "b"\nbody = "B"\nedition = "1"\nunit = "mm"\nprovenance = "read"\nweight_basis = "kerb"\n'
    rules = itertools.islice(itertools.cycle(_RULES), 100)
    text += "".join(f'[[rule]]\nid = "r{number}"\n{keys}\n' for number, keys in enumerate(rules))
    book, facts = book_from_text(text, "b.toml"), _facts()
    rows = check_book(book, facts)
    print(f"{len(book.rules)} rules, {len(facts.bars or ())} bars, {len(rows)} rows")
    line("a book of 100 rules read", best_of(lambda: book_from_text(text, "b.toml")), "s", "under 1")
    line("whole check of a 20-bar cage", best_of(lambda: check_book(book, facts)), "s", "under 1")
    sizes, steels = sold_sizes(), common_steels()
    line(
        f"{len(sizes)} sizes in {len(steels)} steels held against it",
        best_of(lambda: tube_choices(book, facts.car, Role.MAIN_HOOP, sizes, steels), runs=3),
        "s",
        "under 1",
    )


def _facts() -> Facts:
    bend = BendFacts(
        angle_deg=40.0, clr_mm=137.5, in_leg=True, side_view_deg=10.0, narrow_mm=43.0, wide_mm=46.0
    )
    certificate = Certificate(process=Process.CDS, carbon_percent=0.2, yield_mpa=420.0, tensile_mpa=520.0)
    bars = tuple(
        BarFacts(
            bar_id=f"B{number}",
            role=_ROLES[number % len(_ROLES)],
            side="L" if number % 2 else "R",
            tube=TubeSize(od_mm=45.0, wall_mm=2.5),
            steel="E355",
            certificate=certificate,
            bends=(bend,) * 4,
            down_mm=(-700.0, -50.0, -900.0),
            is_one_piece=True,
            padding_mm=13.0,
        )
        for number in range(20)
    )
    return Facts(
        car=Car(weights_kg=MappingProxyType({WeightBasis.KERB: 1180.0})),
        bars=bars,
        measures=tuple(
            Measured(name="end to foot", about=bar.bar_id, role=bar.role, measured=80.0) for bar in bars
        ),
        feet=tuple(
            FootFacts(bar_id=bar.bar_id, role=bar.role, planes_mm=((120.0, 100.0),), thickness_mm=3.0)
            for bar in bars[:8]
        ),
        joints=tuple(JointFacts(joint_id=f"J{number}") for number in range(34)),
        drivers=(DriverFacts(rooms=tuple(HelmetRoom(bar_id=bar.bar_id, room_mm=250.0) for bar in bars)),),
        openings=tuple(OpeningFacts(side=side, circle_mm=450.0) for side in ("L", "R")),
    )


if __name__ == "__main__":
    main()
