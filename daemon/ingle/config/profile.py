"""Firmware profiles from TOML: how a heater speaks, told without code, and every fault of the telling."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from ingle.config import walk
from ingle.config.house import parse_toml, read_text
from ingle.errors import BadInput, Fault
from ingle.model.profile import PLAIN, Heard, Profile, Said

#: What a firmware must be able to be told before ingle may say that it can drive it that way.
_SAYS = {"setpoint": "setpoint_c", "limit": "limit_w", "switch": "on", "lock": "locked"}
_HEARS = {"energy": "energy_wh", "power": "power_w", "temperature": "temp_c"}


def parse_profile(text: str, source: str) -> Profile:
    """Read one profile.

    Parameters
    ----------
    text
        The file's TOML.
    source
        Its name, for the faults; the profile's id is the name without its ending.

    Raises
    ------
    BadInput
        With all faults.
    """
    document = {"id": Path(source).stem, **parse_toml(text, source)}
    profile, faults = walk.read(document, Profile, source)
    faults.extend(_agreement(profile, source))
    if faults:
        raise BadInput(faults)
    return profile


def load_profiles(folders: Iterable[Path]) -> dict[str, Profile]:
    """Read every ``*.toml`` of some folders; a later folder's profile replaces an earlier one of the same id.

    Raises
    ------
    BadInput
        With all faults of all files.
    """
    found: dict[str, Profile] = {}
    faults: list[Fault] = []
    for path in (path for folder in folders for path in sorted(folder.glob("*.toml"))):
        try:
            profile = parse_profile(read_text(path), path.name)
        except BadInput as error:
            faults.extend(error.faults)
        else:
            found[profile.id] = profile
    if faults:
        raise BadInput(faults)
    return found


def _agreement(profile: Profile, source: str) -> list[Fault]:
    """Return what does not fit together: an ability without a topic for it, a topic used in two ways."""
    faults = []
    if profile.id == PLAIN.id:
        faults.append(Fault(("id",), profile.id, "any id but that of the built-in profile", source))
    said, heard = {rule.value for rule in profile.says}, {rule.value for rule in profile.hears}
    for place, ability in enumerate(profile.can):
        needs_say, needs_hear = _SAYS.get(ability), _HEARS.get(ability)
        if needs_say is not None and needs_say not in said:
            faults.append(Fault(("can", place), ability, f'a [[says]] with value = "{needs_say}" beside it', source))
        if needs_hear is not None and needs_hear not in heard:
            faults.append(Fault(("can", place), ability, f'a [[hears]] with value = "{needs_hear}" beside it', source))
    faults.extend(_mixed("says", profile.says, source))
    faults.extend(_mixed("hears", profile.hears, source))
    return faults


def _mixed(key: str, rules: Sequence[Said | Heard], source: str) -> list[Fault]:
    """Return the rules that use a whole topic of which others use a part, or that all send to one topic."""
    objects = {rule.topic for rule in rules if rule.pointer is not None}
    scalars = [rule.topic for rule in rules if rule.pointer is None]
    return [
        Fault((key, place, "pointer"), None, "a JSON Pointer, as the other values of this topic have", source)
        for place, rule in enumerate(rules)
        if rule.pointer is None and (rule.topic in objects or (key == "says" and scalars.count(rule.topic) > 1))
    ]
