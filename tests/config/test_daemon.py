"""The daemon's settings."""

from __future__ import annotations

from pathlib import Path

import pytest

from ingle.config.daemon import Settings, load_settings, with_flags
from ingle.errors import BadInput


def written(folder: Path, text: str) -> Path:
    """Write a settings file."""
    path = folder / "ingle.toml"
    path.write_text(text)
    return path


def test_without_a_file_everything_has_a_default() -> None:
    """A house can be served with no settings at all: on loopback, with a database in the current folder."""
    settings = load_settings(None, {})
    assert (settings.listen_at, settings.broker_at) == (("127.0.0.1", 8470), ("127.0.0.1", 1883))
    assert (settings.db, settings.clock_trusted, settings.embedded) == (Path("ingle.db"), False, False)
    assert settings.password() is None


def test_a_file_is_found_through_the_environment(tmp_path: Path) -> None:
    """INGLE_CONFIG names the file where no flag does, and a flag wins over it."""
    named = written(tmp_path, 'listen = "[::1]:80"')
    assert load_settings(None, {"INGLE_CONFIG": str(named)}).listen_at == ("::1", 80)
    other = tmp_path / "other.toml"
    other.write_text('broker = "embedded"')
    assert load_settings(other, {"INGLE_CONFIG": str(named)}).embedded


def test_paths_are_relative_to_the_file(tmp_path: Path) -> None:
    """Database, password and profiles lie beside the settings file, wherever the daemon was started."""
    (tmp_path / "secret").write_text("tide\r\nmore\n")
    text = 'database = "data/house.db"\nusername = "ingle"\npassword_file = "secret"\nprofiles = "mine"'
    settings = load_settings(written(tmp_path, text), {"STATE_DIRECTORY": "/var/lib/ingle"})
    assert settings.db == tmp_path / "data" / "house.db"
    assert (settings.password(), settings.profiles) == ("tide", str(tmp_path / "mine"))


def test_a_unit_keeps_its_database_in_its_own_folder(tmp_path: Path) -> None:
    """Under systemd the database lies in the first of the unit's state folders, unless the file says otherwise."""
    settings = load_settings(written(tmp_path, ""), {"STATE_DIRECTORY": "/var/lib/ingle:/var/lib/other"})
    assert settings.db == Path("/var/lib/ingle/ingle.db")


def test_every_fault_of_the_file_is_said(tmp_path: Path) -> None:
    """Unknown keys, wrong forms and a password without a user come together."""
    text = 'listen = "8470"\nbroker = "http://127.0.0.1"\nroot = "a/#"\npassword_file = "x"\nclok = "trusted"'
    with pytest.raises(BadInput) as caught:
        load_settings(written(tmp_path, text), {})
    assert [fault.place for fault in caught.value.faults] == ["clok", "root", "listen", "broker", "username"]
    assert {fault.source for fault in caught.value.faults} == {"ingle.toml"}


@pytest.mark.parametrize("listen", ["", "127.0.0.1", ":8470", "127.0.0.1:x", "127.0.0.1:65536", "::1:80", "h:-1"])
def test_an_address_needs_host_and_port(listen: str) -> None:
    """What is no HOST:PORT is refused under the name of its flag."""
    with pytest.raises(BadInput, match="--listen"):
        with_flags(Settings(), listen=listen)


@pytest.mark.parametrize("broker", ["mqtt://", "127.0.0.1", "mqtt://u:p@h", "mqtt://h:x", "mqtt://h/path", "mqtt://[h"])
def test_a_broker_is_an_mqtt_address_without_a_user(broker: str) -> None:
    """A user or password in the address would end up in process lists and logs."""
    with pytest.raises(BadInput, match="--broker"):
        with_flags(Settings(), broker=broker)


def test_flags_win_over_the_file() -> None:
    """What the command line says stands; what it does not say stays."""
    settings = with_flags(Settings(root="home"), db=Path("x.db"), broker="mqtt://broker.example", clock="trusted")
    assert (settings.db, settings.broker_at) == (Path("x.db"), ("broker.example", 1883))
    assert (settings.clock_trusted, settings.root) == (True, "home")


def test_files_that_are_missing_are_named(tmp_path: Path) -> None:
    """A settings or password file that is not there is bad input."""
    with pytest.raises(BadInput, match=r"none\.toml"):
        load_settings(tmp_path / "none.toml", {})
    with pytest.raises(BadInput, match="gone"):
        Settings(username="a", password_file=str(tmp_path / "gone")).password()
