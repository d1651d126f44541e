"""What the crew should know beside the distances: a little more of anything, the tail, and an engine failing."""

from __future__ import annotations

import math
from dataclasses import replace

from briefgen.kernel.constants import KT_M_PER_S
from briefgen.model.ledger import Column, Row
from briefgen.model.plan import Event
from briefgen.planning.ledger.writer import AIRSPEED, LedgerWriter
from briefgen.planning.sections.fields.take_off import SUMMED, conditions_of, put_distance
from briefgen.planning.sections.fields.take_off_limits import TakeOffLimits

CHANGE_OF_WEIGHT = 0.05
CHANGE_OF_TEMPERATURE_K = 5.0
CHANGE_OF_WIND_M_PER_S = 5.0 * KT_M_PER_S
SOFT = ("soft", "mud", "wet grass", "slush")  # surfaces on which wheel drag makes holding the tail down worth most


def write_advice(limits: TakeOffLimits, begins_key: str, phase: str, writer: LedgerWriter) -> tuple[Event, ...]:
    """Enter the advice on one take-off, and return the calls of its run as an event."""
    _write_changes(limits, writer)
    _write_attitudes(limits, writer)
    _write_gradients(limits, writer)
    return _calls(limits, begins_key, phase, writer)


def _write_changes(limits: TakeOffLimits, writer: LedgerWriter) -> None:
    """Enter what a little more weight, warmth or wind from behind does to the run: the slope of the answer."""
    if limits.impossible:
        return
    use, fields, base = limits.use, limits.fields, limits.answer
    drivers = conditions_of(use)
    warmer = replace(
        use.strip, air=replace(use.strip.air, temperature_k=use.strip.air.temperature_k + CHANGE_OF_TEMPERATURE_K)
    )
    less_wind = replace(use.strip, headwind_m_per_s=use.strip.headwind_m_per_s - CHANGE_OF_WIND_M_PER_S)
    changes = (
        ("weight", "5 % more weight", fields.take_off((1.0 + CHANGE_OF_WEIGHT) * use.mass_kg, use.strip)),
        ("temperature", "5 °C warmer", fields.take_off(use.mass_kg, warmer)),
        ("wind", "5 kt less head wind", fields.take_off(use.mass_kg, less_wind)),
    )
    rows = []
    for name, title, answer in changes:
        key = f"{use.key}.change.{name}"
        how = {"method": "the take-off worked out again with the change", "inputs": drivers, "source": fields.source}
        cells = {
            "what": writer.put(f"{key}.title", "Change", title, method="name of the change"),
            "ground_run": put_distance(writer, f"{key}.ground_run", f"Ground run, {title}: more by", answer.ground_run_m - base.ground_run_m, **how),
            "distance": put_distance(writer, f"{key}.distance", f"To 50 ft, {title}: more by", answer.distance_m - base.distance_m, **how),
        }  # fmt: skip
        rows.append(Row(title, cells))
    columns = (
        Column("what", "If"),
        Column("ground_run", "Ground run more by", "ft"),
        Column("distance", "To 50 ft more by", "ft"),
    )
    writer.table("fields.changes", "What a little more does", columns, rows)


def _write_attitudes(limits: TakeOffLimits, writer: LedgerWriter) -> None:
    """Enter the run of a tail-wheel aircraft with the tail held down and with the tail raised early."""
    use, fields = limits.use, limits.fields
    if len(fields.attitudes) < 2:
        return
    rows, runs_m = [], []
    for attitude in fields.attitudes:
        key = f"{use.key}.{attitude.replace(' ', '_')}"
        answer = fields.take_off(use.mass_kg, use.strip, attitude)
        runs_m.append(answer.ground_run_m)
        how = {"method": SUMMED, "inputs": conditions_of(use), "source": fields.source}
        cells = {
            "what": writer.put(f"{key}.title", "Attitude", f"{attitude} all the way", method="name of the attitude"),
            "ground_run": put_distance(writer, f"{key}.ground_run", f"Ground run, {attitude}", answer.ground_run_m, **how),
            "distance": put_distance(writer, f"{key}.distance", f"To 50 ft, {attitude}", answer.distance_m, **how),
        }  # fmt: skip
        if answer.unstick_ias_m_per_s is not None:
            cells["ias"] = writer.put(
                f"{key}.unstick_ias", f"Unstick speed, {attitude}", answer.unstick_ias_m_per_s, AIRSPEED, method=SUMMED,
                inputs=conditions_of(use), source=fields.source,
            )  # fmt: skip
        rows.append(Row(attitude, cells))
    columns = (Column("what", "Attitude"), Column("ias", "Unstick", AIRSPEED), Column("ground_run", "Ground run", "ft"),
               Column("distance", "To 50 ft", "ft"))  # fmt: skip
    writer.table("fields.attitudes", "Tail down or raised", columns, rows, _tail_note(limits, runs_m, writer))


def _tail_note(limits: TakeOffLimits, runs_m: list[float], writer: LedgerWriter) -> str:
    key = limits.use.key
    down_m, raised_m = runs_m
    if math.isinf(raised_m):
        return (
            "" if math.isinf(down_m) else "With the tail raised early she does not leave the ground here: hold it down."
        )
    longer = writer.put(
        f"{key}.tail_raised.longer", "Longer run with the tail raised early", raised_m - down_m, "ft",
        method="ground run with the tail raised less that with it held down",
        inputs=(f"{key}.tail_raised.ground_run", f"{key}.tail_down.ground_run"),
    )  # fmt: skip
    surface = writer[f"{key}.surface"].value
    hold = " Hold it down until she flies off." if surface in SOFT else ""
    return f"Raising the tail early and keeping it up costs {{{longer}}} of run.{hold}"


def _write_gradients(limits: TakeOffLimits, writer: LedgerWriter) -> None:
    """Enter the climb beyond 50 ft, with all engines and with one failed."""
    key, answer = limits.use.key, limits.answer
    drivers, source = conditions_of(limits.use), limits.fields.source
    gradients = (
        ("gradient", "Climb gradient beyond 50 ft, all engines", answer.gradient_ratio),
        (
            "failed_gradient",
            "Climb gradient beyond 50 ft, an engine windmilling, gear down",
            answer.failed_gradient_ratio,
        ),
    )
    for name, label, value in gradients:
        if value is not None:
            writer.put(f"{key}.{name}", label, value, "%", decimals=1, method=SUMMED, inputs=drivers, source=source)


def _calls(limits: TakeOffLimits, begins_key: str, phase: str, writer: LedgerWriter) -> tuple[Event, ...]:
    """Return the speeds the co-pilot calls on the run."""
    key = limits.use.key
    named = (("critical_ias", "engine-failure speed"), ("unstick_ias", "unstick"), ("safe_ias", "safe"))
    calls = ", ".join(f"{words} {{{key}.{name}}}" for name, words in named if f"{key}.{name}" in writer)
    if not calls or begins_key not in writer:
        return ()
    text = f"Calls on the run: {calls}"
    if f"{key}.engine_failure" in writer:
        text += f". An engine fails: {{{key}.engine_failure}}"
    if f"{key}.stop_fits_ias" in writer:
        text += f"; a stop fits the runway up to {{{key}.stop_fits_ias}}"
    return (Event(begins_key, "call", phase, ("captain", "co-pilot"), text, limits.use.place.ident),)
