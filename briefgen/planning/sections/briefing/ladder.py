"""The holding ladder: by the clock, fuel remaining, what each field needs, how long she can still wait, and the forecast."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from briefgen.model.ledger import Row
from briefgen.model.mission import Hold, Mission
from briefgen.model.performance import IndicatedAirspeed
from briefgen.model.plan import Node, Phase
from briefgen.model.record import Record, Ref, Sum, figure, rests_on, total
from briefgen.model.tables import ColumnOf, TableOf, column
from briefgen.planning.flight import flying
from briefgen.planning.flight.home.refuges import Refuge, WayHome
from briefgen.planning.flight.home.spots import Spot
from briefgen.planning.flight.route import item_keys
from briefgen.planning.flight.steps import Level
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.groups import FLOWN_BY, PLACES, RULES, WEATHER, rest_on_groups
from briefgen.planning.sections.basis.navigation import Navigation
from briefgen.planning.sections.basis.phases import PhaseFigures
from briefgen.planning.sections.briefing.opening import states_at
from briefgen.planning.sections.way_home.places import HOW_LEVEL, KEPT
from briefgen.planning.sections.way_home.waiting import LeaveBy
from briefgen.weather.forecast import UNLIMITED_CEILING_M, forecast_for, minima_check

STEPS = (timedelta(minutes=15), timedelta(minutes=30), timedelta(hours=1))
MOST_RUNGS = 10
HELD_ON = "the hold kept up at its speed and altitude, the weight falling"


@dataclass(frozen=True)
class HoldFlown:
    """One planned hold, and by when it must be left for each field."""

    head: str
    flown: PhaseFigures
    hold: Hold
    leave: tuple[tuple[Refuge, Ref], ...]  # the last to be left for first

    @property
    def phase(self) -> Phase:
        """The hold as flown."""
        return self.flown.phase


class Rung(Record):
    """One moment of a hold kept up; ``hours`` are those of leaving that it is, ``leave`` the last of all."""

    def __init__(self, head: str, flown: PhaseFigures, node: Node, leave: Ref | None, hours: Sequence[Ref]) -> None:
        self.at, self.flown, self.node, self._leave = f"briefing.{head}.at_{node.instant:%d%H%M}", flown, node, leave
        self._hours = hours

    def fuel_density(self) -> float:
        return self.flown.fuel_density()

    @figure("Holding: time", "UTC", how="by the clock")
    def time(self) -> datetime:
        rests_on(self.flown.begin, *(ref.value for ref in self._hours))
        return self.node.instant

    @figure("Holding: fuel remaining", "lb", how=HELD_ON, volume=True)
    def fuel(self) -> float:
        rests_on(self.time, self.flown.fuel_remaining)
        rest_on_groups(*FLOWN_BY)
        return self.node.fuel_kg

    @total("Holding: can still wait", "h:min", how="hour of leaving less the time")
    def wait(self) -> Sum:
        return Sum([self._leave] if self._leave else [], [Rung.time.of(self)])


class RungNeed(Record):
    """The fuel that a field needs from a moment of the hold, by the way by which its hour of leaving is found."""

    def __init__(self, rung: Rung, refuge: Refuge, needed_kg: float, leave: Ref) -> None:
        self.at, self._rung, self._needed_kg = f"{rung.at}.{refuge.place.ident.lower()}", rung, needed_kg
        self._leave = leave
        self.name = refuge.place.name

    def fuel_density(self) -> float:
        return self._rung.fuel_density()

    @figure("Holding: %(name)s needs", "US gal", how=HOW_LEVEL + KEPT)
    def needed(self) -> float:
        rests_on(self._rung.fuel, self._leave.value)
        rest_on_groups(*FLOWN_BY, PLACES, RULES)
        return self._needed_kg / self.fuel_density()


class RungForecast(Record):
    """What the field held over is forecast to be at a moment of the hold."""

    def __init__(self, rung: Rung, words: str) -> None:
        self.at, self._words, self._rung = rung.at, words, rung

    @figure("Holding: forecast below", how="aerodrome forecast at that moment, temporary changes included")
    def forecast(self) -> str:
        rests_on(self._rung.time)
        rest_on_groups(WEATHER, PLACES)
        return self._words


TIME, FUEL, WAIT = column(Rung.time, "UTC"), column(Rung.fuel.volume(), "Fuel"), column(Rung.wait, "Can wait")
FORECAST = ColumnOf("forecast", "Forecast", "")
LEAVE, RUNG = "decision", ""
LADDERS = TableOf("briefing.ladder.*", "Waiting", (TIME, FUEL, WAIT, FORECAST))


def needs_column(refuge: Refuge) -> ColumnOf:
    """Return the column of what one field needs."""
    return ColumnOf(f"needs.{refuge.place.ident.lower()}", f"{refuge.place.name} needs", "US gal")


def holds_of(mission: Mission, log: Navigation, refuges: Sequence[Refuge], writer: LedgerWriter) -> list[HoldFlown]:
    """Return the planned holds with the hours at which they must be left."""
    items, heads, found = mission.route.items, item_keys(mission.route.items), []
    for flown in log.phases:
        item = items[flown.phase.item] if flown.phase.kind == "hold" and flown.phase.item is not None else None
        if isinstance(item, Hold) and flown.phase.item is not None:
            head = heads[flown.phase.item]
            leave = [(one, _leave_key(head, one)) for one in refuges]
            known = [(one, _Left.time.of(_Left(key.rpartition(".")[0], writer))) for one, key in leave if key in writer]
            known.sort(key=lambda pair: writer.instant(pair[1].key), reverse=True)
            found.append(HoldFlown(head, flown, item, tuple(known)))
    return found


def _leave_key(head: str, refuge: Refuge) -> str:
    return f"{head}.leave_for.{refuge.place.ident.lower()}.{LeaveBy.time.name}"


class _Left(Record):
    """The hour of leaving that the way home has entered, read under its own key; never entered again."""

    def __init__(self, at: str, writer: LedgerWriter) -> None:
        self.at, self._writer = at, writer

    @figure("Leave the hold by", "UTC", how="as the way home enters it")
    def time(self) -> datetime:
        return self._writer.instant(f"{self.at}.{LeaveBy.time.name}")


class Ladder:
    """The rungs of one hold, flown on from its beginning."""

    def __init__(self, home: WayHome, held: HoldFlown, writer: LedgerWriter) -> None:
        self._home, self._held, self._writer = home, held, writer
        self._setting = held.phase.settings[0][1]
        self.leave = {ref.key: writer.instant(ref.key) for _, ref in held.leave}

    def rows(self) -> list[Row]:
        """Enter the rungs and return them, the hours of leaving among them."""
        last = next(iter(self.leave.values()), self._held.phase.end.instant)
        node, rows = self._held.phase.start, []
        for instant in one_a_minute(_clock(self._held.phase.start.instant, last), self.leave.values()):
            node = self._flown_to(node, instant)
            rows.append(self._row(node, instant))
        return rows

    def _flown_to(self, node: Node, instant: datetime) -> Node:
        left_s = (instant - node.instant).total_seconds()
        if left_s <= 0.0:
            return node
        level = Level(self._held.phase.start.altitude_m, False)
        target = IndicatedAirspeed(self._setting.ias_m_per_s)
        piece = flying.hold(
            self._home.crew, node, target, level, left_s, self._held.hold.bank_deg, item=None, title="waiting",
            place=self._held.phase.place,
        )  # fmt: skip
        return replace(piece.end, instant=instant)

    def _row(self, node: Node, instant: datetime) -> Row:
        leave = next((ref for _, ref in self._held.leave), None)
        hours = [ref for _, ref in self._held.leave if _minute(self.leave[ref.key]) == _minute(instant)]
        rung = Rung(self._held.head, self._held.flown, node, leave, hours)
        self._writer.adopt(rung)
        others: dict[ColumnOf, Ref] = {}
        spot = Spot(
            self._held.phase, node, self._setting.ias_m_per_s, node.pressure_altitude_m,
            self._setting.fuel_flow_kg_per_s, self._held.phase.item or 0,
        )  # fmt: skip
        for refuge, by in self._held.leave:
            needed = self._home.needed_or_none(spot, refuge)
            if needed is not None:
                record = RungNeed(rung, refuge, needed, by)
                self._writer.adopt(record)
                others[needs_column(refuge)] = RungNeed.needed.of(record)
        if words := self._forecast(instant):
            told = RungForecast(rung, words)
            self._writer.adopt(told)
            others[FORECAST] = RungForecast.forecast.of(told)
        cells = {one.name: ref.key for one in (TIME, FUEL, WAIT) if (ref := one.ref(rung)) is not None}
        cells |= {one.name: ref.key for one, ref in others.items()}
        left = [refuge.place.name for refuge, ref in self._held.leave if ref in hours]
        return Row(f"leave for {', '.join(left)}" if left else rung.at, cells, LEAVE if left else RUNG)

    def _forecast(self, instant: datetime) -> str:
        place = self._held.hold.at
        forecast, minima = forecast_for(self._home.mission.weather, place.ident, instant, instant), place.minima
        if forecast is None or minima is None:
            return ""
        check = minima_check(states_at(forecast, instant, instant), minima)
        return "open" if check.met else _shut(check.ceiling_m, check.visibility_m, minima.ceiling_m)


def _shut(ceiling_m: float | None, visibility_m: float | None, minimum_m: float) -> str:
    if ceiling_m is None or visibility_m is None:
        return "not forecast"
    low = ceiling_m < minimum_m and ceiling_m != UNLIMITED_CEILING_M
    return "shut: cloud under minima" if low else "shut: visibility under minima"


def one_a_minute(clock: Iterable[datetime], leave: Iterable[datetime]) -> list[datetime]:
    """Return the moments of a ladder in order, one for each minute: an hour of leaving goes before the clock's, the earliest first."""
    found: dict[datetime, datetime] = {}
    for instant in (*sorted(leave), *clock):
        found.setdefault(_minute(instant), instant)
    return sorted(found.values())


def _minute(instant: datetime) -> datetime:
    return instant.replace(second=0, microsecond=0)


def _clock(start: datetime, end: datetime) -> list[datetime]:
    """Return the quarters of an hour from a beginning to an end; half and whole hours where there would be too many."""
    for step in STEPS:
        at, found = start.replace(minute=0, second=0, microsecond=0), []
        while at < end:
            if at > start:
                found.append(at)
            at += step
        if len(found) <= MOST_RUNGS:
            return found
    return found[:MOST_RUNGS]


def write_ladders(home: WayHome, holds: Sequence[HoldFlown], writer: LedgerWriter) -> None:
    """Enter a ladder for each planned hold."""
    for held in holds:
        rows = Ladder(home, held, writer).rows()
        needs = [needs_column(refuge) for refuge, _ in held.leave]
        table = TableOf(LADDERS.name, f"Waiting over {held.hold.at.name}", (TIME, FUEL, *needs, WAIT, FORECAST))
        if rows:
            writer.tabulate(table.filled(rows, which=held.head.replace(".", "_")))
