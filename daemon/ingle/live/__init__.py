"""The state of now, in memory: last readings, links, holds, the plan in force, and who wants to hear of changes."""

from ingle.live.state import Live, Today

__all__ = ["Live", "Today"]
