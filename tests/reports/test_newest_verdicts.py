"""The newest word on a room out of the record: last night's note, with the evidence of the week's look."""

from __future__ import annotations

from databases import fresh
from ingle.model.verdicts import Assessment, Cause, ZoneVerdict
from ingle.reports.newest_verdicts import noted
from ingle.store import events, verdicts

SUNDAY, MONDAY, TUESDAY = 1_000, 2_000, 3_000


def verdict(*causes: Cause) -> ZoneVerdict:
    """Return a room that loses more."""
    return ZoneVerdict(
        id="loft",
        name="Loft",
        design_w_per_k=42.0,
        design_low_w_per_k=30.0,
        design_high_w_per_k=54.0,
        measured_w_per_k=71.0,
        low_w_per_k=59.0,
        high_w_per_k=83.0,
        probability=0.98,
        verdict="loses-more",
        causes=causes,
        days_used=28,
        missing=(),
        possible_from=None,
        metered_kwh=None,
        expected_kwh=None,
    )


LEAK = Cause(code="leak", probability=0.7, evidence="1.7 times its design.", check_next="Look for gaps.")
OPENING = Cause(code="opening", probability=0.9, evidence="Night steps on 17 of 19.", check_next="Look at the window.")


def look(*causes: Cause) -> Assessment:
    """Return an assessment of the one room."""
    return Assessment(
        start="2026-01-01T00:00:00+00:00",
        end="2026-01-28T00:00:00+00:00",
        design_version="d1",
        method="en12831",
        method_version=1,
        zones=(verdict(*causes),),
    )


def note(codes: list[str], w_per_k: float) -> dict[str, object]:
    """Return a night's note."""
    return {"zones": {"loft": {"verdict": "loses-more", "w_per_k": w_per_k, "causes": codes}}}


def test_a_nights_note_takes_its_evidence_from_the_weeks_look() -> None:
    """Monday's note is newer than Sunday's look: its figure stands, and causes that were there keep their words."""
    with fresh() as conn:
        verdicts.save(conn, look(LEAK), t_ms=SUNDAY, digest="h")
        events.record(conn, SUNDAY, "verdicts", "", note(["leak"], 71.0))
        events.record(conn, MONDAY, "verdicts", "", note(["leak", "opening"], 73.0))
        newest, before = noted(conn, "loft"), noted(conn, "loft", SUNDAY)
        nowhere = noted(conn, "attic"), noted(conn, "loft", SUNDAY - 1)
    assert newest is not None
    assert newest.measured_w_per_k == 73.0
    assert [(cause.code, cause.evidence) for cause in newest.causes] == [
        ("leak", "1.7 times its design."),
        ("opening", None),
    ]
    assert before is not None
    assert (before.measured_w_per_k, before.low_w_per_k, before.probability) == (71.0, 59.0, 0.98)
    assert nowhere == (None, None)


def test_a_newer_look_stands_whole() -> None:
    """A look of the same night, or a later one, has everything."""
    with fresh() as conn:
        events.record(conn, MONDAY, "verdicts", "", note(["leak"], 71.0))
        verdicts.save(conn, look(OPENING), t_ms=TUESDAY, digest="h")
        found = noted(conn, "loft")
    assert found is not None
    assert [cause.evidence for cause in found.causes] == ["Night steps on 17 of 19."]


def test_a_look_of_another_form_is_passed_over() -> None:
    """What an older ingle kept in another form is no error: the night's note is taken as it is."""
    with fresh() as conn:
        verdicts.save(conn, look(LEAK), t_ms=SUNDAY, digest="h")
        conn.execute(
            "INSERT INTO look (t, digest, design_version, method_version, document) VALUES (?, 'h', 'd', 0, '{}')",
            (MONDAY,),
        )
        events.record(conn, TUESDAY, "verdicts", "", note(["leak"], 72.0))
        found = noted(conn, "loft")
    assert found is not None
    assert (found.measured_w_per_k, found.causes[0].evidence) == (72.0, None)
