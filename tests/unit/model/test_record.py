"""Figures declared once: what they read is what they are said to rest on, and a wrong name fails."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from briefgen.model.ledger import Foot
from briefgen.model.record import Absent, Record, Sum, figure, given, total, working
from briefgen.model.shadow import shadows
from briefgen.model.tables import TableOf, column

DENSITY_KG_PER_M3 = 720.0


class Tank(Record):
    """Fuel in a tank, for these tests."""

    def __init__(self, name: str, fuel_kg: float | None) -> None:
        self.at, self.name, self._fuel_kg = f"tank.{name}", name, fuel_kg

    def fuel_density(self) -> float:
        return DENSITY_KG_PER_M3

    @figure("Fuel in %(name)s", "lb", how="dipped", volume=True)
    def fuel(self) -> float:
        if self._fuel_kg is None:
            raise Absent("not dipped")
        return self._fuel_kg


class Sheet(Record):
    """The fuel of all tanks against a flow, for these tests."""

    at = "sheet"

    def __init__(self, *tanks: Tank) -> None:
        self._tanks = tanks

    def fuel_density(self) -> float:
        return DENSITY_KG_PER_M3

    @given("Flow", "lb/h", spec="times.flow")
    def flow(self) -> float:
        return 0.5

    @total("Fuel aboard", "lb", how="sum of the tanks", volume=True)
    def aboard(self) -> Sum:
        return Sum([Tank.fuel.of(tank) for tank in self._tanks])

    @working
    def _usable(self) -> float:
        return self.aboard - 10.0

    @figure("Endurance", "min", how="usable fuel over flow")
    def endurance(self) -> float:
        return self._usable / self.flow

    def parts(self) -> tuple[Tank, ...]:
        return self._tanks


def test_a_figure_rests_on_what_it_reads_and_on_nothing_else() -> None:
    """The unprinted working passes its reads on."""
    sheet = Sheet(Tank("left", 100.0), Tank("right", 50.0))
    found = {shadow.key: shadow for shadow in shadows(sheet)}

    assert sheet.endurance == pytest.approx(140.0 / 0.5)
    assert set(found["sheet.endurance"].inputs) == {"sheet.aboard", "sheet.flow"}
    assert found["sheet.flow"].spec == "times.flow"


def test_a_total_is_value_inputs_and_printed_sum_at_once() -> None:
    """The volume beside it is the sum of the volumes of its parts."""
    found = {shadow.key: shadow for shadow in shadows(Sheet(Tank("left", 100.0), Tank("right", 50.0)))}

    assert found["sheet.aboard"].value == pytest.approx(150.0)
    assert found["sheet.aboard"].inputs == ("tank.left.fuel", "tank.right.fuel")
    assert found["sheet.aboard"].foot == Foot("sheet.aboard", ("tank.left.fuel", "tank.right.fuel"), ())
    volumes = ("tank.left.fuel_volume", "tank.right.fuel_volume")
    assert found["sheet.aboard_volume"].foot == Foot("sheet.aboard_volume", volumes, ())
    assert found["sheet.aboard_volume"].value == pytest.approx(150.0 / DENSITY_KG_PER_M3)


def test_absence_keeps_its_reason_and_passes_to_whoever_reads_it() -> None:
    """Nothing is left out in silence: the endurance is not known because a tank was not dipped."""
    left = Tank("left", None)
    found = {shadow.key: shadow for shadow in shadows(Sheet(left, Tank("right", 50.0)))}

    assert {key: shadow.absent for key, shadow in found.items() if shadow.absent} == dict.fromkeys(
        ("sheet.aboard", "sheet.aboard_volume", "sheet.endurance", "tank.left.fuel", "tank.left.fuel_volume"),
        "not dipped",
    )
    assert Tank.fuel.or_none(left) is None
    with pytest.raises(Absent, match="not dipped"):
        _ = left.fuel


def test_the_time_between_two_instants_is_a_printed_difference() -> None:
    """Instants stand above the line like numbers."""
    begin = datetime(2027, 2, 17, 16, 1, tzinfo=UTC)

    class Span(Record):
        at = "span"

        @figure("From", "UTC", how="given")
        def begin(self) -> datetime:
            return begin

        @figure("Until", "UTC", how="given")
        def end(self) -> datetime:
            return begin + timedelta(minutes=8)

        @total("Time", "min", how="end less beginning")
        def time(self) -> Sum:
            return Sum([Span.end.of(self)], [Span.begin.of(self)])

    assert Span().time == 480.0


def test_a_figure_cannot_be_set_from_outside() -> None:
    """A figure works itself out; nobody puts a value in its place."""
    with pytest.raises(AttributeError, match="works itself out"):
        Sheet().flow = 3.0  # type: ignore[misc]


def test_a_key_of_many_records_cannot_be_asked_of_the_class() -> None:
    """A page names a figure by its object only where a plan has one of it."""
    assert Sheet.aboard.key == "sheet.aboard"
    assert Sheet.aboard.volume().key == "sheet.aboard_volume"
    with pytest.raises(AttributeError, match="stands in many records"):
        _ = Tank.fuel.key


def test_a_table_shows_only_figures_it_was_declared_with() -> None:
    """A document that asks for another column fails when it is imported."""
    table = TableOf("tanks", "Tanks", (column(Tank.fuel, "Fuel"),))
    tank = Tank("left", 100.0)

    assert table.row("left", tank).cells == {"fuel": "tank.left.fuel"}
    assert table.row("right", Tank("right", None)).cells == {}
    assert table.view(Tank.fuel).columns == table.columns
    with pytest.raises(LookupError, match="no column for"):
        table.view(Sheet.flow)
