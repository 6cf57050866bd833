"""The systemd unit, judged by systemd's own tools."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

UNIT = Path(__file__).parents[2] / "systemd" / "ingle.service"


@pytest.fixture(name="unit")
def _unit(tmp_path: Path) -> Path:
    """Return the unit with its program path pointing at one that exists here."""
    text = re.sub(r"^ExecStart=\S+", f"ExecStart={sys.executable}", UNIT.read_text(), flags=re.MULTILINE)
    copy = tmp_path / UNIT.name
    copy.write_text(text)
    return copy


def analyze(*words: str) -> subprocess.CompletedProcess[str]:
    """Run systemd-analyze."""
    environ = {**os.environ, "SYSTEMD_COLORS": "0", "SYSTEMD_PAGER": ""}
    return subprocess.run(["systemd-analyze", *words], capture_output=True, text=True, check=False, env=environ)


def test_verify_finds_nothing(unit: Path) -> None:
    """`systemd-analyze verify` is silent about it."""
    result = analyze("verify", "--man=no", str(unit))
    assert (result.returncode, result.stdout, result.stderr) == (0, "", "")


def test_exposure_is_at_most_1_5(unit: Path) -> None:
    """`systemd-analyze security` scores it 1.5 or better."""
    result = analyze("security", "--offline=yes", "--threshold=15", "--no-pager", str(unit))
    assert result.returncode == 0, result.stdout[-400:]


def test_program_and_data_lie_where_a_hardened_unit_can_see_them() -> None:
    """ProtectHome hides /home and /root, so nothing in the unit may point there."""
    text = UNIT.read_text()
    assert not re.search(r"^[^#]*(/home|/root|/tmp)", text, flags=re.MULTILINE)
    assert "StateDirectory=ingle" in text
    assert "--db /var/lib/ingle/" in text


def test_watchdog_and_stop_times_fit() -> None:
    """The manager waits longer for a stop than ingle needs (10 s), and the watchdog is set."""
    text = UNIT.read_text()
    stop = re.search(r"^TimeoutStopSec=(\d+)$", text, flags=re.MULTILINE)
    assert stop is not None
    assert int(stop[1]) >= 20
    assert "WatchdogSec=30" in text
    assert "Type=notify" in text
