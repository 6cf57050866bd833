"""Heaters for a room: those that meet its load, where they go and how they run."""

from __future__ import annotations

from math import log
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from ingle.design import design_house
from ingle.design.options import zone_options
from ingle.design.plates import of_one_plate, of_plates, of_sections
from ingle.errors import BadInput
from ingle.model.devices import Heater
from ingle.model.envelope import Element
from ingle.model.house import House
from ingle.model.options import HeaterOption, Wishes, ZoneOptions
from surveys import net_loft, one_room


def options(house: House, **wishes: Any) -> ZoneOptions:
    """Return the options of a house's first zone."""
    return zone_options(house, design_house(house), house.zones[0], Wishes(**wishes))


def by_label(found: ZoneOptions, label: str) -> HeaterOption:
    """Return the option of that label."""
    return next(each for each in found.options if each.label == label)


def room_of(w_per_k: float, **fields: Any) -> House:
    """Return a room of 20 °C against 0 °C whose coefficient is given."""
    return one_room(given_w_per_k=w_per_k, **fields)


@pytest.mark.parametrize(
    ("label", "margin"), [("2 x 1000 W", 3.6), ("1500 + 750 W", 16.5), ("1500 + 1000 W", 29.5), ("2000 W", 3.6)]
)
def test_the_loft_has_its_usual_options(label: str, margin: float) -> None:
    """Sum of plates over the load of 1,931 W: arithmetic on the survey of the Net Loft."""
    option = by_label(options(net_loft()), label)
    assert round(option.margin_percent, 1) == margin
    assert option.shortfall_w == 0


def test_two_that_spread_stand_before_one_that_does_not() -> None:
    """25 m² want two heaters, along window and walls; one alone comes later and says why."""
    found = options(net_loft())
    labels = [each.label for each in found.options]
    assert labels.index("2 x 1000 W") < labels.index("2000 W")
    assert found.places == ("under window", "along knee walls", "along gable")
    assert by_label(found, "1500 + 750 W").spread == ("1500 W under window", "750 W along knee walls")
    assert any("One heater spreads the heat badly" in note for note in by_label(found, "2000 W").notes)


def test_weak_voltage_takes_the_margin() -> None:
    """2,250 W at 216.2 V give 1,988 W (P ~ V², 230 V -6 %): 3 % are left of 16.5 %."""
    option = by_label(options(net_loft()), "1500 + 750 W")
    assert option.weak_output_w == pytest.approx(1988.1, abs=0.1)
    assert option.weak_margin_percent == pytest.approx(3.0, abs=0.1)
    assert option.current_a == pytest.approx(9.78, abs=0.005)
    assert "At 216 V, the low end of the supply, it gives 1988 W: margin 3 %." in option.notes


def test_the_measured_voltage_decides_what_meets_the_load() -> None:
    """At 216.2 V two of 1 kW (2 x 883.6 W) fall short of 1,931 W; what is listed as meeting it does."""
    found = options(net_loft(), voltage_v=216.2)
    assert found.rated_v == 230
    assert "2 x 1000 W" not in [each.label for each in found.options]
    assert by_label(found, "1500 + 750 W").output_w == pytest.approx(1988.1, abs=0.1)
    assert found.installed is not None
    assert found.installed.output_w == pytest.approx(1988.1, abs=0.1)
    assert options(net_loft(voltage_v=216.2)).options == found.options


def test_nothing_is_claimed_of_ptc_at_another_voltage() -> None:
    """A PTC element's power follows neither V nor V²: no output, the margin rests on the plate, and it says so."""
    option = by_label(options(net_loft(), element="ptc", voltage_v=216.2), "1500 + 750 W")
    assert option.output_w is None
    assert option.weak_output_w is None
    assert option.margin_percent == pytest.approx(16.5, abs=0.05)
    assert any("PTC" in note for note in option.notes)


def test_plates_have_their_tolerance() -> None:
    """IEC 60335-1 Table 1 (from memory): each 1000 W may draw 900 to 1050 W."""
    option = by_label(options(net_loft()), "2 x 1000 W")
    assert (option.plate_low_w, option.plate_high_w) == (1800, 2100)


def test_eight_of_1500_fall_20_w_short_of_12020() -> None:
    """12,020 W in heaters of 1,500 W: 8.013, so nine, or eight with the shortfall said (arithmetic)."""
    found = options(room_of(601), rating_w=1500)
    assert [each.label for each in found.options] == ["9 x 1500 W", "8 x 1500 W"]
    nine, eight = found.options
    assert nine.shortfall_w == 0
    assert eight.shortfall_w == 20
    assert "20 W (0.2 %) short of the 12020 W" in eight.notes[0]


def test_such_a_load_in_an_ordinary_room_is_likely_a_slip() -> None:
    """601 W/m², where houses run to 141 W/m² at most (TABULA, before 1919, 24 K) and thumb rules to 135."""
    found = options(room_of(601), rating_w=1500)
    assert any("601 W/m²" in each and "survey is likely wrong" in each for each in found.warnings)
    assert any("9 heaters in 20 m² are more than a room takes" in each for each in found.warnings)
    assert not any("likely wrong" in each for each in options(net_loft()).warnings)


def test_two_kilowatts_in_a_mild_room_run_in_bursts() -> None:
    """28 W/K at 20/8 °C lose 336 W: 16.8 % of 2 kW (heat balance), in short cycles."""
    option = options(room_of(28), rating_w=2000, outdoor_c=8).options[0]
    assert option.ordinary_day.duty_percent == pytest.approx(16.8)
    assert option.short_cycles
    assert any("Short cycles" in note and "16.8 %" in note for note in option.notes)
    smaller = options(room_of(28), rating_w=750, outdoor_c=8).options[0]
    assert not smaller.short_cycles


def test_switching_follows_the_air_and_the_band() -> None:
    """N = Q (P-Q) / (Δ C P): 336 W of 2 kW, 0.5 K, 20 m² at 10 kJ/(m²·K), by hand 10.06 an hour."""
    option = options(room_of(28), rating_w=2000, outdoor_c=8).options[0]
    assert option.ordinary_day.switchings_per_h == pytest.approx(336 * 1664 / (0.5 * 20 * 10 / 3.6 * 2000))


def test_warm_up_in_closed_form() -> None:
    """Time = τ ln((θ∞-θ0)/(θ∞-θ1)): 2 kW, 39.57 W/K, 550 Wh/K, from 16 to 21 °C at 0 °C outside take 2.173 h."""
    house = room_of(39.57, capacity_wh_per_k=550.0)
    run = options(house, rating_w=2000, outdoor_c=0, from_c=16, to_c=21).options[0].ordinary_day
    assert run.warm_up_h == pytest.approx(2.173, abs=0.001)
    tau_h = 550 / 39.57
    end_c = 2000 / 39.57
    assert run.warm_up_h == pytest.approx(tau_h * log((end_c - 16) / (end_c - 21)), rel=1e-6)


def test_a_warm_up_that_never_ends_is_said() -> None:
    """800 W against 39.57 W/K settle at 20.2 °C: 21 °C is never reached, and no number pretends it is."""
    house = room_of(39.57, capacity_wh_per_k=550.0, design_c=20.0)
    run = options(house, rating_w=800, outdoor_c=0, from_c=16, to_c=21).options[0].ordinary_day
    assert run.warm_up_h is None
    assert run.settles_c == pytest.approx(20.2, abs=0.05)
    assert "never" in run.says
    assert run.duty_percent > 100
    assert "cannot hold 21 °C" in run.says


def test_the_warm_up_that_the_survey_wants_is_met_by_its_load() -> None:
    """Reheat sized for 16 to 20 °C in 2 h: that load takes 2 h (closed form both ways); less is told."""
    house = room_of(40.0, capacity_wh_per_k=500.0, warm_up_h=2.0, warm_up_from_c=16.0)
    found = options(house, rating_w=round(design_house(house).zones[0].heat_loss_w))
    exact = found.options[0].design_day
    assert (exact.warm_up_from_c, exact.warm_up_to_c) == (16, 20)
    assert exact.warm_up_h == pytest.approx(2.0, rel=0.01)
    for option in options(house).options:
        assert option.design_day.warm_up_h is not None
        assert option.design_day.warm_up_h < 2.01
    small = options(replace(house, zones=(replace(house.zones[0], heaters=(Heater(id="h", rated_w=900),)),)))
    assert small.installed is not None
    assert any("the survey wants it in 2 h" in note for note in small.installed.notes)


def test_a_cap_lengthens_the_warm_up() -> None:
    """620 W/K, 5.5 kWh/K, 8 to 16 °C at 4 °C outside: 3.1 h with 8 x 2.4 kW, 5.1 h held to 60 A (closed form)."""
    heaters = tuple(Heater(id=f"nave-{number}", rated_w=2400) for number in range(8))
    house = one_room(
        given_w_per_k=620.0, capacity_wh_per_k=5500.0, floor_area_m2=264.0, heaters=heaters, site={"supply_cap_a": 60.0}
    )
    installed = options(house, outdoor_c=4, from_c=8, to_c=16).installed
    assert installed is not None
    assert installed.ordinary_day.warm_up_h == pytest.approx(3.12, abs=0.01)
    assert installed.ordinary_day.warm_up_capped_h == pytest.approx(5.11, abs=0.01)


def test_heaters_built_from_sections() -> None:
    """1,931 W from sections of 150 W are 13 sections, seven and six on two heaters (arithmetic)."""
    found = options(net_loft(), section_w=150)
    assert found.options[0].label == "1050 + 900 W (7 and 6 sections)"
    assert found.options[0].sections == (7, 6)
    assert found.options[0].margin_percent == pytest.approx(100 * (1950 / 1931 - 1), abs=0.01)


def test_no_heater_has_more_sections_than_are_made() -> None:
    """13 sections where one heater takes five at most: three heaters and more."""
    found = options(net_loft(), section_w=150, sections_max=5)
    assert found.options
    assert all(max(each.sections) <= 5 and sum(each.sections) >= 13 for each in found.options)


def test_three_kilowatts_are_too_much_for_a_plug() -> None:
    """3 kW at 230 V draw 13.04 A; a BS 1363 plug carries 13 A."""
    option = options(room_of(140), rating_w=3000).options[0]
    assert any("13.04 A" in note and "13 A" in note for note in option.notes)


def test_a_room_without_loss_has_no_option_and_says_so() -> None:
    """As warm outside as in: no heater, no division by zero, a sentence."""
    house = room_of(40, design_c=10.0)
    found = options(replace(house, site=replace(house.site, outdoor_design_c=10.0)))
    assert found.options == ()
    assert "no heat loss" in found.warnings[0]


def test_a_load_beyond_a_hundred_heaters_is_not_listed() -> None:
    """A slip by a factor makes no list of a thousand heaters: it is said, and nothing is listed."""
    found = options(room_of(10_000), rating_w=100)
    assert found.options == ()
    assert any("more than 100 heaters" in each for each in found.warnings)


@pytest.mark.parametrize(
    ("wishes", "field"),
    [
        ({"rating_w": 1000, "section_w": 100}, "section_w"),
        ({"from_c": 20, "to_c": 18}, "to_c"),
        ({"from_c": 30}, "from_c"),
    ],
)
def test_wishes_that_contradict_each_other(wishes: dict[str, Any], field: str) -> None:
    """Refused, naming the field and what is allowed."""
    with pytest.raises(BadInput) as raised:
        options(net_loft(), **wishes)
    assert raised.value.faults[0].path == (field,)
    assert raised.value.faults[0].allowed


def test_local_rules_are_shown_with_their_date() -> None:
    """Germany's note on insulation (Gebäudeenergiegesetz § 71d) with the day it is of; none where none is known."""
    (note,) = options(net_loft(country="DE")).local_rules
    assert "insulation" in note.says
    assert note.as_of == "2024-01-01"
    assert options(net_loft()).local_rules == ()
    assert options(net_loft(country="NO")).local_rules == ()


def test_every_option_carries_its_sums_and_cautions() -> None:
    """Inputs, formula, value, unit and source on each line; the electrician is deferred to on every answer."""
    found = options(net_loft())
    assert any("competent electrician" in caution and "local rules" in caution for caution in found.cautions)
    for option in found.options:
        assert {"output", "margin", "current", "duty, design day", "warm-up, design day"} <= {
            line.item for line in option.working
        }
        assert all(line.formula and line.unit and line.source for line in option.working)


loads = st.floats(1, 200_000)
factors = st.floats(0.5, 1.3)


@given(loads, factors)
def test_options_meet_the_load_or_miss_it_by_little(load_w: float, factor: float) -> None:
    """Every set gives the load, or is within three in a hundred of it; one that gives it is always there."""
    sets = of_plates(load_w, factor)
    given_w = [sum(each.plates_w) * factor for each in sets]
    assert max(given_w) >= load_w * (1 - 1e-6)
    assert all(watts >= load_w * 0.97 * (1 - 1e-6) for watts in given_w)


@given(loads, loads, factors)
def test_more_load_never_takes_fewer_watts(first: float, second: float, factor: float) -> None:
    """The least that meets a larger load is never less, of common plates, one plate or sections."""
    small, large = sorted((first, second))

    def least(load_w: float, kind: str) -> float:
        made = {
            "plates": lambda: of_plates(load_w, factor),
            "one": lambda: of_one_plate(load_w, 1500, factor),
            "sections": lambda: of_sections(load_w, 150, 16, factor, 2),
        }[kind]()
        return min(sum(each.plates_w) for each in made if sum(each.plates_w) * factor >= load_w * (1 - 1e-6))

    for kind in ("plates", "one", "sections"):
        assert least(small, kind) <= least(large, kind)


@given(st.floats(0.5, 900), st.floats(2, 400), st.sampled_from([None, 500.0, 1500.0]))
def test_every_option_of_any_room_meets_its_load_or_says_the_shortfall(
    w_per_k: float, floor_area_m2: float, rating_w: float | None
) -> None:
    """Output and shortfall together are never less than the load, and a shortfall has its sentence."""
    found = options(room_of(w_per_k, floor_area_m2=floor_area_m2), rating_w=rating_w)
    for option in found.options:
        assert (option.output_w or 0) + option.shortfall_w >= found.load_w * (1 - 1e-6)
        assert (option.shortfall_w > 0) == any("short of the" in note for note in option.notes)


@given(st.floats(10, 300), st.floats(-10, 10))
def test_a_larger_heater_runs_less_and_warms_faster(w_per_k: float, outdoor_c: float) -> None:
    """Duty falls and the warm-up shortens with power, whatever the room and the day."""
    house = room_of(w_per_k)
    small, large = (options(house, rating_w=watts, outdoor_c=outdoor_c).options[0] for watts in (2000, 3000))
    if len(small.plates_w) == len(large.plates_w):
        assert large.ordinary_day.duty_percent <= small.ordinary_day.duty_percent
        if small.ordinary_day.warm_up_h is not None:
            assert large.ordinary_day.warm_up_h is not None
            assert large.ordinary_day.warm_up_h <= small.ordinary_day.warm_up_h


def test_a_wall_with_its_window_is_one_place() -> None:
    """Under the window is along that wall; it is not counted twice."""
    window = Element(name="bay", kind="window", area_m2=3.0, u_w_per_m2k=1.6)
    wall = Element(name="front", kind="wall", width_m=5.0, height_m=2.4, openings=("bay",), u_w_per_m2k=0.5)
    found = options(one_room(window, wall))
    assert found.places == ("under bay",)
