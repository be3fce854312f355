"""The only place that holds conversion factors.

Source: the inch is 25.4 mm exactly (international yard and pound agreement, 1959).
"""

from types import MappingProxyType

MM_PER_INCH = 25.4
MM_PER_FOOT = 304.8
MM_PER_UNIT = MappingProxyType({"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": MM_PER_INCH, "ft": MM_PER_FOOT})
KG_PER_M3_TO_KG_PER_MM3 = 1e-9
STANDARD_GRAVITY_M_PER_S2 = 9.80665
"""Source: third General Conference on Weights and Measures, 1901."""
KG_PER_POUND = 0.45359237
"""Source: the same agreement of 1959."""
KG_PER_UNIT = MappingProxyType({"kg": 1.0, "lb": KG_PER_POUND})
MM2_PER_UNIT = MappingProxyType({"mm2": 1.0, "cm2": 100.0, "in2": MM_PER_INCH**2})
