"""Landings as entries: distance from 50 ft over the threshold, its factor, and the weight that fits."""

from __future__ import annotations

from briefgen.aircraft.fields import FieldPerformance, Landing, greatest_mass
from briefgen.errors import PlanError
from briefgen.model.ledger import Column, Row
from briefgen.model.mission import Mission
from briefgen.planning.ledger.writer import AIRSPEED, LedgerWriter
from briefgen.planning.sections.fields.runway_use import RunwayUse
from briefgen.planning.sections.fields.take_off import SEARCHED, conditions_of, put_weight
from briefgen.planning.sections.fields.take_off_limits import rounded_down

LANDING_CHECK = "landing distance"
NOT_KNOWN = "not known"
STOPPED = "descent from 50 ft, roll before the brakes, and forces of the stop summed over speed"
LANDING_COLUMNS = (
    Column("place", "Field"),
    Column("runway", "Runway"),
    Column("mass", "Weight", "lb"),
    Column("threshold_ias", "Over the threshold", AIRSPEED),
    Column("touchdown_ias", "Touchdown", AIRSPEED),
    Column("distance", "From 50 ft", "ft"),
    Column("factor", "Factor"),
    Column("factored", "With factor", "ft"),
    Column("available", "Available", "ft"),
    Column("margin", "Margin", "ft"),
    Column("greatest_mass", "Greatest weight", "lb"),
)


def write_landing(mission: Mission, use: RunwayUse, fields: FieldPerformance, kind: str, writer: LedgerWriter) -> Row:
    """Enter one landing and return its row; kind is destination, alternate or return (to the field just left)."""
    key, drivers = use.key, conditions_of(use)
    try:
        answer = fields.landing(use.mass_kg, use.strip)
    except PlanError as error:  # the charts have no landing: said so, not guessed
        writer.put(f"{key}.distance", "Landing distance from 50 ft", NOT_KNOWN, method=error.problem, inputs=drivers)
    else:
        _put_answer(key, answer, drivers, fields.source, writer)
        _write_share(mission, use, fields, answer, kind, writer)
    return Row(use.name, {one.name: f"{key}.{one.name}" for one in LANDING_COLUMNS if f"{key}.{one.name}" in writer})


def _write_share(
    mission: Mission, use: RunwayUse, fields: FieldPerformance, answer: Landing, kind: str, writer: LedgerWriter
) -> None:
    key = use.key
    share, source = _share(mission, kind)
    factor = writer.put(
        f"{key}.factor", "Factor", 1.0 / share, decimals=2, method="one over the share of the runway", source=source
    )
    factored = writer.put(
        f"{key}.factored", "Landing distance with factor", answer.distance_m / share, "ft",
        method="distance times factor", inputs=(f"{key}.distance", factor), source=source,
    )  # fmt: skip
    margin = writer.put(
        f"{key}.margin", "Runway left over", use.runway.length_m - answer.distance_m / share, "ft",
        method="available less distance with factor", inputs=(f"{key}.available", factored),
    )  # fmt: skip
    writer.foot(margin, (f"{key}.available",), (factored,))
    _write_greatest(mission, use, fields, share, source, writer)


def _put_answer(key: str, answer: Landing, drivers: tuple[str, ...], source: str, writer: LedgerWriter) -> None:
    figures = (
        ("threshold_ias", "Speed at 50 ft, indicated", answer.threshold_ias_m_per_s, AIRSPEED),
        ("touchdown_ias", "Touchdown speed, indicated", answer.touchdown_ias_m_per_s, AIRSPEED),
        ("air_distance", "From 50 ft to touchdown", answer.air_m, "ft"),
        ("distance", "Landing distance from 50 ft", answer.distance_m, "ft"),
    )
    for name, label, value, unit in figures:
        if value is not None:
            writer.put(f"{key}.{name}", label, value, unit, method=STOPPED, inputs=drivers, source=source)


def _share(mission: Mission, kind: str) -> tuple[float, str]:
    """Return the strictest share of the runway the rules allow a landing there, and where it is from."""
    found = [
        (float(rule.parameters["runway share"]), f"rule {rule.ident}: {rule.source} ({rule.provenance})")
        for rule in mission.rules.rules
        if rule.check == LANDING_CHECK and rule.parameters.get("place") == kind
    ]
    return min(found, default=(1.0, "the runway itself; the rule set gives no share"))


def _write_greatest(
    mission: Mission, use: RunwayUse, fields: FieldPerformance, share: float, source: str, writer: LedgerWriter
) -> None:
    limit_m = share * use.runway.length_m
    structural_kg = mission.aircraft.balance.limits.landing_kg
    from_kg, to_kg = fields.mass_range_kg("landing")
    greatest_kg = greatest_mass(
        lambda mass: fields.landing(mass, use.strip).distance_m / limit_m,
        max(mission.individual.basic_mass_kg, from_kg),
        min(structural_kg, to_kg),
    )
    greatest = put_weight(
        writer, f"{use.key}.greatest_mass", "Greatest landing weight for this field", greatest_kg,
        method=SEARCHED, inputs=(*conditions_of(use)[1:], f"{use.key}.available"), source=source,
    )  # fmt: skip
    if greatest_kg is not None:
        writer.put(
            f"{use.key}.mass_margin", "Landing weight in hand", rounded_down(greatest_kg) - use.mass_kg, "lb",
            method="greatest weight less weight", inputs=(greatest, f"{use.key}.mass"),
        )  # fmt: skip
        writer.foot(f"{use.key}.mass_margin", (greatest,), (f"{use.key}.mass",))
