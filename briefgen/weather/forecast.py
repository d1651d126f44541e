"""What an aerodrome forecast says about one instant, and whether minima are met over a time of use.

A becoming group holds a change that may come at any moment of its period: within it the conditions before and after
both count. Temporary and probable groups count beside the prevailing conditions, as they might be met on arrival.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from briefgen.errors import OutOfRangeError
from briefgen.frozen import dataclass
from briefgen.model.places import Minima
from briefgen.model.weather import CEILING_COVERS, AerodromeForecast, CloudLayer, ForecastGroup, Weather, Wind
from briefgen.weather.air import outside_time

UNLIMITED_CEILING_M = float("inf")


@dataclass(frozen=True)
class Expected:
    """One state of the weather that the forecast expects; None is 'not forecast'."""

    wind: Wind | None
    visibility_m: float | None
    clouds: tuple[CloudLayer, ...] | None
    vertical_visibility_m: float | None
    weather: tuple[str, ...]
    group: ForecastGroup

    @property
    def ceiling_m(self) -> float | None:
        """Height above the field of the lowest broken or overcast layer or of the vertical visibility [m].

        Infinite without such a layer; None where the forecast says nothing of cloud.
        """
        if self.vertical_visibility_m is not None:
            return self.vertical_visibility_m
        if self.clouds is None:
            return None
        bases = [layer.base_m for layer in self.clouds if layer.cover in CEILING_COVERS]
        return min(bases, default=UNLIMITED_CEILING_M)


@dataclass(frozen=True)
class Outlook:
    """All states a forecast expects over a period: prevailing ones, and temporary or probable ones."""

    prevailing: tuple[Expected, ...]
    temporary: tuple[Expected, ...]

    @property
    def winds(self) -> tuple[Wind, ...]:
        """Return every wind expected, prevailing and temporary; the worst of them is the one to use."""
        return tuple(state.wind for state in (*self.prevailing, *self.temporary) if state.wind is not None)


@dataclass(frozen=True)
class MinimaCheck:
    """The lowest ceiling and visibility of some states, against minima; None is 'not forecast', which is no pass."""

    ceiling_m: float | None
    visibility_m: float | None
    met: bool
    group: ForecastGroup  # the group that is lowest against the minima


def forecast_for(weather: Weather, ident: str, start: datetime, end: datetime) -> AerodromeForecast | None:
    """Return the forecast for a field with the latest issue that covers a whole period; None if there is none."""
    found = [one for one in weather.forecasts if one.ident == ident and one.valid_from <= start and end <= one.valid_to]
    return max(found, key=lambda one: one.issued, default=None)


def outlook(forecast: AerodromeForecast, start: datetime, end: datetime) -> Outlook:
    """Return every state the forecast expects from one instant up to, not including, another; of one instant, at it.

    A temporary group begins at its first minute and is over at its second hour; a becoming group's new state may come
    from its first minute, the old one may last up to its second hour (CNATRA P-304, paragraphs 108-113).

    Raises:
        OutOfRangeError: The period is not inside the forecast's.
    """
    if not forecast.valid_from <= start <= end <= forecast.valid_to:
        raise outside_time(f"forecast for {forecast.ident}", start, forecast.valid_from, forecast.valid_to)
    prevailing: list[Expected] = []
    temporary: list[Expected] = []
    state: Expected | None = None
    changes = sorted((one for one in forecast.groups if not _passing(one)), key=lambda one: one.start)
    passing = [one for one in forecast.groups if _passing(one)]
    for index, group in enumerate(changes):
        state = _changed(state, group)
        until = _replaced_at(changes[index + 1 :], forecast.valid_to)
        if _meets(start, end, group.start, until):
            prevailing.append(state)
        temporary.extend(
            _changed(state, one)
            for one in passing
            if _meets(start, end, max(group.start, one.start), min(until, one.end))
        )
    return Outlook(tuple(prevailing), tuple(temporary))


def _meets(start: datetime, end: datetime, begins: datetime, ends: datetime) -> bool:
    """Return whether a window, its end left out, meets the time from one instant up to, not including, another."""
    return begins < ends and start < ends and (begins < end or begins <= start)


def minima_check(states: tuple[Expected, ...], minima: Minima) -> MinimaCheck:
    """Return the worst of some states against minima.

    Raises:
        OutOfRangeError: There is no state to judge.
    """
    if not states:
        raise OutOfRangeError("no forecast to hold against the minima", expected="at least one state")
    worst = min(states, key=lambda state: _margin(state, minima))
    ceilings = [state.ceiling_m for state in states]
    visibilities = [state.visibility_m for state in states]
    ceiling_m = None if None in ceilings else min(one for one in ceilings if one is not None)
    visibility_m = None if None in visibilities else min(one for one in visibilities if one is not None)
    met = (
        ceiling_m is not None
        and visibility_m is not None
        and ceiling_m >= minima.ceiling_m
        and visibility_m >= minima.visibility_m
    )
    return MinimaCheck(ceiling_m, visibility_m, met, worst.group)


def _passing(group: ForecastGroup) -> bool:
    return group.kind in ("temporary", "probable", "probable temporary")


def _replaced_at(later: list[ForecastGroup], end: datetime) -> datetime:
    """Return until when a state may last: the start of the next FM, or the end of the next becoming group."""
    return min((one.start if one.kind == "from" else one.end for one in later), default=end)


def _changed(state: Expected | None, group: ForecastGroup) -> Expected:
    """Return the state a group leaves: what it does not name stays as before, unless it is a whole new forecast."""
    if state is None or group.kind in ("base", "from"):
        return Expected(
            group.wind, group.visibility_m, group.clouds, group.vertical_visibility_m, group.weather or (), group
        )
    cloud_named = group.clouds is not None or group.vertical_visibility_m is not None
    return replace(
        state,
        wind=group.wind or state.wind,
        visibility_m=state.visibility_m if group.visibility_m is None else group.visibility_m,
        clouds=group.clouds if cloud_named else state.clouds,
        vertical_visibility_m=group.vertical_visibility_m if cloud_named else state.vertical_visibility_m,
        weather=state.weather if group.weather is None else group.weather,
        group=group,
    )


def _margin(state: Expected, minima: Minima) -> float:
    """Return the smaller of the two ratios to the minima; what is not forecast comes first of all."""
    if state.ceiling_m is None or state.visibility_m is None:
        return -1.0
    return min(
        state.ceiling_m / minima.ceiling_m if minima.ceiling_m else UNLIMITED_CEILING_M,
        state.visibility_m / minima.visibility_m if minima.visibility_m else UNLIMITED_CEILING_M,
    )
