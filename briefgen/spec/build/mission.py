"""Checked files to a Mission: every name looked up, every quantity in SI, every time in UTC."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from briefgen.frozen import dataclass
from briefgen.model.aircraft import Aircraft
from briefgen.model.bench import Variation
from briefgen.model.ledger import Given
from briefgen.model.mission import (
    Action,
    Alternate,
    Contingency,
    CrewCall,
    CrewMember,
    EnginesStopped,
    Frequency,
    FuelLoad,
    Height,
    HeightChange,
    Hold,
    Leg,
    LoadItem,
    Mission,
    OverTarget,
    Pattern,
    People,
    Risk,
    Route,
    RouteItem,
    Run,
    SourceFile,
    Times,
    WindFading,
)
from briefgen.model.performance import (
    BestEndurance,
    BestRange,
    GivenSetting,
    IndicatedAirspeed,
    LongRange,
    PercentPower,
    SpeedTarget,
    TrueAirspeed,
)
from briefgen.model.places import Place, Terrain
from briefgen.model.rules import RuleSet
from briefgen.model.weather import Weather
from briefgen.spec.build.uncertainty import build_uncertainty
from briefgen.spec.tree.reader import Reader
from briefgen.spec.words.phrases import FROM_TERRAIN, Size
from briefgen.spec.words.times import WrittenTime, instant
from briefgen.units import Quantity

PLACE_IT = "place it"
FUEL_KINDS = {"by tank": "by tank", "at ramp": "at ramp", "as required plus": "as required", "add": "add"}
PATTERNS = ("creeping line", "expanding square")
_TARGETS = (LongRange, BestRange, BestEndurance, IndicatedAirspeed, TrueAirspeed, PercentPower, GivenSetting)


@dataclass(frozen=True)
class Parts:
    """What a mission refers to, already built, and where everything was written."""

    aircraft: Aircraft
    places: Mapping[str, Place]
    weather: Weather
    rules: RuleSet
    given: Mapping[str, Given]
    digest: str
    terrain: Terrain | None = None
    files: tuple[SourceFile, ...] = ()
    variations: tuple[Variation, ...] = ()


def build_mission(reader: Reader, parts: Parts) -> Mission:
    """Return the mission of checked files without faults."""
    individual = reader.at("aircraft").text("individual")
    return Mission(
        name=reader.text("name"),
        number=reader.text("number"),
        revision=reader.data["revision"],
        operator=reader.text("operator"),
        purpose=reader.text("purpose"),
        aircraft=parts.aircraft,
        individual=next(one for one in parts.aircraft.individuals if one.registration == individual),
        fuel_grade=reader.at("aircraft").text("fuel grade"),
        crew=_crew(reader),
        times=_times(reader.at("times"), parts.places),
        fuel=_fuel(reader, parts.aircraft),
        items=tuple(_item(item) for item in reader.at("load").each("items")),
        people=tuple(_people(one) for one in reader.at("load").each("people")),
        weather=parts.weather,
        route=_route(reader.at("route"), parts.places),
        alternates=tuple(_alternate(one, parts.places) for one in reader.each("alternates")),
        en_route=tuple(_alternate(one, parts.places) for one in reader.each("en route alternates")),
        contingencies=_contingencies(reader),
        risks=tuple(_risk(one) for one in reader.each("risks")),
        frequencies=tuple(
            Frequency(one.text("who"), one.text("where"), one.si("frequency"), one.text_or("remarks", ""))
            for one in reader.each("frequencies")
        ),
        calls=tuple(CrewCall(one.text("at"), one.text("position"), one.text("says")) for one in reader.each("calls")),
        briefing={section: reader.at("briefing").text(section) for section in reader.data.get("briefing", ())},
        rules=parts.rules,
        places=tuple(parts.places.values()),
        given=parts.given,
        file=reader.checked.document.file,
        digest=parts.digest,
        files=parts.files,
        terrain=parts.terrain,
        fading=_fading(reader.at("found wind fades")) if "found wind fades" in reader else None,
        variations=parts.variations,
        uncertainty=build_uncertainty(reader),
    )


def _fading(reader: Reader) -> WindFading:
    return WindFading(reader.si("over"), reader.si("in"), reader.text("source"))


def _contingencies(reader: Reader) -> tuple[Contingency, ...]:
    return tuple(Contingency(one.text("what"), one.text("then")) for one in reader.each("what can go wrong"))


def fuel_density(aircraft: Aircraft, grade: str) -> float | None:
    """Return the density [kg/m3] the aircraft file gives for a grade, None if the grade is not cleared."""
    grades = aircraft.model.fuel_grades if aircraft.model else aircraft.charts.fuel_grades if aircraft.charts else ()
    return next((one.density_kg_per_m3 for one in grades if one.name == grade), None)


def _crew(reader: Reader) -> tuple[CrewMember, ...]:
    crew = reader.at("crew")
    return tuple(
        CrewMember(position, crew.at(position).text("name"), crew.at(position).si_or_none("mass"))
        if isinstance(entry, dict)
        else CrewMember(position, crew.text(position))
        for position, entry in crew.data.items()
    )


def _times(reader: Reader, places: Mapping[str, Place]) -> Times:
    zone = reader.value("zone", str)
    take_off = reader.value_or_none("take-off at", WrittenTime)
    over = reader.at("over target") if "over target" in reader else None
    points = reader.each("timed points")
    return Times(
        zone=zone,
        take_off=instant(take_off, zone) if take_off else None,
        over_target=_timed(over, places, zone) if over else None,
        timed_points=tuple(_timed(point, places, zone) for point in points),
        briefing_before_stations_s=reader.si("briefing before stations"),
        stations_before_start_s=reader.si("stations before start"),
        start_s=reader.si("start"),
        taxi_out_s=reader.si("taxi out"),
        run_up_s=reader.si("run-up"),
        take_off_lasts_s=reader.si("take-off lasts"),
        first_reduction_height_m=reader.si("first reduction"),
        approach_s=reader.si("approach"),
        taxi_in_s=reader.si("taxi in"),
        shutdown_s=reader.si("shutdown"),
    )


def _timed(reader: Reader, places: Mapping[str, Place], zone: str) -> OverTarget:
    when = instant(reader.value("time", WrittenTime), zone)
    return OverTarget(places[reader.text("at")], when, reader.si("window"), reader.si_or_none("bank"))


def fuel_volume_m3(group: Reader, key: str, density_kg_per_m3: float) -> float:
    """Return fuel written as a volume or a mass as a volume [m3]."""
    fuel = group.value(key, Quantity)
    return fuel.si_value / density_kg_per_m3 if fuel.dimension == "mass" else fuel.si_value


def _fuel(mission: Reader, aircraft: Aircraft) -> FuelLoad:
    reader = mission.at("load", "fuel")
    grade_density = fuel_density(aircraft, mission.at("aircraft").text("fuel grade"))
    density = reader.si_or_none("density") or grade_density
    assert density is not None

    def volume(group: Reader, key: str) -> float:
        return fuel_volume_m3(group, key, density)

    by_tank = reader.at("by tank") if "by tank" in reader else None
    kind = next(kind for key, kind in FUEL_KINDS.items() if key in reader)
    tanks = {tank: volume(by_tank, tank) for tank in by_tank.data} if by_tank else {}
    return FuelLoad(
        kind=kind,
        volume_m3=volume(reader, kind)
        if kind in ("at ramp", "add")
        else math.fsum(tanks.values())
        if by_tank
        else None,
        by_tank_m3=tanks,
        extra_m3=volume(reader, "as required plus") if kind == "as required" else 0.0,
        density_kg_per_m3=density,
        density_temperature_k=reader.si_or_none("density at"),
        temperature_k=reader.si_or_none("temperature"),
    )


def _item(reader: Reader) -> LoadItem:
    size = reader.value_or_none("size", Size)
    bay = reader.text("bay")
    return LoadItem(
        name=reader.text("name"),
        mass_kg=reader.si("mass"),
        bay=None if bay == PLACE_IT else bay,
        leaves=reader.text("leaves"),
        length_m=size.length_m if size else None,
        width_m=size.width_m if size else None,
        height_m=size.height_m if size else None,
        dangerous=reader.text("dangerous") if "dangerous" in reader else None,
        lateral_arm_m=reader.si_or_none("lateral arm"),
    )


def _people(reader: Reader) -> People:
    return People(reader.text("who"), reader.data["number"], reader.text("station"), reader.si_or_none("mass"))


def _route(reader: Reader, places: Mapping[str, Place]) -> Route:
    items: list[RouteItem] = []
    paths: list[str] = []
    for number, one in enumerate(reader.each("legs")):
        path = f"route.legs[{number}]"
        if one.text_or("do", "") in PATTERNS:
            before = items[-1]
            assert isinstance(before, Leg)
            items[-1] = replace(before, pattern=_pattern(one, path))
            continue
        items.append(_route_item(one, places))
        paths.append(path)
    return Route(
        origin=places[reader.text("from")],
        origin_runway=reader.text("runway"),
        items=tuple(items),
        destination=next(item.to for item in reversed(items) if isinstance(item, Leg)),
        destination_runway=reader.text("landing runway"),
        paths=tuple(paths),
        engines_stopped=_engines_stopped(reader.at("engines stopped")) if "engines stopped" in reader else None,
    )


def _engines_stopped(reader: Reader) -> EnginesStopped:
    return EnginesStopped(reader.text("from"), reader.text("engines"))


def _pattern(reader: Reader, path: str) -> Pattern:
    return Pattern(
        kind=reader.text("do"),
        course_deg=reader.si("course"),
        length_m=reader.si_or_none("length"),
        spacing_m=reader.si("spacing"),
        lines=reader.data["lines"],
        to_right=reader.text("turn") == "right",
        bank_deg=reader.si("bank"),
        height=reader.value("altitude", Height),
        cruise=_target(reader, "cruise"),
        safe_height_m=_safe_height(reader),
        safe_from_terrain=reader.text("safe altitude") == FROM_TERRAIN,
        path=path,
    )


def _route_item(reader: Reader, places: Mapping[str, Place]) -> RouteItem:
    if "do" not in reader:
        return _leg(reader, places)
    at, height = places[reader.text("at")], reader.value("altitude", Height)
    if reader.text("do") == "hold":
        target, bank_deg = _target(reader, "speed"), reader.si("bank")
        return Hold(
            at,
            height,
            reader.si("for"),
            target,
            bank_deg,
            reader.text_or("because", ""),
            reader.text_or("procedure", ""),
        )
    speed = reader.value("speed", IndicatedAirspeed)
    runs = tuple(_run(run) for run in reader.each("runs"))
    kind, configuration = reader.text("do"), reader.text_or("configuration", "clean")
    return Action(at, kind, height, speed.ias_m_per_s, runs, configuration, reader.text_or("procedure", ""))


def _run(run: Reader) -> Run:
    return Run(
        run.text_or("leaves", "") or None, run.si("lasts"), run.si_or_none("course"), run.si_or_none("falls at"), run.si_or_none("forward throw")
    )  # fmt: skip


def _leg(reader: Reader, places: Mapping[str, Place]) -> Leg:
    steps = tuple(HeightChange(one.si("after"), one.value("altitude", Height)) for one in reader.each("steps"))
    return Leg(
        to=places[reader.text("to")],
        height=reader.value("altitude", Height),
        cruise=_target(reader, "cruise"),
        safe_height_m=_safe_height(reader),
        safe_from_terrain=reader.text("safe altitude") == FROM_TERRAIN,
        track=reader.text_or("track", "geodesic"),
        changes=steps,
        remarks=reader.text_or("remarks", ""),
        procedure=reader.text_or("procedure", ""),
    )


def _safe_height(reader: Reader) -> float | None:
    return None if reader.text("safe altitude") == FROM_TERRAIN else reader.si_or_none("safe altitude")


def _target(reader: Reader, key: str) -> SpeedTarget:
    target = reader.checked.fields[(*reader.path, key)]
    assert isinstance(target, _TARGETS)
    return target


def _alternate(reader: Reader, places: Mapping[str, Place]) -> Alternate:
    return Alternate(
        place=places[reader.text("place")],
        runway=reader.text("runway"),
        height=reader.value("altitude", Height),
        cruise=_target(reader, "cruise"),
        safe_height_m=reader.si_or_none("safe altitude"),
        because=reader.text("because"),
        via=tuple(places[ident] for ident in reader.texts("via")),
        usable_from=reader.text_or("from", ""),
        usable_until=reader.text_or("until", ""),
        procedure=reader.text_or("procedure", ""),
    )


def _risk(reader: Reader) -> Risk:
    return Risk(
        what=reader.text("what"),
        severity=reader.text("severity"),
        probability=reader.text("probability"),
        mitigation=reader.text("mitigation"),
        residual=reader.text("residual"),
        owner=reader.text_or("owner", ""),
        accepted_by=reader.text_or("accepted by", ""),
    )
