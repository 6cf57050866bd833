"""The built wheel holds what a user needs, and nothing of anybody else's."""

from __future__ import annotations

import re
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


@pytest.fixture(name="wheel", scope="module")
def _wheel(tmp_path_factory: pytest.TempPathFactory) -> zipfile.ZipFile:
    folder = tmp_path_factory.mktemp("wheel")
    words = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)]
    subprocess.run(words, cwd=ROOT, check=True, capture_output=True)
    return zipfile.ZipFile(next(folder.glob("*.whl")))


def test_pages_and_shipped_files_are_in_it(wheel: zipfile.ZipFile) -> None:
    """Every page, example house, profile and broker setting of the checkout is in the wheel, byte for byte."""
    for folder, place in (("web", "ingle/web"), ("config", "ingle/shipped")):
        files = [path for path in (ROOT / folder).rglob("*") if path.is_file() and not path.name.startswith(".")]
        assert files
        for path in files:
            name = f"{place}/{path.relative_to(ROOT / folder)}"
            assert wheel.read(name) == path.read_bytes(), name


def test_every_module_is_in_it_and_no_test(wheel: zipfile.ZipFile) -> None:
    """The package is whole, marked as typed, and brings no tests."""
    names = set(wheel.namelist())
    modules = {f"ingle/{path.relative_to(ROOT / 'daemon' / 'ingle')}" for path in (ROOT / "daemon").rglob("*.py")}
    assert modules <= names
    assert "ingle/py.typed" in names
    assert not any(Path(name).name.startswith(("test_", "conftest")) for name in names)


def test_no_page_reaches_beyond_this_machine(wheel: zipfile.ZipFile) -> None:
    """No script, style, image or request in the pages names another host."""
    for name in wheel.namelist():
        if name.startswith("ingle/web/") and name.endswith((".html", ".css", ".js")):
            text = wheel.read(name).decode()
            outside = re.findall(r"(?:https?:)?//(?!www\.w3\.org/)[a-z0-9-]+\.[a-z]{2,}[^\s\"')]*", text)
            assert not outside, (name, outside)
