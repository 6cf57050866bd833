"""The files that ship in config/ are right: houses load and make sense, settings are the defaults, brokers start."""

from __future__ import annotations

import shutil
import socket
import subprocess
import time
from pathlib import Path

import pytest

from conftest import AS_ROOT, free_port
from ingle.config.daemon import Settings, load_settings
from ingle.config.house import dump_house, parse_house, read_house_file
from ingle.design import design_house
from ingle.model.house import House
from ingle.model.week import WEEKDAYS

CONFIG = Path(__file__).parents[2] / "config"
HOUSES = ("tern-house", "quay-chapel", "net-loft")


def load(name: str) -> House:
    """Return a shipped house."""
    return read_house_file(CONFIG / f"{name}.toml")


@pytest.mark.parametrize("name", HOUSES)
def test_loads_and_survives_a_round_trip(name: str) -> None:
    """Each house loads without a fault, and comes back the same from its own dump."""
    house = load(name)
    assert parse_house(dump_house(house), "dump") == house


@pytest.mark.parametrize("name", HOUSES)
def test_every_room_can_be_kept_warm(name: str) -> None:
    """In each room the plates cover the design heat loss, and the loss is what such rooms lose."""
    house = load(name)
    for zone, designed in zip(house.zones, design_house(house).zones, strict=True):
        assert designed.installed_w >= designed.heat_loss_w
        assert 20 <= designed.heat_loss_w / zone.floor_area_m2 <= 100  # [W/m²], from well kept to old stone
        assert designed.in_use_low_w_per_k < designed.in_use_w_per_k < designed.in_use_high_w_per_k


@pytest.mark.parametrize("name", HOUSES)
def test_every_room_has_a_plan_for_every_day(name: str) -> None:
    """Each zone has a programme for each of the seven days, once."""
    house = load(name)
    for zone in house.zones:
        days = [day for programme in house.programmes if programme.zone == zone.id for day in programme.days]
        assert sorted(days) == sorted(WEEKDAYS)


def test_net_loft_is_the_survey_worked_by_hand() -> None:
    """70.7 W/K, 1626 W at 21/-2 °C, with reheat 1931 W; the guessed gable makes it 1.75 to 2.11 kW.

    By hand: elements 46.73 W/K, bridges 10 % of it, 0.33 x 58.5 m³ x 1 per hour.
    """
    for name in ("net-loft", "tern-house"):
        found = design_house(load(name)).zone("net-loft")
        assert found is not None
        assert found.heat_loss_w_per_k == pytest.approx(70.7, abs=0.05)
        assert found.heat_loss_w - found.reheat_w == pytest.approx(1626, abs=1)
        assert found.heat_loss_w == pytest.approx(1931, abs=1)
        assert (found.low_w, found.high_w) == pytest.approx((1750, 2110), abs=5)


def test_tern_house_is_short_of_supply() -> None:
    """18 heaters behind two gateways, 100 A of plates on 60 A, no circuit over its rating; room 4 has 38 W/K, 1 kW."""
    house = load("tern-house")
    heaters = [heater for zone in house.zones for heater in zone.heaters]
    assert len(heaters) == 18
    assert {heater.gateway for heater in heaters} == {"gw-east", "gw-west"}
    assert sum(heater.rated_w for heater in heaters) / house.site.voltage_v == pytest.approx(100)
    assert house.site.supply_cap_a == 60
    for circuit in house.circuits:
        amps = sum(heater.rated_w for heater in heaters if heater.circuit == circuit.id) / house.site.voltage_v
        assert amps <= circuit.rated_a
    design = design_house(house)
    four, seven = design.zone("room-4"), design.zone("room-7")
    assert four is not None
    assert seven is not None
    assert four.in_use_w_per_k == pytest.approx(38, abs=0.5)
    assert four.installed_w == 1000
    assert seven.in_use_w_per_k == pytest.approx(42, abs=0.5)


def test_quay_chapel_is_the_hall_of_the_story() -> None:
    """620 W/K, eight heaters of 2.4 kW, 83.5 A of plates on a supply of 60 A."""
    house = load("quay-chapel")
    heaters = house.zones[0].heaters
    assert design_house(house).zones[0].heat_loss_w_per_k == 620
    assert [heater.rated_w for heater in heaters] == [2400.0] * 8
    assert sum(heater.rated_w for heater in heaters) / house.site.voltage_v == pytest.approx(83.5, abs=0.05)


def test_settings_file_says_the_defaults() -> None:
    """The example of the daemon's settings loads and changes nothing; every setting is named in it."""
    path = CONFIG / "ingle.toml"
    settings = load_settings(path, {})
    for name in Settings.__struct_fields__:
        assert f"{name} =" in path.read_text(), name
        if name != "database":
            assert getattr(settings, name) == getattr(Settings(), name), name


def test_mosquitto_takes_its_configuration(tmp_path: Path) -> None:
    """A real mosquitto starts with the shipped file, on another port and folder, and listens on loopback only."""
    port = free_port()
    text = (CONFIG / "mosquitto.conf").read_text()
    assert "listener 1883 127.0.0.1" in text
    text = text.replace("listener 1883 127.0.0.1", f"listener {port} 127.0.0.1")
    text = text.replace("/var/lib/mosquitto/", f"{tmp_path}/")
    conf = tmp_path / "mosquitto.conf"
    conf.write_text(AS_ROOT + text)
    binary = shutil.which("mosquitto") or "/usr/sbin/mosquitto"
    process = subprocess.Popen([binary, "-c", str(conf)], stderr=subprocess.PIPE)
    try:
        deadline = time.monotonic() + 10
        while process.poll() is None and time.monotonic() < deadline:
            with socket.socket() as probe:
                probe.settimeout(0.2)
                if probe.connect_ex(("127.0.0.1", port)) == 0:
                    break
        assert process.poll() is None, process.stderr.read().decode() if process.stderr else ""
    finally:
        process.terminate()
        _, said = process.communicate(timeout=10)
    assert b"Error" not in said
