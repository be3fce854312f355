"""How copes are wanted, typed alike for every command that cuts them."""

from typing import TYPE_CHECKING, Annotated

import typer

from hoopwright.cli import typed

if TYPE_CHECKING:
    from hoopwright.joints.cope import CutKind
    from hoopwright.joints.meet import CutWishes

_CUTS: tuple["CutKind", ...] = ("outside", "square", "radial")

RootGap = Annotated[
    list[str] | None,
    typer.Option(help="Left between cut and header, for all joints, or 'MH/SB-L-B: 1.2'. Repeatable."),
]
Ovality = Annotated[
    list[str] | None,
    typer.Option(help="A bend as measured, in its plane x across: 'MH 2: 40.9 x 46.2'. Repeatable."),
]
Cut = Annotated[
    str,
    typer.Option(
        help="outside: the outside touches all round, the inside edge is filed back; square: straight in through "
        "the wall, nothing stands in; radial: straight in to the inside's line."
    ),
]
Order = Annotated[
    str | None, typer.Option(help="Order of assembly, 'MH, SB-L, SB-R'; the cage's own without.")
]


def cut_wishes(gaps: list[str] | None, ovals: list[str] | None, cut: str, order: str | None) -> "CutWishes":
    """What was typed, read.

    Raises:
        UserError: `TYPED-001`, `UNIT-001`.
    """
    from hoopwright.joints.meet import CutWishes

    read = [typed.root_gap(text) for text in gaps or []]
    return CutWishes(
        root_gap_mm=next((gap for name, gap in reversed(read) if name is None), 0.0),
        root_gaps_mm={name: gap for name, gap in read if name is not None},
        oval_bends=dict(typed.oval_bend(text) for text in ovals or []),
        cut=typed.one_of(cut, _CUTS, "how the wall is cut"),
        order=tuple(name.strip() for name in (order or "").split(",") if name.strip()),
    )
