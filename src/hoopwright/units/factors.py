"""The only place that holds conversion factors.

Source: the inch is 25.4 mm exactly (international yard and pound agreement, 1959).
"""

from types import MappingProxyType

MM_PER_INCH = 25.4
MM_PER_FOOT = 304.8
MM_PER_UNIT = MappingProxyType({"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": MM_PER_INCH, "ft": MM_PER_FOOT})
KG_PER_M3_TO_KG_PER_MM3 = 1e-9
