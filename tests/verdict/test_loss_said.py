"""What the evidence of a loss says is what stands in the table beside it."""

from __future__ import annotations

import re

import pytest

from verdict.still import assess_columns, columns_by_source, still_house, still_readings, zone_of


def test_the_times_in_the_evidence_are_the_metered_over_the_designed() -> None:
    """Whoever divides the two figures of the table gets the number in the sentence, whatever the design's band does."""
    readings = still_readings(75.0, 30.0, 30, every_s=900)
    zone = zone_of(assess_columns(still_house(), columns_by_source(readings)), "hall")
    assert zone.verdict == "loses-more"
    assert zone.measured_w_per_k is not None
    assert zone.design_w_per_k is not None
    told = [re.search(r"takes (\d\.\d\d) times its design", cause.evidence) for cause in zone.causes]
    said = [float(found[1]) for found in told if found is not None]
    assert said
    assert said == [pytest.approx(zone.measured_w_per_k / zone.design_w_per_k, abs=0.006)] * len(said)
