"""Lengths within sentences, told in inches."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hoopwright.units import parse_length_mm, told_in

# 25.4 mm is an inch by the definition of 1959
TOLD = [
    ("no scanned metal within 150 mm", 'no scanned metal within 5 7/8"'),
    ("roof, up 1006 to 1186, 254 mm from end A", 'roof, up 1006 to 1186, 10" from end A'),
    ("2 bends of radius 137.5 mm, clamp 70 mm", '2 bends of radius 5 7/16", clamp 2 3/4"'),
    ("HB at -900, 0, 635 mm", 'HB at -35 7/16", 0", 25"'),
    ("passes the wall at 2.54 mm (wanted: 5 mm)", 'passes the wall at 0.100" (wanted: 0.197")'),
    ("a size of 101.6 x 50.8 mm", 'a size of 4" x 2"'),
    ("free from 25.4 to 50.8 mm", 'free from 1" to 2"'),
    ("cuts -12.7 mm", 'cuts -1/2"'),
    ("tube 45 x 2.5, turned by 4°", "tube 45 x 2.5, turned by 4°"),
    ("BS2 mm", "BS2 mm"),
    ("ovality 50.8 / 25.4 mm", 'ovality 2" / 1"'),
    ("radius 127 ± 2.54 mm", 'radius 5" ± 0.100"'),
    ("it would be between 254 and 508 mm", 'it would be between 10" and 20"'),
    ("bends 2 and 3, 254 mm apart", 'bends 2 and 3, 10" apart'),
    ("the end at 254, 0, 508 lies there", 'the end at 10", 0", 20" lies there'),
    ("  at forward 254, left -508, up 0 mm", '  at forward 10", left -20", up 0"'),
    (
        "its faces come to 64.516 cm2; 645.16 mm2 are asked",
        "its faces come to 10.0000 in2; 1.000 in2 are asked",
    ),
    ("sticks of 6.096 m", "sticks of 20.0000 ft"),
    ("2.4 mm per metre apart, 2 mm/m", "2.4 mm per metre apart, 2 mm/m"),
    ("bent 'by 25.4 mm' and 25.4 mm", "bent 'by 25.4 mm' and 1\""),
    ("the driver's 25.4 mm, the car's", "the driver's 1\", the car's"),
    ("a length such as 44.45 mm or 1 3/4 in", "a length such as 44.45 mm or 1 3/4 in"),
]
# what the person reads must never tell him that a value meets its limit where it does not
APART = [
    ("9.8 mm, under the 10 mm asked", '0.386", under the 0.394" asked'),
    ("the tape reads 1460.0 mm, the scan 1460.1 mm", 'the tape reads 57.480", the scan 57.484"'),
    ("0.98 mm and 1 mm", '0.0386" and 0.0394"'),
    ("-12.7 mm to the one side, 12.7 mm to the other", '-1/2" to the one side, 1/2" to the other'),
    ("254 mm, 254 mm and 508 mm", '10", 10" and 20"'),
]
# 200 mm is 7.874 in: 7 7/8 is more than that, 7 13/16 is not; 0.4 mm is 0.01575 in
LIMITED = [
    ("Type 10 to 200 mm", 'Type 7/16" to 7 13/16"'),
    ("at most 200 mm fits", 'at most 7 13/16" fits'),
    ("a clamp of 200 mm or less", 'a clamp of 7 13/16" or less'),
    ("Leave 10 mm of trim, 10 mm or more", 'Leave 7/16" of trim, 7/16" or more'),
    ("at least 0.4 mm", 'at least 0.016"'),
    ("Type 25.4 to 50.8 mm", 'Type 1" to 2"'),
]


@pytest.mark.parametrize(("words", "inches"), TOLD + APART + LIMITED)
def test_lengths_in_words_follow_the_unit(words, inches):
    assert told_in(words, "in") == inches
    assert told_in(words, "mm") == words


def test_a_name_that_looks_like_a_length_is_a_name():
    assert told_in("Die 38 mm shoe takes 25.4 mm", "in", kept=("38 mm shoe", "")) == 'Die 38 mm shoe takes 1"'


@given(st.lists(st.integers(0, 30_000), min_size=2, max_size=4), st.sampled_from((1, 10)))
def test_longer_is_told_as_longer(steps, parts):
    """Whatever was told apart in mm is told apart in inches, in the same order."""
    lengths = [step / parts for step in steps]
    told = told_in(", then ".join(f"{length:g} mm" for length in lengths), "in").split(", then ")
    inches = [parse_length_mm(words) for words in told]
    for a, one in zip(lengths, inches, strict=True):
        assert one == pytest.approx(a, abs=25.4 / 32 + 1e-6)
        for b, other in zip(lengths, inches, strict=True):
            assert (one < other) == (a < b)
