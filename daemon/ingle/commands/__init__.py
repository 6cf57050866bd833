"""A command comes in, from any face, or the tick: check, keep, decide, hand wants to the publisher."""

from ingle.commands.publisher import NoPublisher, Publisher
from ingle.commands.service import Commands, house_etag

__all__ = ["Commands", "NoPublisher", "Publisher", "house_etag"]
