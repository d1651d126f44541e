"""The balance of every moment of the flight as entries and a table, and the most adverse moment by name."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from briefgen.errors import OutOfRangeError
from briefgen.kernel.balance import chord_ratio
from briefgen.kernel.constants import LB_KG
from briefgen.kernel.envelope import AFT_LIMIT, FORWARD_LIMIT
from briefgen.kernel.interpolate import Axis
from briefgen.kernel.interpolate import Curve as KernelCurve
from briefgen.model.ledger import Column, Row
from briefgen.model.mission import Mission
from briefgen.model.plan import Finding
from briefgen.planning.ledger import subjects
from briefgen.planning.ledger.keys import phase_key
from briefgen.planning.ledger.subjects import CENTRE_OF_GRAVITY
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.load.conditions import Condition, Weighed, most_adverse, position
from briefgen.planning.load.pieces import Piece

LEVER = "FAA-H-8083-1, chapter 2"
ADVERSE = "balance.most_adverse"
PAGE = "balance"
ENVELOPES = "aircraft file, envelopes"
STATES = {"zero_fuel": "zero fuel", "ramp": "ramp", "take_off": "take-off", "landing": "landing"}
LIMITS = {"zero_fuel": "zero fuel", "ramp": "ramp", "take_off": "take-off"}
WRITTEN_BEFORE = {  # mass and fuel of the moments that the inputs enter
    "zero_fuel": ("mass.zero_fuel", ""),
    "ramp": ("mass.ramp", "fuel.ramp"),
}
COLUMNS = (
    Column("moment", "Moment"),
    Column("mass", "Weight", "lb"),
    Column("fuel", "Fuel", "lb"),
    Column("cg", "CG", "in"),
    Column("cg_mac", "CG", "% MAC"),
    Column("lateral", "Lateral CG", "in"),
    Column("forward_margin", "To fwd limit", "in"),
    Column("aft_margin", "To aft limit", "in"),
    Column("nearest", "Nearest"),
)


def write_states(
    mission: Mission, moments: Sequence[Condition], weighed: Sequence[Weighed], pieces: Sequence[Piece],
    masses: Mapping[str, str], writer: LedgerWriter,
) -> list[Finding]:  # fmt: skip
    """Enter mass, centre of gravity and margins of every moment; return the findings on them."""
    rows = []
    adverse = most_adverse(weighed)
    for moment, state in zip(moments, weighed, strict=True):
        cells = _write_mass(mission, moment, state, pieces, masses, writer)
        aboard = [piece.key for piece in pieces if position(mission.aircraft, piece, moment) is not None]
        cells |= _write_centre(mission, (moment, state), cells, aboard, writer)
        mark = "adverse" if moment is moments[adverse] else {"door": "drop", "failure": "failure"}.get(moment.kind, "")
        rows.append(Row(moment.key, cells, mark))
    note = (
        "Limits of the envelope that holds at the moment: take-off and landing at ramp, take-off and every landing, "
        "flight elsewhere. A load going aft to its door is between the moments before and at the door."
    )
    writer.table("balance.states", "Balance through the flight", COLUMNS, rows, note)
    for name in ("take_off", "landing"):
        if f"mass.{name}" not in writer:
            _write_same_mass(name, writer)
    findings = [_write_most_adverse(moments[adverse], weighed[adverse], writer)]
    findings += _mass_findings(moments, weighed, writer)
    return findings + _write_trim(mission, writer)


def _write_same_mass(name: str, writer: LedgerWriter) -> None:
    label = {"take_off": "Take-off weight", "landing": "Landing weight"}[name]
    origin = writer.tables["balance.states"].rows[_row_index(writer, name)].cells["mass"]
    writer.put(f"mass.{name}", label, writer.number(origin), "lb", method="log of the flight", inputs=(origin,))
    writer.foot(f"mass.{name}", (origin,))


def _row_index(writer: LedgerWriter, name: str) -> int:
    return [row.name for row in writer.tables["balance.states"].rows].index(name)


def _write_mass(
    mission: Mission, moment: Condition, state: Weighed, pieces: Sequence[Piece], masses: Mapping[str, str],
    writer: LedgerWriter,
) -> dict[str, str]:  # fmt: skip
    """Return the entries of name, fuel and mass; figures the log of the flight already has are used again."""
    key = f"balance.{moment.key}"
    cells = {"moment": writer.put(f"{key}.moment_name", "Moment of the flight", moment.title, method="in flight order")}
    logged_mass, logged_fuel = _log_keys(moment)
    if any(moment.tanks_m3.values()):
        cells["fuel"] = logged_fuel if logged_fuel in writer else writer.put(
            f"{key}.fuel", f"{moment.title}: fuel", state.fuel_kg, "lb", method="contents of the tanks times density",
            inputs=tuple(name for name in ("fuel.ramp", "fuel.density") if name in writer),
        )  # fmt: skip
    if logged_mass in writer:
        return {**cells, "mass": logged_mass}
    aboard = tuple(
        masses[piece.key] for piece in pieces if position(mission.aircraft, piece, moment) is not None
    )  # fmt: skip
    parts = (*aboard, *([cells["fuel"]] if "fuel" in cells else []))
    cells["mass"] = writer.put(
        f"{key}.mass", f"{moment.title}: weight", state.mass_kg, "lb", method="sum of what is aboard and the fuel",
        inputs=parts,
    )  # fmt: skip
    writer.foot(cells["mass"], parts)
    return cells


def _log_keys(moment: Condition) -> tuple[str, str]:
    """Return the keys under which the inputs or the log of the flight have the mass and the fuel of a moment."""
    if moment.key in WRITTEN_BEFORE:
        return WRITTEN_BEFORE[moment.key]
    phase = phase_key(moment.logged_at)
    return f"{phase}.{'mass_after' if moment.load_left else 'mass'}", f"{phase}.fuel_remaining"


def _write_centre(
    mission: Mission, weighed: tuple[Condition, Weighed], cells: Mapping[str, str], aboard: Sequence[str],
    writer: LedgerWriter,
) -> dict[str, str]:  # fmt: skip
    moment, state = weighed
    key, title = f"balance.{moment.key}", moment.title
    balance = mission.aircraft.balance
    if f"{key}.moment" not in writer:
        writer.put(
            f"{key}.moment", f"{title}: moment", state.moment_kg_m, "lb in",
            method="moments of what is aboard, of the load where it then stands, and of the fuel in each tank",
            inputs=(*(f"station.{name}.moment" for name in aboard), *([cells["fuel"]] if "fuel" in cells else [])),
            source=LEVER,
        )  # fmt: skip
    lateral = writer.put(
        f"{key}.lateral_moment", f"{title}: lateral moment", state.lateral_moment_kg_m, "lb in",
        method="weight times lateral arm of what is aboard, of the load where it then stands and of the fuel in each tank",
        inputs=tuple(f"station.{name}.lateral" for name in aboard), source=LEVER,
    )  # fmt: skip
    cg = writer.put(
        f"{key}.cg", f"{title}: centre of gravity", state.arm_m, "in", decimals=1, method="moment over weight",
        inputs=(f"{key}.moment", cells["mass"]), source=LEVER,
    )  # fmt: skip
    found = {
        "cg": cg,
        "cg_mac": writer.put(
            f"{key}.cg_mac", f"{title}: centre of gravity",
            chord_ratio(state.arm_m, balance.chord_leading_edge_arm_m, balance.chord_m), "% MAC", decimals=1,
            method="arm less leading edge, over the chord", inputs=(cg, "balance.leading_edge", "balance.chord"),
            source="FAA-H-8083-1A, chapter 3",
        ),
        "lateral": writer.put(
            f"{key}.lateral", f"{title}: lateral centre of gravity", state.lateral_arm_m, "in", decimals=1,
            method="lateral moment over weight, right positive", inputs=(lateral, cells["mass"]), source=LEVER,
        ),
    }  # fmt: skip
    return found | _write_margins(moment, state, cg, cells["mass"], writer)


def _write_margins(moment: Condition, state: Weighed, cg: str, mass: str, writer: LedgerWriter) -> dict[str, str]:
    if state.margins is None:
        return {}
    key, margins = f"balance.{moment.key}", state.margins
    found = {
        "nearest": writer.put(f"{key}.nearest", f"{moment.title}: nearest limit", margins.nearest, method="envelope")
    }
    for name, value_m in (("forward", margins.forward_m), ("aft", margins.aft_m)):
        if value_m is None:
            continue
        limit_m = state.arm_m - value_m if name == "forward" else state.arm_m + value_m
        limit = writer.put(
            f"{key}.{name}_limit", f"{moment.title}: {name} limit", limit_m, "in", decimals=1,
            method=f"envelope '{moment.envelope}' at this weight", inputs=(mass,),
        )  # fmt: skip
        margin = writer.put(
            f"{key}.{name}_margin", f"{moment.title}: distance to the {name} limit", value_m, "in", decimals=1,
            method="centre of gravity against the limit", inputs=(cg, limit),
        )  # fmt: skip
        writer.foot(margin, *(((cg,), (limit,)) if name == "forward" else ((limit,), (cg,))))
        found[f"{name}_margin"] = margin
    return found


def _write_most_adverse(moment: Condition, state: Weighed, writer: LedgerWriter) -> Finding:
    origin, margins = f"balance.{moment.key}", state.margins
    assert margins is not None
    writer.put(f"{ADVERSE}.moment_name", "Most adverse moment", moment.title, method="least distance to a limit")
    writer.put(f"{ADVERSE}.nearest", "Limit nearest to it", margins.nearest, method="least distance to a limit")
    side = {FORWARD_LIMIT: "forward", AFT_LIMIT: "aft"}.get(margins.nearest)
    outcome = "pass" if margins.inside else "fail"
    title = "Centre of gravity"
    if side is None:
        row = writer.tables["balance.states"].rows[_row_index(writer, moment.key)]
        text = f"{moment.title}: the weight {{{row.cells['mass']}}} is outside the envelope ({margins.nearest})."
        keys = (row.cells["mass"], f"{ADVERSE}.nearest", f"{ADVERSE}.nearest")
        return Finding("balance.envelope", outcome, title, text, *keys, ENVELOPES, "", PAGE, CENTRE_OF_GRAVITY)
    for name, label, unit in (
        ("cg", "centre of gravity", "in"),
        ("cg_mac", "centre of gravity", "% MAC"),
        ("forward_margin", "distance to the forward limit", "in"),
        ("aft_margin", "distance to the aft limit", "in"),
    ):
        here = f"{origin}.{name}"
        entry = writer.put(
            f"{ADVERSE}.{name}", f"Most adverse moment: {label}", writer.number(here), unit, decimals=1,
            method=f"that of: {moment.title}", inputs=(here,),
        )  # fmt: skip
        writer.foot(entry, (here,))
    where = f"{{{ADVERSE}.{side}_margin}} inside" if margins.inside else f"outside by {{{ADVERSE}.outside}}:"
    if not margins.inside:
        _write_outside(origin, side, writer)
    text = f"{moment.title}: the centre of gravity is at {{{ADVERSE}.cg}}, {where} the {margins.nearest}. No moment is worse."
    keys = (f"{origin}.cg", f"{origin}.{side}_limit", f"{origin}.{side}_margin")
    return Finding("balance.envelope", outcome, title, text, *keys, ENVELOPES, "", PAGE, CENTRE_OF_GRAVITY)


def _write_outside(origin: str, side: str, writer: LedgerWriter) -> None:
    """Enter how far the centre of gravity is outside a limit, as a positive figure."""
    margin, cg, limit = (f"{origin}.{name}" for name in (f"{side}_margin", "cg", f"{side}_limit"))
    key = writer.put(
        f"{ADVERSE}.outside", f"Most adverse moment: outside the {side} limit by", -writer.number(margin), "in", decimals=1,
        method="margin without its sign", inputs=(margin,),
    )  # fmt: skip
    writer.foot(key, *(((limit,), (cg,)) if side == "forward" else ((cg,), (limit,))))


def _mass_findings(moments: Sequence[Condition], weighed: Sequence[Weighed], writer: LedgerWriter) -> list[Finding]:
    """Return the moments whose mass is over a limit of the aircraft file, and the heaviest failure to drop."""
    rows = {row.name: row for row in writer.tables["balance.states"].rows}
    limited = [(m, s) for m, s in zip(moments, weighed, strict=True) if m.limit_kg is not None]
    failures = [(m, s) for m, s in limited if m.kind == "failure"]
    shown = [max(failures, key=lambda pair: pair[1].mass_kg)] if failures else []
    shown += [(m, s) for m, s in limited if m.kind != "failure" and s.mass_kg > (m.limit_kg or 0.0)]
    findings = []
    for moment, state in shown:
        assert moment.limit_kg is not None
        key, mass = f"balance.{moment.key}", rows[moment.key].cells["mass"]
        limit = writer.given(
            f"{key}.mass_limit", f"{moment.title}: greatest weight", moment.limit_kg, "lb",
            spec=f"aircraft:balance.limits.{LIMITS.get(moment.key, 'landing')}",
        )  # fmt: skip
        margin = writer.put(
            f"{key}.mass_margin", f"{moment.title}: weight in hand", moment.limit_kg - state.mass_kg, "lb",
            method="limit less weight", inputs=(limit, mass),
        )  # fmt: skip
        writer.foot(margin, (limit,), (mass,))
        over_kg, cure, end = state.mass_kg - moment.limit_kg, "", f": {{{margin}}} in hand."
        if over_kg > 0.0:
            over = writer.put(
                f"{key}.mass_over", f"{moment.title}: over the limit by", math.ceil(over_kg / LB_KG - 1e-9) * LB_KG, "lb",
                method="weight less limit, rounded up to the pound", inputs=(mass, limit),
            )  # fmt: skip
            cure, end = f"leave {{{over}}} behind", "."
        findings.append(
            Finding(
                f"balance.mass.{moment.key}",
                "pass" if state.mass_kg <= moment.limit_kg else "fail",
                f"Weight: {moment.title}",
                f"She weighs {{{mass}}} with the fuel as planned then; at most {{{limit}}} allowed{end}",
                mass,
                limit,
                margin,
                "aircraft file, weight limits",
                cure,
                PAGE,
                subjects.mass(STATES[moment.key]) if moment.key in STATES else "",
            )
        )
    return findings


def _write_trim(mission: Mission, writer: LedgerWriter) -> list[Finding]:
    """Enter the trim for take-off and landing where the aircraft file has a table; outside it, say so."""
    trim = mission.aircraft.balance.trim
    if trim is None:
        return []
    curve = KernelCurve(Axis("centre of gravity", "of the chord", trim.x), "trim", "deg", trim.y)
    rows, findings = [], []
    for name, title in (("take_off", "Take-off"), ("landing", "Landing")):
        origin = f"balance.{name}.cg_mac"
        try:
            value = curve.at(writer.number(origin))
        except OutOfRangeError:
            text = (
                f"The trim table of the aircraft file ends short of {{{origin}}}, where the centre of gravity is at "
                f"{title.lower()}: the trim to set is not known."
            )
            findings.append(
                Finding(f"balance.trim.{name}", "caution", f"Trim for {title.lower()}", text, origin, origin, origin,
                        "aircraft file, trim", f"bring the centre of gravity to {100 * trim.x[0]:.1f} to {100 * trim.x[-1]:.1f} % MAC",
                        PAGE)
            )  # fmt: skip
            continue
        cell = writer.put(
            f"balance.trim.{name}", f"{title}: trim, nose up positive", value, "deg", decimals=1,
            method="trim table of the aircraft file", inputs=(origin,), source=mission.aircraft.name,
        )  # fmt: skip
        moment = f"balance.{name}.moment_name"
        rows.append(Row(name, {"moment": moment, "cg_mac": origin, "trim": cell}))
    columns = (Column("moment", "Moment"), Column("cg_mac", "CG", "% MAC"), Column("trim", "Trim, nose up", "deg"))
    if rows:
        writer.table("balance.trim", "Trim", columns, rows)
    return findings
