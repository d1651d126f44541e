"""Fuel and load as the author wrote them, and the weight the sortie starts with."""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.model.mission import LoadItem, Mission
from briefgen.model.record import Absent, Record, Ref, Sum, figure, given, note, rests_on, total
from briefgen.planning.flight.route import alternate_key
from briefgen.planning.load.pieces import Piece, fixed_pieces
from briefgen.planning.load.tanks import measured_density_kg_per_m3
from briefgen.planning.sections.basis.groups import BALANCE, FLOWN_BY, GROUND_FLOWS, PLACES, RULES, rest_on_groups
from briefgen.planning.sections.basis.written_route import written_keys

ALLOWED = (
    "start",
    "taxi_out",
    "run_up",
    "take_off",
    "first_reduction_height",
    "approach",
)  # allowances that burn fuel required


class FuelWritten(Record):
    """The fuel as the author wrote it: grade, density, and how much."""

    at = "fuel"

    def __init__(self, mission: Mission) -> None:
        self._grade, self._fuel = mission.fuel_grade, mission.fuel
        self._by_temperature = mission.fuel.temperature_k is not None and mission.fuel.density_temperature_k is not None

    @given("Fuel grade", spec="aircraft.fuel grade")
    def grade(self) -> str:
        return self._grade

    def _only_by_temperature(self) -> None:
        if not self._by_temperature:
            raise Absent("the density is written as it is at the ramp")

    @given("Fuel density as measured", "lb/US gal", decimals=2, spec="load.fuel.density")
    def density_measured(self) -> float:
        self._only_by_temperature()
        return measured_density_kg_per_m3(self._fuel)

    @given("Temperature of that measurement", "degC", spec="load.fuel.density at")
    def density_temperature(self) -> float:
        self._only_by_temperature()
        return self._fuel.density_temperature_k or 0.0

    @given("Temperature of the fuel", "degC", spec="load.fuel.temperature")
    def temperature(self) -> float:
        self._only_by_temperature()
        return self._fuel.temperature_k or 0.0


class DensityWritten(Record):
    """The density of the fuel as it is at the ramp, written so."""

    at = "fuel"

    def __init__(self, mission: Mission) -> None:
        self._fuel = mission.fuel

    @given("Fuel density", "lb/US gal", decimals=2, spec="load.fuel.density")
    def density(self) -> float:
        return self._fuel.density_kg_per_m3


class DensityOfTemperature(Record):
    """The density of the fuel, taken from where it was measured to its own temperature."""

    at = "fuel"

    def __init__(self, mission: Mission, written: FuelWritten) -> None:
        self._fuel, self._written = mission.fuel, written

    @figure(
        "Fuel density", "lb/US gal", decimals=2, source="ASTM D1250-80, table 54B (coefficients from memory)",
        how="density as measured, taken to the temperature of the fuel by the volume factor for gasolines",
    )  # fmt: skip
    def density(self) -> float:
        rests_on(self._written.density_measured, self._written.density_temperature, self._written.temperature)
        return self._fuel.density_kg_per_m3


class RampFuel(Record):
    """Fuel at the ramp: a volume, and its weight."""

    at = "fuel"

    def __init__(self, mission: Mission, fuel_kg: float) -> None:
        self._mission, self._fuel_kg = mission, fuel_kg

    @figure("Fuel at the ramp", "lb", how="volume times density", volume="ramp_volume", rounding="down")
    def ramp(self) -> float:
        note(f"{self.at}.ramp_volume")
        note(DensityWritten.density.key)
        return self._fuel_kg


class RampFuelWritten(RampFuel):
    """Fuel at the ramp, written as a volume."""

    @given("Fuel at the ramp", "US gal", spec="load.fuel.at ramp", rounding="down")
    def ramp_volume(self) -> float:
        return self._fuel_kg / self._mission.fuel.density_kg_per_m3


class RampFuelRequired(RampFuel):
    """Fuel at the ramp, asked for as what is required and something more."""

    @given("Fuel over what is required", "US gal", spec="load.fuel.as required plus")
    def extra_volume(self) -> float:
        return self._mission.fuel.extra_m3

    @figure(
        "Fuel at the ramp",
        "US gal",
        how="fuel required and the extra, settled with the weight it adds",
        rounding="down",
    )
    def ramp_volume(self) -> float:
        rests_on(self.extra_volume)
        for alternate in self._mission.alternates:
            note(f"{alternate_key(alternate.place.ident)}.height")
            note(f"{alternate_key(alternate.place.ident)}.cruise")
        for key in (DensityWritten.density.key, Weights.zero_fuel.key, *written_keys(self._mission)):
            note(key)
        rest_on_groups(*FLOWN_BY, GROUND_FLOWS, BALANCE, PLACES, RULES)
        for name in ALLOWED:
            note(f"times.{name}")
        return self._fuel_kg / self._mission.fuel.density_kg_per_m3


class ItemWritten(Record):
    """One item of the load."""

    def __init__(self, number: int, item: LoadItem) -> None:
        self.at, self.name, self.spec = f"load.{number:02d}", item.name, f"load.items[{number - 1}]"
        self._item = item

    @given("%(name)s", "lb", spec="%(spec)s.mass")
    def mass(self) -> float:
        return self._item.mass_kg


class PieceWritten(Record):
    """The mass of somebody or something aboard that is not load."""

    def __init__(self, piece: Piece) -> None:
        self.at, self.name, self.spec, self._piece = f"station.{piece.key}", piece.name, piece.spec, piece

    @given("%(name)s", "lb", spec="%(spec)s")
    def mass(self) -> float:
        return self._piece.mass_kg


class Weights(Record):
    """What she weighs before a drop of fuel is in her."""

    at = "mass"

    def __init__(self, mission: Mission) -> None:
        self._mission = mission
        self.basic_spec = next(
            (path.removesuffix("registration") + "basic mass" for path, given in mission.given.items()
             if path.startswith("aircraft:individuals[") and given.text == mission.individual.registration),
            "aircraft.individual",
        )  # fmt: skip
        self.registration, self.people = mission.individual.registration, len(mission.crew)
        self.items = [ItemWritten(number, item) for number, item in enumerate(mission.items, start=1)]
        self._aboard = {piece.key: PieceWritten(piece) for piece in fixed_pieces(mission) if piece.kind != "basic"}

    def parts(self) -> Sequence[Record]:
        return [*self._aboard.values(), *self.items]

    def mass_of(self, piece: Piece) -> Ref:
        """Return the mass of a row of the loading sheet."""
        if piece.kind == "basic":
            return Weights.basic.of(self)
        if piece.kind == "item":
            return next(ItemWritten.mass.of(item) for item in self.items if item.name == piece.name)
        return PieceWritten.mass.of(self._aboard[piece.key])

    def _sum(self, kind: str) -> Sum:
        return Sum([PieceWritten.mass.of(one) for key, one in self._aboard.items() if key.startswith(f"{kind}.")])

    @given("Basic weight of %(registration)s", "lb", spec="%(basic_spec)s")
    def basic(self) -> float:
        return self._mission.individual.basic_mass_kg

    @total("Removable equipment", "lb", how="sum of what is carried")
    def equipment(self) -> Sum:
        if not self._mission.aircraft.balance.equipment:
            raise Absent("she has no removable equipment")
        return self._sum("equipment")

    @total("Crew of %(people)s", "lb", how="sum of the crew")
    def crew(self) -> Sum:
        return self._sum("crew")

    @total("People carried", "lb", how="sum of those who are carried", name="people")
    def carried(self) -> Sum:
        if not self._mission.people:
            raise Absent("nobody is carried but the crew")
        return self._sum("people")

    @total("Zero-fuel weight", "lb", how="basic weight, equipment, crew, people and load")
    def zero_fuel(self) -> Sum:
        own = [Weights.basic.of(self), Weights.equipment.of(self), Weights.crew.of(self), Weights.carried.of(self)]
        return Sum([ref for ref in own if ref.there] + [ItemWritten.mass.of(item) for item in self.items])
