"""Fitting a bar again from where it is: no search, so that it takes well under a second."""

import numpy as np

from hoopwright.bars import Bar
from hoopwright.fitting.bar_task import BarTask, freedom_of
from hoopwright.fitting.offers import TradeOff, finished, judge_offer
from hoopwright.fitting.polish import polish
from hoopwright.fitting.tradeoff import check_task
from hoopwright.shell.shell import Shell

_REACH_MM = 200.0


def refit_bar(shell: Shell, task: BarTask, bar: Bar, *, seed: int = 1) -> TradeOff:
    """Improve a bar from its own nodes, its ends where the task says.

    Args:
        shell: The scan in the vehicle frame.
        task: What is asked.
        bar: The bar to start from; its number of bends stays.
        seed: Kept with the result; nothing is random here.

    Raises:
        UserError: `FIT-030`.
    """
    check_task(task)
    freedom = freedom_of(task, task.on_plane(bar.nodes), _REACH_MM)
    start = polish(shell, task, freedom, np.zeros(len(freedom.moves)), extra=np.empty(0), rounds=25)
    best = finished(shell, task, freedom, start)
    offer = judge_offer(shell, task, task.bar(freedom.nodes(best.numbers)), bar.bend_count)
    return TradeOff(task=task, offers=() if offer is None else (offer,), seed=seed)
