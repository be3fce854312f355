"""Cutting plans: pieces from sticks. It knows pieces, not bars."""

from hoopwright.stock.pieces import CutRules, CutTask, Goal, Piece, StickOffer, check_task, piece_faults
from hoopwright.stock.plan import CutPart, CutPlan, CutStick
from hoopwright.stock.planning import longest_piece, plan_cuts, with_spares

__all__ = [
    "CutPart",
    "CutPlan",
    "CutRules",
    "CutStick",
    "CutTask",
    "Goal",
    "Piece",
    "StickOffer",
    "check_task",
    "longest_piece",
    "piece_faults",
    "plan_cuts",
    "with_spares",
]
