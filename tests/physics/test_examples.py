"""Whoever doubts a formula finds an example beside it that can be reckoned by hand."""

from __future__ import annotations

import importlib
import inspect
import pkgutil

import pytest

import ingle.physics

MODULES = [each.name for each in pkgutil.iter_modules(ingle.physics.__path__)]


@pytest.mark.parametrize("name", MODULES)
def test_every_public_function_has_a_worked_example(name: str) -> None:
    """The doctests themselves are run with the package; here none may be missing."""
    module = importlib.import_module(f"ingle.physics.{name}")
    public = [
        each
        for word, each in inspect.getmembers(module, inspect.isfunction)
        if each.__module__ == module.__name__ and not word.startswith("_")
    ]
    assert [each.__name__ for each in public if ">>>" not in (each.__doc__ or "")] == []
