"""With engines stopped: ceilings on fewer engines leg by leg, the setting at the height held, the drift down, the waiting."""

from __future__ import annotations

from briefgen.aircraft.interface import Performance
from briefgen.aircraft.words import height_words
from briefgen.model.ledger import Column, Row
from briefgen.model.mission import Mission
from briefgen.model.plan import ChartData, Event, Finding, Phase
from briefgen.planning.ledger.writer import AIRSPEED, LedgerWriter
from briefgen.planning.sections.engines_out.drift import drift_chart, write_drifts
from briefgen.planning.sections.engines_out.legs import (
    NONE,
    NOT_KNOWN,
    SERVICE_SOURCE,
    Fewer,
    Height,
    LegOut,
    begin_key,
    legs_out,
)
from briefgen.planning.sections.engines_out.setting import write_settings
from briefgen.planning.sections.engines_out.waiting import write_waiting

PAGE = "diversions"
COLUMNS = (
    Column("leg", "Leg"),
    Column("mass", "Weight", "lb"),
    Column("safe_height", "Safe height", "ft"),
    Column("height_held", "Held, one out", "ft"),
    Column("service_one", "One out: service", "ft"),
    Column("ceiling_one", "One out: absolute", "ft"),
    Column("climb_ias_one", "One out: climb at", AIRSPEED),
    Column("service_two", "Two out: service", "ft"),
    Column("ceiling_two", "Two out: absolute", "ft"),
    Column("climb_ias_two", "Two out: climb at", AIRSPEED),
)
NOTE = (
    "At the weight with which the level flight of the leg begins, in its own temperature, at climb power and the speed of "
    "the best climb, with the engines stopped that leave least. Service: 100 ft/min in hand. Held: the service "
    "ceiling, no higher than planned. Heights on the altimeter setting of the leg."
)


def write_engines_out(
    mission: Mission, phases: tuple[Phase, ...], writer: LedgerWriter, performance: Performance
) -> tuple[tuple[Event, ...], tuple[Finding, ...], dict[str, ChartData]]:
    """Enter what is left with engines stopped; return what the heights held say about the plan, and the drift down."""
    legs = legs_out(mission, phases, performance)
    rows = []
    for out in legs:
        _write_leg(out, writer)
        cells = {column.name: f"{out.key}.{column.name}" for column in COLUMNS}
        cells["safe_height"] = f"{out.leg_key}.safe_height"
        rows.append(Row(out.leg.to.name, {name: key for name, key in cells.items() if key in writer}))
    if rows:
        writer.table("engines_out", "Ceilings with engines stopped", COLUMNS, rows, NOTE)
    write_settings(mission, legs, performance, writer)
    drifts = write_drifts(mission, legs, performance, writer)
    write_waiting(mission, phases, performance, writer)
    return (), _findings(legs, writer), drift_chart(drifts)


def _write_leg(out: LegOut, writer: LedgerWriter) -> None:
    key, node, begins = out.key, out.node, (begin_key(out.phase),)
    to = f"Engines out, leg to {out.leg.to.name}"
    writer.put(f"{key}.leg", f"{to}: leg", out.leg.to.name, method="from the route as written")
    writer.put(f"{key}.mass", f"{to}: weight", node.mass_kg, "lb", method="as level flight begins", inputs=begins)
    writer.put(
        f"{key}.deviation", f"{to}: warmer than standard by", out.deviation_k, "degC diff",
        method="mean of the leg at its height; taken for the heights below it too", inputs=begins,
    )  # fmt: skip
    for fewer in out.fewer:
        stopped = f"{to}, {fewer.stopped} out"
        writer.put(
            f"{key}.engines_{fewer.stopped}", f"{stopped}: running", fewer.engines.name,
            method="the engine configuration of the aircraft file that climbs least", inputs=out.inputs,
        )  # fmt: skip
        inputs = (*out.inputs, f"{key}.engines_{fewer.stopped}")
        _put_height(out, f"service_{fewer.stopped}", f"{stopped}: service ceiling", fewer.service, inputs, writer)
        _put_height(out, f"ceiling_{fewer.stopped}", f"{stopped}: absolute ceiling", fewer.absolute, inputs, writer)
        if fewer.climb_ias_m_per_s is not None:
            writer.put(
                f"{key}.climb_ias_{fewer.stopped}", f"{stopped}: speed of the best climb", fewer.climb_ias_m_per_s, AIRSPEED,
                method="greatest rate of climb at climb power, no slower than minimum control and 1.2 of the stall",
                inputs=inputs,
            )  # fmt: skip
        _put_held(out, fewer, f"{stopped}: height held", writer)


def _put_height(
    out: LegOut, name: str, label: str, height: Height, inputs: tuple[str, ...], writer: LedgerWriter
) -> None:
    best = height.best
    if best is None:
        word = NONE if height.known else NOT_KNOWN
        writer.put(f"{out.key}.{name}", label, word, method=height.problem, inputs=inputs)
        return
    altitude_m = best.ceiling.pressure_altitude_m - out.setting_offset_m
    method = "highest altitude at which the rate of climb is met at the speed of the best climb"
    if best.ceiling.beyond_range:
        words = f"at least {height_words(altitude_m)}"
        method += "; the aircraft file ends there"
        writer.put(f"{out.key}.{name}", label, words, method=method, inputs=inputs, source=SERVICE_SOURCE)
    else:
        writer.put(f"{out.key}.{name}", label, altitude_m, "ft", method=method, inputs=inputs, source=SERVICE_SOURCE)


def held_key(out: LegOut, fewer: Fewer) -> str:
    """Return the key of the height held; with one engine stopped it stands in the tables without a number."""
    return f"{out.key}.height_held" if fewer.stopped == "one" else f"{out.key}.height_held_{fewer.stopped}"


def _put_held(out: LegOut, fewer: Fewer, label: str, writer: LedgerWriter) -> None:
    key, held_m = held_key(out, fewer), out.held_m(fewer)
    inputs = (f"{out.key}.service_{fewer.stopped}",)
    if held_m is None:
        writer.put(key, label, writer[inputs[0]].value, method=fewer.service.problem, inputs=inputs)
        return
    writer.put(
        key, label, held_m - out.setting_offset_m, "ft",
        method="service ceiling, no higher than the height of the leg", inputs=(*inputs, f"{out.leg_key}.height"),
    )  # fmt: skip


# --- what it says about the plan ------------------------------------------------------------------------------------


def _findings(legs: tuple[LegOut, ...], writer: LedgerWriter) -> tuple[Finding, ...]:
    """Return one finding for each number of engines stopped, for the leg with least in hand over its safe height."""
    found = []
    for index in range(max((len(out.fewer) for out in legs), default=0)):
        judged = [(out, out.fewer[index]) for out in legs if out.safe_m is not None and out.fewer[index].service.known]
        if judged:
            found.append(_finding(*min(judged, key=lambda pair: _in_hand(*pair)), writer))
    return tuple(found)


def _in_hand(out: LegOut, fewer: Fewer) -> float:
    """Return the service ceiling over the safe height [m]; where there is none, how far below it the sea is."""
    return (fewer.service.pressure_altitude_m or 0.0) - (out.safe_m or 0.0)


def _finding(out: LegOut, fewer: Fewer, writer: LedgerWriter) -> Finding:
    key, stopped, in_hand_m = out.key, fewer.stopped, _in_hand(out, fewer)
    service, limit, over = f"{key}.service_{stopped}", f"{out.leg_key}.safe_height", f"{key}.over_safe_{stopped}"
    engines = {"one": "One engine stopped", "two": "Two engines stopped"}[stopped]
    ident, title = f"engines-out-{stopped}", f"{engines}: service ceiling over the safe height"
    text = f"{engines} on the leg to {out.leg.to.name} at {{{key}.mass}} (running: {{{key}.engines_{stopped}}}): "
    if fewer.service.best is None:
        writer.put(over, title, NONE, method=fewer.service.problem, inputs=(service, limit))
        text += f"no height at which 100 ft/min is left; the safe height is {{{limit}}}."
    else:
        method = "service ceiling less the minimum safe altitude"
        writer.put(over, title, in_hand_m, "ft", method=method, inputs=(service, limit))
        text += f"service ceiling {{{service}}}, the safe height is {{{limit}}}."
        if in_hand_m >= 0.0:
            return Finding(ident, "pass", title, text, service, limit, over, SERVICE_SOURCE, "", PAGE)
    leave = f"{key}.must_leave_{stopped}"
    if isinstance(writer[leave].value, str):
        cure = f"route where the safe height is lower: {{{leave}}}"
    else:
        cure = f"start the leg lighter, or have {{{leave}}} ready to go overboard"
    return Finding(ident, "caution", title, text, service, limit, over, SERVICE_SOURCE, cure, PAGE)
