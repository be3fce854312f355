"""Machine, sample bends, calibration, order of bending and the bar sheet."""

from hoopwright.bender.blank import BlankLayout, lay_out_blank
from hoopwright.bender.calibration import (
    BendNumbers,
    Calibration,
    Springback,
    bend_numbers,
    match_calibration,
    placeholder_calibration,
    same_tube,
)
from hoopwright.bender.calibration_files import (
    calibration_as_dict,
    calibration_from_dict,
    read_calibration,
)
from hoopwright.bender.checks import tape_checks, wrong_turn_miss_mm
from hoopwright.bender.fit import TubeUsedPrior, fit_calibration
from hoopwright.bender.kept_samples import CalibrationRecord, check_calibration
from hoopwright.bender.logged_bends import LoggedBend, check_bend
from hoopwright.bender.machine import Machine, Swing
from hoopwright.bender.marks import make_bar_sheet
from hoopwright.bender.next_sample import SampleSuggestion, best_next_sample
from hoopwright.bender.order import (
    Feed,
    Order,
    a_to_b,
    b_to_a,
    check_order,
    default_order,
    is_hoop,
    listed_order,
    middle_outward,
    order_as_text,
    order_from_text,
)
from hoopwright.bender.poses import leg_clock, reference_bend, turn_tube_deg
from hoopwright.bender.sample_files import (
    read_samples,
    samples_as_keys,
    samples_as_toml,
    samples_from_keys,
    samples_from_text,
)
from hoopwright.bender.samples import AngleSample, LegSample, PlainNumbers, Samples, USample
from hoopwright.bender.sheet import BarSheet, BendStep, TapeCheck, TubeEnd
from hoopwright.bender.shop_keys import record_as_keys, record_from_keys
from hoopwright.bender.shop_records import (
    ShopBender,
    ShopDie,
    Stick,
    StickState,
    TubeBatch,
)
from hoopwright.bender.springback import CommandAngle, command_angle

__all__ = [
    "AngleSample",
    "BarSheet",
    "BendNumbers",
    "BendStep",
    "BlankLayout",
    "Calibration",
    "CalibrationRecord",
    "CommandAngle",
    "Feed",
    "LegSample",
    "LoggedBend",
    "Machine",
    "Order",
    "PlainNumbers",
    "SampleSuggestion",
    "Samples",
    "ShopBender",
    "ShopDie",
    "Springback",
    "Stick",
    "StickState",
    "Swing",
    "TapeCheck",
    "TubeBatch",
    "TubeEnd",
    "TubeUsedPrior",
    "USample",
    "a_to_b",
    "b_to_a",
    "bend_numbers",
    "best_next_sample",
    "calibration_as_dict",
    "calibration_from_dict",
    "check_bend",
    "check_calibration",
    "check_order",
    "command_angle",
    "default_order",
    "fit_calibration",
    "is_hoop",
    "lay_out_blank",
    "leg_clock",
    "listed_order",
    "make_bar_sheet",
    "match_calibration",
    "middle_outward",
    "order_as_text",
    "order_from_text",
    "placeholder_calibration",
    "read_calibration",
    "read_samples",
    "record_as_keys",
    "record_from_keys",
    "reference_bend",
    "same_tube",
    "samples_as_keys",
    "samples_as_toml",
    "samples_from_keys",
    "samples_from_text",
    "tape_checks",
    "turn_tube_deg",
    "wrong_turn_miss_mm",
]
