"""Property tests here are judged by what they find, not by how busy the machine is."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("any-machine", deadline=None)
settings.load_profile("any-machine")
