"""What may explain a room, each with its own threshold, evidence for and against, and what to look at on site.

Rules of this room: a cause is only named where the readings speak of it directly; whoever is unsure says nothing.
What is found wrong with a heater or a sensor comes before an excess loss, and heaters are judged by power that was
metered, never by energy computed from duty. Whatever is to be opened or measured at an element or a circuit is for a
competent electrician, under the local rules.
"""

from ingle.verdict.causes.case import Case
from ingle.verdict.causes.ranked import causes

__all__ = ["Case", "causes"]
