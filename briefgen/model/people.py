"""What an aircraft carries people with: seats, oxygen points, life jackets and rafts."""

from __future__ import annotations

from briefgen.frozen import dataclass


@dataclass(frozen=True)
class SeatRow:
    """Seats at one station, and what is within reach of them."""

    station: str  # a station of the file
    seats: int
    oxygen_points: int
    life_jackets: int


@dataclass(frozen=True)
class Raft:
    """A raft: how many it holds and where it is stowed."""

    name: str
    places: int
    stowed: str


@dataclass(frozen=True)
class PeopleProvision:
    """Seats and rescue equipment of the whole aircraft; `passenger_mass_kg` is one passenger with what is carried on."""

    passenger_mass_kg: float
    seats: tuple[SeatRow, ...]
    rafts: tuple[Raft, ...]
