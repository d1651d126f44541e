"""When the destination opens and by when she must leave it: the two hours a captain compares."""

from __future__ import annotations

from datetime import datetime, timedelta

from briefgen.model.mission import Mission
from briefgen.model.plan import Finding, FindingPage
from briefgen.model.record import Absent, Record, Ref, figure, rests_on, working
from briefgen.model.weather import AerodromeForecast
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.clock import Clock, Milestones
from briefgen.planning.sections.basis.groups import PLACES, WEATHER, rest_on_groups
from briefgen.planning.sections.weather.fields import MinimaFigures
from briefgen.weather.forecast import Expected, forecast_for, minima_check, outlook

PAGE: FindingPage = "weather"
STEP = timedelta(minutes=15)
STAYS = timedelta(hours=1)  # a field is open when its minima are met from then on for so long
HOW_OPEN = (
    "first quarter of an hour from which every state forecast meets the minima for an hour, temporary ones included"
)


def states_at(forecast: AerodromeForecast, start: datetime, end: datetime) -> tuple[Expected, ...]:
    """Return every state a forecast expects from one instant to another, as far as it reaches."""
    found = outlook(forecast, max(start, forecast.valid_from), min(end, forecast.valid_to))
    return (*found.prevailing, *found.temporary)


class Opening(Record):
    """The destination's forecast from the planned landing on."""

    at = "briefing.opening"

    def __init__(self, mission: Mission, clock: Clock, leave: Ref | None) -> None:
        self._mission, self._landing, self._leave = mission, Milestones.landing.of(clock.milestones), leave
        self.name = mission.route.destination.name

    @property
    def forecast(self) -> AerodromeForecast | None:
        """The forecast that covers the planned landing."""
        at = self._landing.value
        return forecast_for(self._mission.weather, self._mission.route.destination.ident, at, at)

    @working
    def _opens(self) -> datetime | None:
        """The instant of opening; None when it stays shut as far as the forecast reaches."""
        rest_on_groups(WEATHER, PLACES)
        forecast, minima = self.forecast, self._mission.route.destination.minima
        if forecast is None or minima is None:
            raise Absent(f"no forecast and minima for {self.name} at the planned landing")
        at: datetime = self._landing.value
        if minima_check(states_at(forecast, at, at), minima).met:
            return at
        at = at.replace(minute=at.minute // 15 * 15, second=0, microsecond=0) + STEP
        while at + STAYS <= forecast.valid_to:
            if minima_check(states_at(forecast, at, at + STAYS), minima).met:
                return at
            at += STEP
        return None

    @figure("%(name)s opens", "UTC", how=HOW_OPEN)
    def opens(self) -> datetime:
        found = self._opens
        if found is None or found == self._landing.value:
            raise Absent("open at the planned landing" if found else "shut as far as the forecast reaches")
        return found

    @figure("%(name)s: open at the planned landing", how=HOW_OPEN)
    def open_then(self) -> str:
        return "yes" if self._opens == self._landing.value else "no"

    @figure("%(name)s: opening and leaving compared", how="the hour of opening against the hour of leaving")
    def sentence(self) -> str:
        opens = self._opens
        if opens == self._landing.value:
            return f"{self.name} is forecast open at {self._landing}."
        opened = Opening.opens.of(self)
        shut = f"shut until {opened}" if opens else "shut as far as the forecast reaches"
        if self._leave is None:
            return f"{self.name} is forecast {shut}."
        rests_on(self._leave.value)
        reached = opens is not None and opens <= self._leave.value
        wait = "she can wait for the opening" if reached else "waiting does not reach the opening"
        return f"{self.name} is forecast {shut}. Leave by {self._leave}: {wait}."

    def finding(self, expected: MinimaFigures) -> Finding | None:
        """Return that the destination is shut until after the last moment to leave it; None where she can land or wait."""
        opened = Opening.opens.of(self)
        if not Opening.sentence.of(self).there or self._opens == self._landing.value:
            return None
        if opened.there and self._leave is not None and opened.value <= self._leave.value:
            return None
        low = self._under_minima(expected)
        opens = f"it opens at {opened}" if opened.there else "it stays so as far as the forecast reaches"
        leave = f"the last moment to leave it is {self._leave}" if self._leave else "no hold is planned to wait in"
        text = (
            f"{self.name} is forecast under its minima when she comes there at {self._landing} ({low}); {opens}, and {leave}: "
            "she lands somewhere else."
        )
        cure = "come later, carry fuel to wait for the opening, or brief the flight to end at the alternate"
        return Finding(
            "destination-shut", "caution", "Destination shut until she must leave", text,
            MinimaFigures.ceiling.of(expected).key, MinimaFigures.minimum_ceiling.of(expected).key,
            (opened if opened.there else Opening.sentence.of(self)).key, HOW_OPEN, cure, PAGE,
        )  # fmt: skip

    def _under_minima(self, expected: MinimaFigures) -> str:
        """Return ceiling and visibility that are under the minima, both where both are."""
        one, minima = MinimaFigures, self._mission.route.destination.minima
        found = []
        for name, value, least, limit in (
            ("ceiling", one.ceiling, one.minimum_ceiling, minima.ceiling_m if minima else 0.0),
            ("visibility", one.visibility, one.minimum_visibility, minima.visibility_m if minima else 0.0),
        ):
            told = value.of(expected).value
            if isinstance(told, float) and told < limit:
                found.append(f"{name} {value.of(expected)} where {least.of(expected)} is asked for")
        return ", ".join(found) or "ceiling or visibility not forecast"


def write_opening(
    mission: Mission, clock: Clock, leave: Ref | None, expected: MinimaFigures | None, writer: LedgerWriter
) -> tuple[Finding, ...]:
    """Enter when the destination opens, and the comparison in words; return what it says about the plan."""
    opening = Opening(mission, clock, leave)
    writer.adopt(opening)
    found = opening.finding(expected) if expected is not None else None
    return () if found is None else (found,)
