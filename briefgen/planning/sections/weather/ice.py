"""What the crew is told of cloud and ice: at the minute it begins, and once in the review."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from briefgen.model.mission import Mission
from briefgen.model.plan import Event, Finding, FindingPage, Phase
from briefgen.model.record import Ref
from briefgen.planning.sections.basis.phases import PhaseFigures
from briefgen.planning.sections.weather.legs import LegWeather
from briefgen.weather.hazards import AIRFRAME_SOURCE, CARBURETTOR_SOURCE, AirframeIce, CarburettorIce

PAGE: FindingPage = "weather"


def ice_events(mission: Mission, legs: Sequence[LegWeather]) -> Iterator[Event]:
    """Yield what is to be done about ice, at the minute at which each worse or milder state of it begins."""
    worst_before = CarburettorIce.OUTSIDE, AirframeIce.DRY
    for leg in legs:
        worst = leg.met.carburettor, leg.met.airframe
        if worst != worst_before:
            yield from _events(mission, leg)
        worst_before = worst


def levers_against_ice(mission: Mission, phase: Phase) -> str:
    """Return in words the levers that are set against carburettor ice in a phase, empty where the file sets none in it."""
    settings = [setting for _, setting in phase.settings if setting.air.icing]
    named = {setting.phase for setting in settings} & {*mission.aircraft.carburettor_ice.phases}
    if not named:
        return ""
    words = [
        f"{lever} {position}"
        for lever, position in (
            ("intercooler", settings[0].intercooler),
            ("carburettor heat", settings[0].carburettor_heat),
            ("filters", settings[0].filters if mission.aircraft.carburettor_ice.filters else None),
        )
        if position is not None
    ]
    return ", ".join(words)


def _events(mission: Mission, leg: LegWeather) -> Iterator[Event]:
    air, ident = PhaseFigures.temperature.of(leg.flown), leg.flown.phase.ident
    airframe, carburettor = LegWeather.airframe_ice_from.of(leg), LegWeather.carburettor_ice_from.of(leg)
    if airframe.there:
        yield Event(
            airframe.key, "action", ident, ("captain", "co-pilot", "flight engineer"),
            f"Airframe ice possible: cloud at {air}; de-icers ready, leave the cloud or the level",
        )  # fmt: skip
    if carburettor.there:
        levers = levers_against_ice(mission, leg.flown.phase)
        yield Event(
            carburettor.key, "action", ident, ("captain", "flight engineer"),
            f"Carburettor ice likely: {LegWeather.cloud.of(leg)} at {air}; "
            f"{levers or 'levers as this phase has them, watch manifold pressure'}",
        )  # fmt: skip


def ice_findings(mission: Mission, legs: Sequence[LegWeather]) -> Iterator[Finding]:
    """Yield a caution for each kind of ice that is met, at its first phase, and for every hold inside cloud."""
    likely = [one for one in legs if one.met.carburettor is CarburettorIce.LIKELY]
    exposed = [one for one in legs if one.met.airframe is AirframeIce.EXPOSED]
    if likely:
        levers = next(filter(None, (levers_against_ice(mission, one.flown.phase) for one in likely)), "")
        cure = f"{levers or 'no lever is set against it'}: {_counted(mission, levers)}; or stay out of the cloud"
        begins = LegWeather.carburettor_ice_from.of(likely[0])
        yield _caution("carburettor-ice", "Carburettor ice", likely, begins, CARBURETTOR_SOURCE, cure)
    if exposed:
        begins = LegWeather.airframe_ice_from.of(exposed[0])
        cure = "fly clear of the cloud or warmer, and have the de-icers ready"
        yield _caution("airframe-ice", "Airframe ice", exposed, begins, AIRFRAME_SOURCE, cure)
    for leg in legs:
        begins = LegWeather.cloud_from.of(leg)
        if leg.flown.phase.kind == "hold" and begins.there:
            cure = "hold above or below it, or plan the hold on instruments"
            source = "the altitudes of the phase against the cloud"
            yield _caution(f"hold-in-cloud-{leg.flown.phase.ident}", "Hold in cloud", [leg], begins, source, cure)


def _counted(mission: Mission, levers: str) -> str:
    if mission.aircraft.model is None:
        return "the charts are made without warm air, and manifold pressure and fuel will be worse than planned"
    return "manifold pressure, power in hand and fuel are planned so" if levers else "the plan counts no warm air"


def _caution(ident: str, title: str, legs: Sequence[LegWeather], begins: Ref, source: str, cure: str) -> Finding:
    first = legs[0]
    air, cloud = PhaseFigures.temperature.of(first.flown), LegWeather.cloud.of(first)
    more = f"; {len(legs)} phases in all" if len(legs) > 1 else ""
    text = f"{first.title}: {cloud} at {air}, from {begins}{more}."
    return Finding(ident, "caution", title, text, cloud.key, air.key, begins.key, source, cure, PAGE)
