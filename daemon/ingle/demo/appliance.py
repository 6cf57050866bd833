"""A simulated heater: its thermostat, its element, its counter, and how it obeys orders.

The element is resistive: its power follows the square of the voltage. The thermostat is one of two kinds that are
both on sale: a contact with hysteresis, or a triac that modulates in proportion to what is missing. An order has a
life; when it has run out, the heater holds the fallback temperature that came with it.
"""

from __future__ import annotations

from math import inf

#: A contact opens this much above the setpoint and closes this much below it [K].
HYSTERESIS_K = 0.15
#: A triac is full on when this much is missing, and off at the setpoint [K].
PROPORTIONAL_K = 0.6


class Appliance:
    """One heater.

    Parameters
    ----------
    heater_id, room
        Its id and the position of its room.
    plate_w, plate_v
        Its rating: watts at volts.
    share
        What its element gives relative to the plate: manufacture, and what has failed.
    modulating
        Whether a triac or a contact switches it.
    bias_k
        What its own thermometer reads too high [K].
    energy_wh
        The counter's reading at the start [Wh].
    """

    __slots__ = (
        "_bias_k",
        "_expires_s",
        "_fallback_c",
        "_limit_w",
        "_modulating",
        "_ohm_inverse",
        "_on",
        "_setpoint_c",
        "energy_wh",
        "heater_id",
        "locked",
        "plate_w",
        "power_w",
        "room",
        "seq",
        "voltage_v",
    )

    def __init__(
        self,
        heater_id: str,
        room: int,
        *,
        plate_w: float,
        plate_v: float = 230.0,
        share: float = 1.0,
        modulating: bool = False,
        bias_k: float = 0.0,
        energy_wh: float = 0.0,
        setpoint_c: float = 16.0,
    ) -> None:
        self.heater_id = heater_id
        self.room = room
        self.plate_w = plate_w
        self._ohm_inverse = plate_w * share / (plate_v * plate_v)
        self._modulating = modulating
        self._bias_k = bias_k
        self._setpoint_c = setpoint_c
        self._fallback_c = setpoint_c
        self._limit_w = inf
        self._expires_s = inf
        self._on = False
        self.locked = False
        self.energy_wh = energy_wh
        self.power_w = 0.0
        self.voltage_v = plate_v
        self.seq = 0

    def obey(
        self, *, setpoint_c: float, limit_w: float, locked: bool, fallback_c: float, expires_s: float = inf
    ) -> None:
        """Take an order that holds until ``expires_s`` of the heater's own time."""
        self._setpoint_c = setpoint_c
        self._limit_w = limit_w
        self._fallback_c = fallback_c
        self._expires_s = expires_s
        self.locked = locked

    def press(self, setpoint_c: float) -> bool:
        """Take a setpoint from the heater's own buttons, unless they are locked."""
        if self.locked:
            return False
        self._setpoint_c = setpoint_c
        return True

    @property
    def setpoint_c(self) -> float:
        """What it holds now [°C]."""
        return self._setpoint_c

    def felt_c(self, air_c: float) -> float:
        """Return what its own thermometer reads [°C]."""
        return air_c + self._bias_k

    def run(self, seconds: float, *, t_s: float, air_c: float, voltage_v: float) -> float:
        """Heat for a while and count it; return the power [W]."""
        if t_s >= self._expires_s:
            # Its last order has run out: hold the fallback, unlimited, until told otherwise.
            self._setpoint_c, self._limit_w, self._expires_s = self._fallback_c, inf, inf
        missing = self._setpoint_c - air_c - self._bias_k
        if self._modulating:
            duty = missing / PROPORTIONAL_K
            duty = 0.0 if duty < 0.0 else min(duty, 1.0)
        else:
            if missing > HYSTERESIS_K:
                self._on = True
            elif missing < -HYSTERESIS_K:
                self._on = False
            duty = 1.0 if self._on else 0.0
        power = duty * self._ohm_inverse * voltage_v * voltage_v
        power = min(power, self._limit_w)
        self.power_w = power
        self.voltage_v = voltage_v
        self.energy_wh += power * seconds / 3600
        return power
