"""Firmware profiles: what is read, and every fault of what is not."""

from __future__ import annotations

from pathlib import Path

import pytest

from ingle.config.profile import load_profiles, parse_profile
from ingle.errors import BadInput

GOOD = """
name = "A panel"
can = ["setpoint", "temperature"]
[[hears]]
topic = "p/{heater}/state"
value = "temp_c"
pointer = "/air"
[[says]]
topic = "p/{heater}/set"
value = "setpoint_c"
"""


def faults(text: str, source: str = "panel.toml") -> dict[str, str]:
    """Return the faults of a profile: place and what is allowed."""
    with pytest.raises(BadInput) as refused:
        parse_profile(text, source)
    return {fault.place: fault.allowed for fault in refused.value.faults}


def test_a_profile_is_named_by_its_file() -> None:
    """The id is the file's name without its ending; what is left out has its default."""
    profile = parse_profile(GOOD, "panel.toml")
    assert (profile.id, profile.expires_s, profile.hears[0].scale) == ("panel", None, 1.0)


@pytest.mark.parametrize(
    ("text", "place", "words"),
    [
        (GOOD.replace('"setpoint", ', '"setpoint", "switch", '), "can[1]", 'value = "on"'),
        (GOOD.replace('"temperature"', '"power"'), "can[1]", 'value = "power_w"'),
        (GOOD.replace("p/{heater}/state", "p/state"), "hears[0].topic", "{heater}"),
        (GOOD.replace("p/{heater}/set", "p/{heater}/#"), "says[0].topic", "no wildcard"),
        (GOOD.replace("/air", "air"), "hears[0].pointer", "JSON Pointer"),
        (GOOD.replace('value = "temp_c"', 'value = "colour"'), "hears[0].value", "temp_c"),
        (GOOD + 'scale = "half"', "says[0].scale", "number"),
        (GOOD + "[[says]]\ntopic = 'p/{heater}/set'\nvalue = 'limit_w'", "says[1].pointer", "JSON Pointer"),
        (GOOD.replace('name = "A panel"', ""), "name", ""),
    ],
)
def test_a_fault_says_place_and_what_is_allowed(text: str, place: str, words: str) -> None:
    """Each fault names its key path and what may stand there."""
    found = faults(text)
    assert place in found
    assert words in found[place]


def test_the_built_in_name_is_taken() -> None:
    """A file may not stand in for ingle's own way of speaking."""
    assert "id" in faults(GOOD, "plain.toml")


def test_folders_are_read_whole(tmp_path: Path) -> None:
    """A later folder's profile replaces an earlier one; faults of all files come together."""
    first, second = tmp_path / "first", tmp_path / "second"
    for folder, name in ((first, "A panel"), (second, "The other panel")):
        folder.mkdir()
        (folder / "panel.toml").write_text(GOOD.replace("A panel", name))
    assert load_profiles([first, second, tmp_path / "none"])["panel"].name == "The other panel"
    (first / "one.toml").write_text("name = ")
    (second / "two.toml").write_text(GOOD + "colour = 1")
    with pytest.raises(BadInput) as refused:
        load_profiles([first, second])
    assert {fault.source for fault in refused.value.faults} == {"one.toml", "two.toml"}
