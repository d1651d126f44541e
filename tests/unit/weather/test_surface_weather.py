"""The weather at the ground between its entries, and the altimeter setting between places."""

from __future__ import annotations

from dataclasses import replace

import pytest

from briefgen.errors import OutOfRangeError
from briefgen.model.weather import Wind
from briefgen.weather.surface import Ground
from tests.shared.small_weathers import NOON, POINTS, after, surface, weather

ROUND_OFF = {"abs": 1e-9, "rel": 1e-12}


def test_pressure_and_wind_change_evenly_between_entries() -> None:
    """A third of the way in time is a third of the way in pressure and in both wind components."""
    entries = (surface("LX01", 0.0, 100_600.0, Wind(3.0, 0.0)), surface("LX01", 6.0, 100_300.0, Wind(0.0, 6.0)))
    found = Ground(weather(surface=entries)).surface_at("LX01", after(2.0))

    assert found.altimeter_setting_pa == pytest.approx(100_500.0, **ROUND_OFF)
    assert found.wind is not None
    assert (found.wind.east_m_per_s, found.wind.north_m_per_s) == pytest.approx((2.0, 2.0), **ROUND_OFF)
    assert found.sources == ("weather.yaml:100", "weather.yaml:106")


def test_a_variable_wind_is_never_averaged_into_a_direction() -> None:
    """Between a variable and a steady wind the variable one counts: it may blow from anywhere."""
    variable = Wind(0.0, 0.0, variable_m_per_s=3.0)
    entries = (surface("LX01", 0.0, 100_600.0, Wind(3.0, 0.0)), surface("LX01", 6.0, 100_300.0, variable))

    assert Ground(weather(surface=entries)).surface_at("LX01", after(2.0)).wind == variable


def test_the_stronger_gust_of_two_entries_counts() -> None:
    """Gusts of 12 and 9 m/s make 12 m/s anywhere between them."""
    entries = (
        surface("LX01", 0.0, 100_600.0, Wind(3.0, 0.0, 12.0)),
        surface("LX01", 6.0, 100_600.0, Wind(3.0, 0.0, 9.0)),
    )
    found = Ground(weather(surface=entries)).surface_at("LX01", after(5.0))

    assert found.wind is not None
    assert found.wind.gust_m_per_s == 12.0


def test_the_altimeter_setting_at_a_place_is_its_own_and_lies_between_elsewhere() -> None:
    """At a field its own; under way between the lowest and the highest."""
    entries = (surface("LX01", 0.0, 100_400.0), surface("SADDLE", 0.0, 100_800.0))
    ground = Ground(weather(surface=entries))

    assert ground.altimeter_setting_at(*POINTS["LX01"], NOON) == 100_400.0
    assert 100_400.0 < ground.altimeter_setting_at(-16.9, 165.2, NOON) < 100_800.0


def test_a_place_without_a_setting_for_the_time_takes_no_part() -> None:
    """One place has a setting for six o'clock, the other only for noon: the one with it answers alone."""
    entries = (surface("LX01", 0.0, 100_400.0), surface("LX01", 6.0, 100_400.0), surface("SADDLE", 0.0, 100_800.0))
    ground = Ground(weather(surface=entries, reach_m=1_000_000.0))

    assert ground.altimeter_setting_at(-17.0, 165.0, after(6.0)) == 100_400.0


def test_no_setting_for_the_time_is_refused() -> None:
    """Outside all times the message says which."""
    ground = Ground(weather(surface=(surface("LX01", 0.0, 100_400.0),)))

    with pytest.raises(OutOfRangeError, match="17:00 UTC is outside the times of the altimeter settings"):
        ground.altimeter_setting_at(*POINTS["LX01"], after(5.0))


def test_a_place_the_file_does_not_name_is_refused() -> None:
    """The message lists the places it does name."""
    with pytest.raises(OutOfRangeError, match="gives nothing for the ground at LX09"):
        Ground(weather(surface=(surface("LX01", 0.0, 100_400.0),))).surface_at("LX09", NOON)


def test_the_entries_of_a_period_begin_with_the_one_before_it() -> None:
    """What held at the beginning counts until the next entry."""
    entries = tuple(surface("LX01", hours, 100_400.0) for hours in (0.0, 3.0, 6.0, 9.0))
    found = Ground(weather(surface=entries)).entries_between("LX01", after(4.0), after(7.0))

    assert [point.instant for point in found] == [after(3.0), after(6.0)]


def test_an_entry_without_a_figure_does_not_hide_those_that_have_it() -> None:
    """An entry that gives only cloud leaves the pressure to be interpolated across it."""
    only_cloud = replace(surface("LX01", 3.0, 0.0), altimeter_setting_pa=None)
    entries = (surface("LX01", 0.0, 100_400.0), only_cloud, surface("LX01", 6.0, 101_000.0))

    found = Ground(weather(surface=entries)).surface_at("LX01", after(3.0))

    assert found.altimeter_setting_pa == pytest.approx(100_700.0, **ROUND_OFF)


def test_between_a_variable_and_a_steady_wind_the_stronger_of_both_may_blow_from_anywhere() -> None:
    """Three metres a second variable, then nine steady with gusts of twelve: nine variable, gusts of twelve."""
    entries = (
        surface("LX01", 0.0, 100_600.0, Wind(0.0, 0.0, variable_m_per_s=3.0)),
        surface("LX01", 6.0, 100_600.0, Wind(9.0, 0.0, 12.0)),
    )

    found = Ground(weather(surface=entries)).surface_at("LX01", after(2.0)).wind

    assert found == Wind(0.0, 0.0, 12.0, variable_m_per_s=9.0)


def test_a_spread_of_direction_is_kept_between_entries() -> None:
    """Reported at one of them, it counts until the next."""
    entries = (
        surface("LX01", 0.0, 100_600.0, Wind(3.0, 0.0, spread_from_deg=240.0, spread_to_deg=300.0)),
        surface("LX01", 6.0, 100_600.0, Wind(3.0, 0.0)),
    )

    found = Ground(weather(surface=entries)).surface_at("LX01", after(2.0)).wind

    assert found is not None
    assert (found.spread_from_deg, found.spread_to_deg) == (240.0, 300.0)


def test_before_the_first_entry_and_after_the_last_the_end_stands_while_it_may_be_used() -> None:
    """An entry for noon that may be used from ten o'clock speaks for eleven; nobody speaks for nine."""
    entries = (surface("LX01", 0.0, 100_600.0, use=2.0), surface("LX01", 6.0, 100_300.0, use=2.0))
    ground = Ground(weather(surface=entries))

    assert ground.surface_at("LX01", after(-1.0)).altimeter_setting_pa == 100_600.0
    assert ground.surface_at("LX01", after(7.5)).altimeter_setting_pa == 100_300.0
    for hours in (-2.1, 8.1):
        with pytest.raises(OutOfRangeError):
            ground.altimeter_setting_at(*POINTS["LX01"], after(hours))
