"""What an aerodrome forecast expects over a time of use, and whether minima are met."""

from __future__ import annotations

import math

import pytest

from briefgen.errors import OutOfRangeError
from briefgen.model.places import Minima
from briefgen.model.weather import CloudLayer, ForecastGroup
from briefgen.weather.forecast import forecast_for, minima_check, outlook
from tests.shared.small_weathers import NOON, after, forecast, weather

BASE = ForecastGroup("base", NOON, after(24), None, 10_000.0, (CloudLayer("scattered", 600.0),), text="base")
LOWER = ForecastGroup("becoming", after(4), after(6), None, 3000.0, (CloudLayer("overcast", 100.0),), text="becoming")
SHOWER = ForecastGroup("temporary", after(2), after(3), None, 1200.0, text="temporary")
NEW = ForecastGroup("from", after(8), after(24), None, 9000.0, (), text="from")
MINIMA = Minima(180.0, 2000.0)


def words(states: tuple) -> list[str]:
    return [state.group.text for state in states]


@pytest.mark.parametrize(
    ("hours", "expected"),
    [
        (1.0, ["base"]),
        (4.5, ["base", "becoming"]),
        (6.5, ["becoming"]),
        (9.0, ["from"]),
    ],
)
def test_within_a_becoming_group_both_states_are_expected(hours: float, expected: list[str]) -> None:
    """The change may come at any moment of its period; afterwards it holds until the next."""
    found = outlook(forecast(BASE, LOWER, NEW), after(hours), after(hours))

    assert words(found.prevailing) == expected


def test_a_window_sees_every_state_it_touches() -> None:
    """An hour either side of five o'clock meets the state before and after the change."""
    assert words(outlook(forecast(BASE, LOWER, NEW), after(7.5), after(8.5)).prevailing) == ["becoming", "from"]


def test_a_temporary_group_keeps_what_it_does_not_name() -> None:
    """It names the visibility alone: the cloud is that of the conditions it interrupts."""
    (found,) = outlook(forecast(BASE, SHOWER), after(2.5), after(2.5)).temporary

    assert (found.visibility_m, found.clouds) == (1200.0, BASE.clouds)


def test_a_temporary_group_outside_the_window_does_not_count() -> None:
    """At one o'clock the shower of two to three is not there."""
    assert outlook(forecast(BASE, SHOWER), after(1.0), after(1.5)).temporary == ()


def test_scattered_cloud_is_no_ceiling_and_overcast_is() -> None:
    """A ceiling is the lowest layer of more than half the sky: broken or overcast (FMH-1, chapter 9)."""
    before, later = outlook(forecast(BASE, LOWER), after(4.5), after(4.5)).prevailing

    assert before.ceiling_m == math.inf
    assert later.ceiling_m == 100.0


def test_vertical_visibility_is_the_ceiling() -> None:
    """Sky hidden by fog: the vertical visibility stands for the ceiling (FMH-1, chapter 9)."""
    fog = ForecastGroup("from", after(1), after(24), None, 200.0, None, 30.0, text="fog")

    assert outlook(forecast(BASE, fog), after(2), after(2)).prevailing[0].ceiling_m == 30.0


def test_minima_are_held_against_the_lowest_of_all_states() -> None:
    """The answer names the lowest ceiling and visibility, and the group that is worst."""
    found = minima_check(outlook(forecast(BASE, LOWER), after(4.5), after(4.5)).prevailing, MINIMA)

    assert (found.ceiling_m, found.visibility_m, found.met, found.group.text) == (100.0, 3000.0, False, "becoming")


def test_what_is_not_forecast_is_no_pass() -> None:
    """A forecast that says nothing of cloud does not meet a ceiling."""
    silent = ForecastGroup("base", NOON, after(24), None, 10_000.0, None, text="silent")

    assert not minima_check(outlook(forecast(silent), NOON, NOON).prevailing, MINIMA).met


def test_on_the_minima_is_met() -> None:
    """Exactly the minima is enough."""
    exact = ForecastGroup("base", NOON, after(24), None, 2000.0, (CloudLayer("broken", 180.0),), text="exact")

    assert minima_check(outlook(forecast(exact), NOON, NOON).prevailing, MINIMA).met


def test_a_period_beyond_the_forecast_is_refused() -> None:
    """A forecast that ends before the time of use says nothing about it."""
    with pytest.raises(OutOfRangeError, match="outside the times of the forecast for LX01"):
        outlook(forecast(BASE), after(23.0), after(25.0))
    assert forecast_for(weather(forecasts=(forecast(BASE),)), "LX01", after(23.0), after(25.0)) is None


def test_the_latest_issue_of_a_forecast_counts() -> None:
    """An amendment replaces what was issued before it."""
    from dataclasses import replace

    first, second = forecast(BASE), replace(forecast(LOWER), issued=after(1))

    assert forecast_for(weather(forecasts=(second, first)), "LX01", after(4), after(5)) is second


def test_the_worst_state_is_the_one_nearest_to_its_minima_in_cloud_or_in_sight() -> None:
    """Ceiling 400 of 180 m with 2,200 of 2,000 m in sight is nearer to its minima than 250 m with 9,000 m (1.1 against 1.39)."""
    clear_but_low = ForecastGroup("base", NOON, after(24), None, 9000.0, (CloudLayer("overcast", 250.0),), text="low")
    murky = ForecastGroup("temporary", after(2), after(4), None, 2200.0, (CloudLayer("overcast", 400.0),), text="murky")
    found = outlook(forecast(clear_but_low, murky), after(3), after(3))
    judged = minima_check((*found.prevailing, *found.temporary), MINIMA)

    assert judged.group.text == "murky"
    assert (judged.ceiling_m, judged.visibility_m, judged.met) == (250.0, 2200.0, True)
