"""DXF files, read back by a reader that knows no ezdxf, and audited by ezdxf."""

import hashlib
import io
import math
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from trimesh.path.exchange.dxf import load_dxf

from hoopwright.joints import FlatPart, Fold, RoundHole, Wrap
from hoopwright.papers import flat_part_dxf, wrap_dxf
from hoopwright.papers.wrap_shape import OVERLAP_MM

DATE = "2026-03-01"


def slanted_wrap(end="B"):
    """A tube of 38 cut off by a slanted plane: its unrolled edge is a sine. The datum line is off its axes."""
    around = np.arange(360.0)
    cut = 60.0 + 19.0 * np.sin(np.radians(around - 25.0))
    return Wrap(
        bar_id="BS-L",
        end=end,
        headers=("MH",),
        od_mm=38.0,
        around_deg=around,
        cut_mm=cut,
        reference_mm=500.0,
        heel_deg=295.0,
        datum="outside of bend 1",
    )


def folded_plate():
    return FlatPart(
        name="SB-L foot, Blech ä",
        thickness_mm=3.0,
        outline_mm=np.array([(0, 0), (140, 0), (140, 170), (30, 170), (0, 140)], float),
        holes=(
            RoundHole(centre_mm=(20.0, 15.0), diameter_mm=8.5),
            RoundHole(centre_mm=(120.0, 15.0), diameter_mm=11),
        ),
        folds=(
            Fold(start_mm=(0, 95), end_mm=(140, 95), angle_deg=90, inside_radius_mm=4.0, allowance_mm=8.1),
        ),
        notes=("long side along the car",),
        count=2,
    )


def tags(data):
    """Group codes and values: the file as the DXF reference describes it, two lines to a tag."""
    lines = data.decode("utf-8").splitlines()
    return list(
        zip((int(code) for code in lines[::2]), (value.strip() for value in lines[1::2]), strict=True)
    )


def header(data):
    found = {}
    read = tags(data)
    for at, (code, value) in enumerate(read):
        if code == 9:
            found[value] = read[at + 1][1]
        if (code, value) == (0, "ENDSEC"):
            break
    return found


def entities(data):
    """Kind, layer and coordinates of what is drawn."""
    read = tags(data)
    start = read.index((2, "ENTITIES"))
    found = []
    for code, value in read[start + 1 :]:
        if code == 0:
            if value == "ENDSEC":
                break
            found.append({"kind": value, "tags": []})
        else:
            found[-1]["tags"].append((code, value))
    for one in found:
        one["layer"] = dict(one["tags"])[8]
        one["xy"] = list(
            zip(
                (float(v) for c, v in one["tags"] if c == 10),
                (float(v) for c, v in one["tags"] if c == 20),
                strict=True,
            )
        )
    return found


FILES = {
    "wrap": lambda: wrap_dxf(slanted_wrap(), DATE),
    "flat part": lambda: flat_part_dxf(folded_plate(), DATE),
}


@pytest.mark.parametrize("name", sorted(FILES))
def test_units_version_and_audit(name):
    data = FILES[name]()
    variables = header(data)
    # $ACADVER AC1024 is release 2010, $INSUNITS 4 millimetres, $MEASUREMENT 1 metric: DXF reference, header section
    assert (variables["$ACADVER"], variables["$INSUNITS"], variables["$MEASUREMENT"]) == ("AC1024", "4", "1")
    auditor = ezdxf.read(io.StringIO(data.decode("utf-8"))).audit()
    assert (auditor.errors, auditor.fixes) == ([], [])


@pytest.mark.parametrize("name", sorted(FILES))
def test_another_reader_finds_the_same_lengths(name):
    path = load_dxf(io.BytesIO(FILES[name]()))
    cut = next(one for one in path["entities"] if one.layer == "CUT")
    points = np.asarray(path["vertices"])[cut.points]
    span = np.ptp(points, axis=0)
    assert span[0] == pytest.approx(math.pi * 38.0 + OVERLAP_MM if name == "wrap" else 140.0, abs=1e-6)
    assert span[1] == pytest.approx(79.0 if name == "wrap" else 170.0, abs=1e-2)


@pytest.mark.parametrize("end", ["A", "B"])
def test_the_wraps_outline_is_the_sine_of_a_slanted_cut(end):
    outline = next(one for one in entities(wrap_dxf(slanted_wrap(end), DATE)) if one["kind"] == "LWPOLYLINE")
    assert outline["layer"] == "CUT"
    assert dict(outline["tags"])[70] == "1"  # closed
    edge = np.array([at for at in outline["xy"] if at[1] > 30.0])
    # right of the datum line runs with the right hand about the travel A to B where up is that travel
    way = 1.0 if end == "B" else -1.0
    around = way * (edge[:, 0] - math.pi * 19.0) / 19.0
    wanted = 60.0 + 19.0 * np.sin(around - math.radians(25.0))
    assert np.abs(edge[:, 1] - wanted).max() < 2e-3  # chords of one degree
    assert len(edge) >= 360


def test_a_flat_parts_layers():
    drawn = entities(flat_part_dxf(folded_plate(), DATE))
    kinds = [(one["kind"], one["layer"]) for one in drawn]
    assert kinds[:4] == [("LWPOLYLINE", "CUT"), ("CIRCLE", "HOLE"), ("CIRCLE", "HOLE"), ("LINE", "FOLD")]
    assert set(kinds[4:]) == {("TEXT", "TEXT")}
    outline, first, second = drawn[:3]
    assert dict(outline["tags"])[70] == "1"
    assert sorted(outline["xy"]) == [(0, 0), (0, 140), (30, 170), (140, 0), (140, 170)]
    assert first["xy"] == [(20.0, 15.0)]
    assert [float(dict(one["tags"])[40]) for one in (first, second)] == [4.25, 5.5]
    words = [dict(one["tags"])[1] for one in drawn if one["kind"] == "TEXT"]
    assert words[0] == "SB-L foot, Blech ä, 3 mm thick, 2 off"
    assert "fold 1: 90.0 deg up, inside radius 4.0 mm" in words


def test_round_corners_stay_arcs():
    turned = np.radians(np.linspace(0.0, 90.0, 10))
    corner = np.column_stack([80.0 + 20.0 * np.cos(turned), 50.0 + 20.0 * np.sin(turned)])
    part = FlatPart(
        name="p", thickness_mm=2.0, outline_mm=np.vstack([[(0.0, 0.0), (100.0, 0.0)], corner, [(0.0, 70.0)]])
    )
    document = ezdxf.read(io.StringIO(flat_part_dxf(part, DATE).decode()))
    outline = document.modelspace().query("LWPOLYLINE").first
    arcs = [piece for piece in outline.virtual_entities() if piece.dxftype() == "ARC"]
    assert len(arcs) == 1
    assert arcs[0].dxf.radius == pytest.approx(20.0)
    assert tuple(arcs[0].dxf.center)[:2] == pytest.approx((80.0, 50.0))


def test_a_wrap_that_is_cut_half_way_round_goes_up_to_the_edge_where_it_is_not():
    wrap = slanted_wrap()
    cut = wrap.cut_mm.copy()
    cut[40:100] = np.nan
    outline = next(
        one for one in entities(wrap_dxf(replace(wrap, cut_mm=cut), DATE)) if one["kind"] == "LWPOLYLINE"
    )
    top = max(y for _, y in outline["xy"])
    over = [x for x, y in outline["xy"] if y == top]
    scale = math.pi * 38.0 / 360.0
    assert (min(over), max(over)) == pytest.approx(((180 + 39) * scale, (180 + 100) * scale), abs=1e-6)


def test_what_no_header_cuts_has_a_layer_of_its_own_and_closes_the_outline():
    wrap = slanted_wrap()
    cut = wrap.cut_mm.copy()
    cut[40:100] = np.nan
    drawn = entities(wrap_dxf(replace(wrap, cut_mm=cut, bridge_mm=wrap.cut_mm), DATE))
    lines = [one for one in drawn if one["kind"] == "LWPOLYLINE"]
    assert [one["layer"] for one in lines] == ["CUT", "UNCUT"]
    assert [dict(one["tags"])[70] for one in lines] == ["0", "0"]
    (cut_line, uncut_line), scale = lines, math.pi * 38.0 / 360.0
    assert {cut_line["xy"][0], cut_line["xy"][-1]} == {uncut_line["xy"][0], uncut_line["xy"][-1]}
    rights = [x for x, _ in uncut_line["xy"]]
    assert (min(rights), max(rights)) == pytest.approx((219 * scale, 280 * scale), abs=1e-6)
    inside = [y for x, y in cut_line["xy"] if 219.5 * scale < x < 279.5 * scale and y > 1.0]
    assert inside == []
    words = " ".join(dict(one["tags"])[1] for one in drawn if one["kind"] == "TEXT")
    assert "layer UNCUT: no header cuts the tube there: it overhangs" in words


@pytest.mark.parametrize("seed", ["0", "4"])  # hash seeds that put the library's sets into different orders
def test_same_input_same_bytes_in_another_process_too(seed):
    script = (
        "import hashlib, importlib.util as u\n"
        f"s = u.spec_from_file_location('t', {str(Path(__file__))!r})\n"
        "t = u.module_from_spec(s); s.loader.exec_module(t)\n"
        "print(hashlib.sha256(b''.join(t.FILES[name]() for name in sorted(t.FILES))).hexdigest())\n"
    )
    environment = {**os.environ, "PYTHONHASHSEED": seed, "TZ": "Asia/Tokyo"}
    other = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True, env=environment
    )
    here = hashlib.sha256(b"".join(FILES[name]() for name in sorted(FILES))).hexdigest()
    assert here == other.stdout.strip()
    assert wrap_dxf(slanted_wrap(), "2026-03-02") != wrap_dxf(slanted_wrap(), DATE)


def test_a_day_that_is_none_is_refused():
    with pytest.raises(ValueError, match="ISO 8601"):
        wrap_dxf(slanted_wrap(), "yesterday")


def test_the_library_is_loaded_only_when_a_file_is_written():
    script = "import sys, hoopwright.papers; print('ezdxf' in sys.modules)"
    ran = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "False"
