"""Surveys that cannot be, given to the real command: a sentence that names the place, and never a NaN."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from pathlib import Path

import pytest

from harness import ingle

HOUSE = """
[house]
name = "Tern House"
outdoor_design_c = -2

[[zone]]
id = "hall"
name = "Hall"
floor_area_m2 = 20
height_m = 2.4
design_c = 20

[[zone.element]]
name = "window"
kind = "window"
area_m2 = 2
u_w_per_m2k = 2.8

[[zone.element]]
name = "wall"
kind = "wall"
width_m = 5
height_m = 2.4
openings = ["window"]
u_w_per_m2k = 1.7
"""
SPACES = """
[[space]]
id = "porch"
name = "Porch"
volume_m3 = 8
[[space.element]]
name = "inner door"
kind = "door"
area_m2 = 2
u_w_per_m2k = 3
beyond = "space:lobby"

[[space]]
id = "lobby"
name = "Lobby"
volume_m3 = 8
[[space.element]]
name = "outer door"
kind = "door"
area_m2 = 2
u_w_per_m2k = 3
beyond = "space:porch"
"""


def numbers(document: object) -> Iterator[float]:
    """Yield every number of a document."""
    if isinstance(document, dict):
        document = list(document.values())
    if isinstance(document, list):
        for each in document:
            yield from numbers(each)
    elif isinstance(document, float):
        yield document


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (("\narea_m2 = 2", "\narea_m2 = 12.5"), "openings smaller than the wall: they take 12.5 m² off 12 m²"),
        (
            ("\narea_m2 = 2", "\narea_m2 = -2"),
            "zone[0].element[0].area_m2: -2 is not allowed; allowed: a number above 0",
        ),
        (("width_m = 5", "width_m = 0"), "zone[0].element[1].width_m: 0 is not allowed; allowed: a number above 0"),
        (
            ("height_m = 2.4\ndesign", "design"),
            "zone[0].volume_m3: nothing is not allowed; allowed: volume_m3 or height_m",
        ),
        (('["window"]', '["skylight"]'), "the name of one window, rooflight or door of this zone"),
        (("u_w_per_m2k = 1.7", "layers = [{mm = -100, lambda = 0.77}]"), "layers[0].mm: -100 is not allowed"),
        (("u_w_per_m2k = 1.7", "layers = [{mm = 100, lambda = 0}]"), "layers[0].lambda: 0 is not allowed"),
        (("u_w_per_m2k = 1.7", "u_w_per_m2k = nan"), "u_w_per_m2k: nan is not allowed; allowed: a number above 0"),
        (
            ("u_w_per_m2k = 1.7", 'u_w_per_m2k = 1.7\nbeyond = "zone:hal"'),
            "a zone of this house; did you mean zone:hall?",
        ),
        (("u_w_per_m2k = 1.7", 'u_w_per_m2k = 1.7\nbeyond = "zone:hall"'), "another zone than the element's own"),
        (
            ("u_w_per_m2k = 1.7", 'u_w_per_m2k = 1.7\nbeyond = "space:attic"'),
            "the id of a space of this house; there is none",
        ),
        (
            ("u_w_per_m2k = 1.7\n", "u_w_per_m2k = 1.7\n" + SPACES),
            "do not lead round in a circle (porch -> lobby -> porch)",
        ),
        (("outdoor_design_c = -2", "outdoor_design_c = -99"), "outdoor_design_c: -99 is not allowed"),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence(tmp_path: Path, change: tuple[str, str], said: str) -> None:
    """Geometry, layers, neighbours and spaces: the file, the place, what came, what is allowed; exit code 2."""
    file = tmp_path / "tern.toml"
    assert change[0] in HOUSE
    file.write_text(HOUSE.replace(*change, 1), encoding="utf-8")
    done = ingle("design", str(file))
    assert (done.returncode, done.stdout) == (2, "")
    (line,) = done.stderr.splitlines()
    assert line.startswith("tern.toml: ")
    assert said in line


@pytest.mark.parametrize(
    ("outdoor", "said"),
    [
        ("5", "The design temperature of 5 °C is not above the 5 °C outside, so there is no design heat loss"),
        ("20", "An outdoor design temperature of 20 °C is above the usual"),
        ("35", "An outdoor design temperature of 35 °C is above the usual"),
    ],
)
def test_no_difference_and_one_with_the_wrong_sign_are_worked_out_and_said(
    tmp_path: Path, outdoor: str, said: str
) -> None:
    """The sentence has the figure as it would be; every number of design and options is finite."""
    file = tmp_path / "tern.toml"
    text = HOUSE.replace("outdoor_design_c = -2", f"outdoor_design_c = {outdoor}")
    file.write_text(
        text.replace("design_c = 20", 'design_c = 5\nuse = "store"') if outdoor == "5" else text, encoding="utf-8"
    )
    shown = ingle("design", str(file))
    assert (shown.returncode, shown.stderr) == (0, "")
    assert said in shown.stdout
    assert " would be " in shown.stdout
    for words in (("design", str(file), "--json"), ("size", str(file), "--zone", "hall", "--json")):
        done = ingle(*words)
        assert (done.returncode, done.stderr) == (0, "")
        assert all(math.isfinite(each) for each in numbers(json.loads(done.stdout)))
