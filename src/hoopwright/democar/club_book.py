"""The rule book of the demo's invented club: no real body prints it."""

CLUB_BOOK_ID = "third-shed-club-2026"
CLUB_BOOK = f"""\
# The rule book of an invented club, typed for the demo. No real body prints it: hold your own cage to your own book.

[book]
id = "{CLUB_BOOK_ID}"
body = "Third Shed Motor Club"
name = "An invented book, for the demo"
edition = "2026"
year = 2026
unit = "mm"
provenance = "read"
source = "invented for the demo"

[[rule]]
id = "hoop-size"
clause = "2.1"
page = "12"
words = "Main hoop and side bars"
kind = "tube size"
applies = ["main hoop", "side bar"]
sizes = ["45 x 2.5", "50 x 2"]
case = [{{ tube = "45 x 2.5", expect = "pass" }}, {{ tube = "44.45 x 2.413", expect = "fail" }}]

[[rule]]
id = "other-size"
clause = "2.2"
page = "12"
words = "All other bars"
kind = "tube size"
but = ["main hoop", "side bar"]
sizes = ["38 x 2.5", "40 x 2"]
case = [
  {{ role = "backstay", tube = "38 x 2.5", expect = "pass" }},
  {{ role = "backstay", tube = "38 x 2", expect = "fail" }},
]

[[rule]]
id = "radius"
clause = "2.3"
page = "12"
words = "Bends"
kind = "bend radius"
least_times_od = 3
case = [
  {{ tube = "45 x 2.5", bends = [{{ angle = 45, radius = 135 }}], expect = "pass" }},
  {{ tube = "45 x 2.5", bends = [{{ angle = 45, radius = 134 }}], expect = "fail" }},
]

[[rule]]
id = "backstay-angle"
clause = "3.1"
page = "13"
words = "Backstays lean rearward"
kind = "angle"
of = "vertical"
applies = "backstay"
way = "rearward"
least = 30
case = [{{ vector = [-700, 0, -1000], expect = "pass" }}, {{ vector = [-550, 0, -1000], expect = "fail" }}]

[[rule]]
id = "backstay-straight"
clause = "3.2"
page = "13"
words = "Backstays are straight"
kind = "straight"
applies = "backstay"
case = [{{ bends = [], expect = "pass" }}, {{ bends = [5], expect = "fail" }}]

[[rule]]
id = "diagonal"
clause = "3.3"
page = "13"
words = "A diagonal in the main hoop"
kind = "members"
applies = "hoop diagonal"
least = 1
case = [
  {{ bars = [{{ id = "HD", role = "hoop diagonal" }}], expect = "pass" }},
  {{ bars = [{{ id = "MH", role = "main hoop" }}], expect = "fail" }},
]

[[rule]]
id = "leg-plates"
clause = "4.1"
page = "14"
words = "Plates under hoop and side bars"
kind = "plate"
applies = ["main hoop", "side bar"]
area_least = "120 cm2"
thickness_least = 3
case = [
  {{ sides = [120, 100], thickness = 3, expect = "pass" }},
  {{ sides = [110, 108], thickness = 3, expect = "fail" }},
]

[[rule]]
id = "backstay-plates"
clause = "4.2"
page = "14"
words = "Plates under backstays"
kind = "plate"
applies = "backstay"
area_least = "60 cm2"
thickness_least = 3
case = [
  {{ sides = [100, 60], thickness = 3, expect = "pass" }},
  {{ sides = [90, 60], thickness = 3, expect = "fail" }},
]

[[rule]]
id = "helmet"
clause = "5.1"
page = "15"
words = "Helmet under a straight edge over the bars"
kind = "helmet"
least = 50
case = [{{ helmet_line = 50, expect = "pass" }}, {{ helmet_line = 49.9, expect = "fail" }}]

[[rule]]
id = "padding"
clause = "5.2"
page = "15"
words = "Padding where a helmet may touch"
kind = "question"
question = "Is every bar that a helmet may touch padded, and is the padding marked?"
"""
