"""What was recorded as sawn, and taking it back: it stands on the page for as long as it can be taken back."""

from collections.abc import Awaitable, Callable, Sequence

from nicegui import ui

from hoopwright.jobs.paper_previews import today
from hoopwright.jobs.sawn_plans import SawnPlan
from hoopwright.jobs.stock_taking import Taken, put_back
from hoopwright.web.bench import Bench
from hoopwright.web.parts import counted
from hoopwright.web.work import work


def draw_sawn(
    bench: Bench, plans: Sequence[SawnPlan], taken_back: Callable[[Taken], Awaitable[None]]
) -> None:
    """Every plan that was recorded, with what takes it back.

    Args:
        bench: The page.
        plans: The last first.
        taken_back: Called with what was taken back.
    """
    for plan in plans:
        _one(bench, plan, taken_back)


def taken_words(made: Taken) -> str:
    """What was recorded just now."""
    left = (
        f" On the rack: {', '.join(f'offcut {one.label}' for one in made.offcuts)}." if made.offcuts else ""
    )
    return (
        f"✓ Recorded: plan {made.identity}, {counted(len(made.used), 'stick')} used, "
        f"{counted(len(made.bars), 'bar')} cut.{left}"
    )


def back_words(made: Taken) -> str:
    """What was taken back just now."""
    bars = f"; not cut any more: {', '.join(made.bars)}" if made.bars else ""
    return (
        f"Plan {made.identity} taken back: {counted(len(made.used), 'stick')} on the rack again{bars}. "
        "Plan the cuts anew."
    )


def _one(bench: Bench, plan: SawnPlan, taken_back: Callable[[Taken], Awaitable[None]]) -> None:
    left = f"; left: {', '.join(plan.offcuts)}" if plan.offcuts else ""
    ui.label(
        f"Sawn {plan.date}, plan {plan.identity}: {', '.join(plan.bars)} from {', '.join(plan.sticks)}{left}"
    )

    async def back() -> None:
        made = await work(
            bench,
            "Taking the cuts back",
            lambda folder, _: put_back(folder, plan.identity, shop=None, date=today()),
        )
        if made is not None:
            await taken_back(made)

    ui.button("Take this recording back", on_click=back).props(
        f'flat dense aria-label="Take this recording back: plan {plan.identity}"'
    )
