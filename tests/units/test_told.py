"""Lengths within sentences, told in inches."""

import pytest

from hoopwright.units import told_in

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
]


@pytest.mark.parametrize(("words", "inches"), TOLD)
def test_lengths_in_words_follow_the_unit(words, inches):
    assert told_in(words, "in") == inches
    assert told_in(words, "mm") == words
