"""A hoop of the plain section, and a calibration that its sheet is made with, as files that a person types."""

HOOP = (
    "forward,left,up\n-900,610,0\n-900,640,620\n-900,505,1085\n-900,-505,1085\n-900,-640,620\n-900,-610,0\n"
)
CALIBRATION = """\
od_mm = 45.0
wall_mm = 2.5
die = "45"
[[plain]]
clr_mm = 137.5
used_per_deg_mm = 2.3556
start_offset_mm = 11.5
constant_deg = 0.777
per_command_deg = 0.0301
"""
