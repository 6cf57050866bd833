"""Trust in the wall clock: who vouches for it, and that steps are seen."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from fakes import FakeClock
from ingle.live.kernel_clock import kernel_synchronised
from ingle.live.trust import Trust
from ingle.model.instants import to_ms

YEAR_S = 365.0 * 86_400


def make(clock: FakeClock, *, synchronised: bool = False, trusted: bool = False, newest_ms: int | None = None) -> Trust:
    """Return a watch on a fake clock."""
    return Trust(clock, synchronised=lambda: synchronised, trusted=trusted, newest_ms=newest_ms)


def test_at_first_nobody_vouches() -> None:
    """A clock that no service set and no person confirmed is untrusted."""
    assert make(FakeClock()).state == "untrusted"


@pytest.mark.parametrize(
    ("fields", "state"), [({"trusted": True}, "trusted"), ({"synchronised": True}, "synchronised")]
)
def test_settings_and_kernel_vouch(fields: dict[str, bool], state: str) -> None:
    """The settings' word and the kernel's are each enough."""
    assert make(FakeClock(), **fields).state == state


def test_a_person_vouches_until_the_clock_is_set() -> None:
    """A confirmation is for the clock as it was: it falls with a step."""
    clock = FakeClock()
    trust = make(clock)
    trust.confirm()
    assert trust.state == "confirmed"
    clock.step(3600)
    trust.observe()
    assert trust.vouched == "untrusted"


def test_after_ten_minutes_a_plausible_clock_is_assumed() -> None:
    """Ten minutes after the start a clock that nobody vouches for is assumed to be right, and not before."""
    clock = FakeClock()
    trust = make(clock, newest_ms=to_ms(clock.now()))
    clock.jump(599)
    assert trust.state == "untrusted"
    clock.jump(1)
    assert trust.state == "assumed"


def test_a_clock_before_the_last_reading_is_never_assumed() -> None:
    """A clock older than what was stored is wrong, however long one waits."""
    clock = FakeClock()
    trust = make(clock, newest_ms=to_ms(datetime(2026, 2, 1, tzinfo=UTC)))
    clock.jump(3600)
    assert trust.state == "untrusted"


@pytest.mark.parametrize("step_s", [-3600.0, 35.0, 2 * YEAR_S, -2 * YEAR_S])
def test_a_step_is_seen_once(step_s: float) -> None:
    """A clock that is set shows at the next look, with its size, once; and is shown for a while."""
    clock = FakeClock()
    trust = make(clock, synchronised=True)
    clock.jump(2)
    assert trust.observe() is None
    clock.jump(2)
    clock.step(step_s)
    assert trust.observe() == pytest.approx(step_s)
    assert trust.state == "stepped"
    clock.jump(2)
    assert trust.observe() is None
    clock.jump(600)
    assert trust.state == "synchronised"


def test_a_slew_is_no_step() -> None:
    """A clock that is corrected by 0.5 ms a second for an hour is not stepped."""
    clock = FakeClock()
    trust = make(clock)
    for _ in range(1800):
        clock.jump(2)
        clock.step(0.001)
        assert trust.observe() is None


def test_a_late_look_is_no_step() -> None:
    """A process that was stopped for a minute and a half finds both clocks advanced alike."""
    clock = FakeClock()
    trust = make(clock)
    clock.jump(90)
    assert trust.observe() is None


def test_the_kernel_answers() -> None:
    """Asking the real kernel gives an answer and changes nothing."""
    assert kernel_synchronised() in {True, False}
    assert kernel_synchronised() == kernel_synchronised()
