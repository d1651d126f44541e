"""An invented plan for the document tests: plausible figures typed by hand, so that no test of a page waits for physics."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from types import SimpleNamespace

from briefgen.model.ledger import Column, Given, Row
from briefgen.model.mission import Alternate, CrewMember, Height, Leg, Mission, Route, Times
from briefgen.model.performance import LongRange
from briefgen.model.places import Place
from briefgen.model.plan import POSITIONS, ChartData, ChartName, ChartPoint, Event, Finding, Node, Phase, Plan, Series
from briefgen.model.procedures import Emergency, EmergencyAction, LeverOrder
from briefgen.planning.ledger.writer import LedgerWriter

FOOT, MILE, POUND, KNOT = 0.3048, 1852.0, 0.45359237, 1852.0 / 3600
TAKE_OFF = datetime(2027, 2, 17, 15, 40, 20, tzinfo=UTC)
PLACES = {
    "LX01": Place("LX01", "Harrow Point", "aerodrome", -15.55, 167.2, 184 * FOOT),
    "MARLIN": Place("MARLIN", "Marlin", "waypoint", -16.6, 165.0),
    "SADDLE": Place("SADDLE", "Saddle Reef", "target", -18.3, 163.1, 3.0),
    "TERN": Place("TERN", "Tern Bank", "waypoint", -17.083333, 165.833333),
    "LX04": Place("LX04", "Kestrel Landing", "aerodrome", -22.1, 166.333333, 60.0),
}
# to, distance [NM], minutes, fuel [lb], track, altitude [ft]
LEGS = (
    ("MARLIN", 141.4, 61.4, 1204.4, 243.6, 8500),
    ("SADDLE", 149.4, 57.4, 1193.4, 226.9, 10000),
    ("TERN", 172.4, 75.4, 1353.4, 65.2, 9000),
    ("LX01", 121.4, 52.4, 982.4, 40.7, 9000),
)
RAMP_LB = 11400.0


def _checklists() -> tuple:
    item = SimpleNamespace
    return (
        SimpleNamespace(phase="take-off", title="Before take-off", items=(
            item(position="captain", challenge="Flight controls", response="full and free", note=""),
            item(position="flight engineer", challenge="Mixtures", response="rich, all four", note=""),
            item(position="flight engineer", challenge="Fuel on board", response="{fuel.ramp}", note="less the taxi fuel"),
            item(position="co-pilot", challenge="Flaps", response="one third", note=""),
            item(position="captain", challenge="Before take-off checklist", response="complete", note=""),
        )),
        SimpleNamespace(phase="descent", title="Descent", items=(
            item(position="flight engineer", challenge="Cowl flaps", response="closed", note=""),
            item(position="radio operator", challenge="Altimeter setting from Harrow", response="received", note=""),
            item(position="loadmaster", challenge="Doors", response="closed and pinned", note=""),
            item(position="loadmaster", challenge="Descent checklist", response="complete", note=""),
        )),
    )  # fmt: skip


def _emergencies() -> tuple[Emergency, ...]:
    feather = EmergencyAction("flight engineer", "feather, mixture cut off")
    return (
        Emergency("engine failed in flight", ("cruise",), (EmergencyAction("captain", "hold her straight"), feather), (), ""),
        Emergency("ditching", ("cruise",), (EmergencyAction("loadmaster", "load overboard, then strapped"),), (), "along the swell"),
    )  # fmt: skip


def invented_mission(**changes: object) -> Mission:
    """Return an invented mission; the aircraft is only what the pages ask of one."""
    aircraft = SimpleNamespace(
        name="T4 freighter", checklists=_checklists(), engines=4, emergencies=_emergencies(), phases=(),
        lever_order=LeverOrder(("mixture", "engine speed", "manifold pressure"), ("manifold pressure", "engine speed", "mixture")),
    )  # fmt: skip
    height = Height(2590.8, "altitude")
    items = tuple(Leg(PLACES[to], height, LongRange(), 1000.0) for to, *_ in LEGS)
    fields = {
        "name": "Cedar Lantern", "number": "LRF-0412", "revision": 3, "operator": "Lantern Relief Flight",
        "purpose": "Drop **4,000 lb** of water and rice on Saddle Reef before first light.",
        "aircraft": aircraft, "individual": SimpleNamespace(registration="LX-T42"), "fuel_grade": "91/96",
        "crew": tuple(CrewMember(p, n) for p, n in zip(POSITIONS, ("Orlan", "Vesk", "Tamsin", "Brede", "Pell", "Quill"), strict=False)),
        "times": Times("Pacific/Efate", None, None, 4500.0, 1800.0, 480.0, 720.0, 480.0, 120.0, 150.0, 480.0, 480.0, 300.0),
        "fuel": None, "items": (), "weather": None,
        "route": Route(PLACES["LX01"], "14", items, PLACES["LX01"], "14"),
        "alternates": (Alternate(PLACES["LX04"], "12", height, LongRange(), 2000.0, "only paved runway outside the sheet"),),
        "contingencies": (), "risks": (), "frequencies": (), "calls": (),
        "briefing": {
            "situation": "The cyclone passed on the 15th.\n\n* Harrow Point is open for departure.\n* Kestrel stays clear.",
            "execution": "1. Outbound low power, no lights.\n2. Two passes from the south-east, **one load a pass**.\n3. Home.",
            "emergencies": "Ditch *into the swell line*, not the wind.",
        },
        "rules": None, "places": tuple(PLACES.values()), "given": {}, "file": "cedar-lantern.yaml", "digest": "0" * 64,
    }  # fmt: skip
    return Mission(**{**fields, **changes})


def _legs(w: LedgerWriter) -> tuple[Phase, ...]:
    rows, phases = [], []
    at, distance, fuel = TAKE_OFF, 0.0, (RAMP_LB - 260.4) * POUND
    place = PLACES["LX01"]
    for i, (to, miles, minutes, burn, track, feet) in enumerate(LEGS, 1):
        end = at + timedelta(minutes=minutes)
        k = f"leg.{to.lower()}."
        cells = {
            "to": w.put(k + "to", "To", PLACES[to].name, method="the route"),
            "track": w.put(
                k + "track", "True track", track, "degT", method="WGS-84 geodesic, at its start", source="Karney 2013"
            ),
            "altitude": w.put(k + "altitude", "Altitude", feet * FOOT, "ft", method="given"),
            "distance": w.put(k + "distance", "Distance", miles * MILE, "NM", method="WGS-84 geodesic"),
        }
        speed = miles * MILE / (minutes * 60)
        cells["ground_speed"] = w.put(
            k + "ground_speed", "Ground speed", speed, "kt", method="wind triangle", inputs=(cells["track"],)
        )
        cells["time"] = w.put(k + "time", "Time", minutes * 60, "h:min", method="distance over ground speed",
                              inputs=(cells["distance"], cells["ground_speed"]))  # fmt: skip
        cells["eta"] = w.put(
            k + "eta",
            "Time over",
            end,
            "UTC",
            method="time over the last place and the leg's time",
            inputs=(cells["time"],),
        )
        cells["fuel_burn"] = w.put(k + "fuel_burn", "Fuel burnt", burn * POUND, "lb", method="integrated with the falling weight",
                                   inputs=(cells["time"],))  # fmt: skip
        nodes = []
        for step in range(7):
            part = step / 6
            climb = min(1.0, part * 4) if i == 1 else (min(1.0, (1 - part) * 5) if i == 4 else 1.0)
            nodes.append(Node(
                at + (end - at) * part, place.lat_deg + (PLACES[to].lat_deg - place.lat_deg) * part,
                place.lon_deg + (PLACES[to].lon_deg - place.lon_deg) * part, distance + miles * MILE * part, feet * FOOT,
                max(60.0, feet * FOOT * climb), 25000.0, fuel - burn * POUND * part, speed))  # fmt: skip
        phases.append(Phase(f"{i:02d}-cruise", "cruise", f"Cruise to {PLACES[to].name}", i - 1, tuple(nodes), place=to,
                            wind_east_m_per_s=-7.0, wind_north_m_per_s=4.0, course_deg=track))  # fmt: skip
        rows.append(Row(k[:-1], cells))
        at, distance, fuel, place = end, distance + miles * MILE, fuel - burn * POUND, PLACES[to]
    total = {
        "to": w.put("route.name", "Whole route", "Total", method="the route"),
        "distance": w.put("route.distance", "Distance", distance, "NM", method="sum of the legs",
                          inputs=tuple(r.cells["distance"] for r in rows)),
        "time": w.put("route.time", "Time in the air", (at - TAKE_OFF).total_seconds(), "h:min", method="sum of the legs",
                      inputs=tuple(r.cells["time"] for r in rows)),
        "fuel_burn": w.put("fuel.required.trip", "Trip fuel", sum(leg[3] for leg in LEGS) * POUND, "lb", method="sum of the legs",
                           inputs=tuple(r.cells["fuel_burn"] for r in rows)),
    }  # fmt: skip
    for name in ("distance", "time", "fuel_burn"):
        w.foot(total[name], tuple(row.cells[name] for row in rows))
    columns = tuple(Column(*c) for c in (
        ("to", "To"), ("track", "Track", "degT"), ("altitude", "Altitude", "ft"), ("distance", "Distance", "NM"),
        ("ground_speed", "Ground speed", "kt"), ("time", "Time", "h:min"), ("eta", "Time over", "UTC"), ("fuel_burn", "Fuel", "lb"),
    ))  # fmt: skip
    w.table(
        "legs",
        "Navigation log",
        columns,
        [*rows, Row("total", total, "total")],
        "Tracks are true, at the start of each leg.",
    )
    return tuple(phases)


def _fuel(w: LedgerWriter) -> None:
    w.put(
        "fuel.ramp",
        "Fuel at the ramp",
        RAMP_LB * POUND,
        "lb",
        method="given volume and density",
        source="cedar-lantern.yaml:32",
    )
    parts = [
        w.put("fuel.required.taxi", "Taxi", 260.4 * POUND, "lb", method="taxi flow and time"),
        "fuel.required.trip",
    ]
    for name, label, pounds in (
        ("contingency", "Contingency", 473.4),
        ("alternate", "Alternate", 3420.4),
        ("final_reserve", "Final reserve", 894.4),
    ):
        parts.append(
            w.put(
                f"fuel.required.{name}",
                label,
                pounds * POUND,
                "lb",
                method="fuel policy",
                inputs=("fuel.required.trip",),
            )
        )
    total = (260.4 + sum(leg[3] for leg in LEGS) + 473.4 + 3420.4 + 894.4) * POUND
    w.put("fuel.required.total", "Fuel required", total, "lb", method="sum of the parts", inputs=tuple(parts))
    w.foot("fuel.required.total", tuple(parts))
    w.put(
        "fuel.margin",
        "Over required",
        RAMP_LB * POUND - total,
        "lb",
        method="fuel at ramp less fuel required",
        inputs=("fuel.ramp", "fuel.required.total"),
    )
    w.foot("fuel.margin", ("fuel.ramp",), ("fuel.required.total",))
    rows = []
    for key in (*parts, "fuel.required.total", "fuel.ramp", "fuel.margin"):
        name = w.put(f"{key}.name", "Name", w[key].label, method="name")
        rows.append(Row(key, {"what": name, "fuel": key}, "total" if key == "fuel.required.total" else ""))
    w.table("fuel.required", "Fuel required", (Column("what", "What"), Column("fuel", "Fuel", "lb")), rows)


def _power(w: LedgerWriter) -> None:
    rows = []
    columns = (("phase", "Phase", ""), ("weight", "Weight", "lb"), ("altitude", "Altitude", "ft"), ("rpm", "Engine speed", "rpm"),
               ("mp", "Manifold pressure", "inHg"), ("mixture", "Mixture", ""), ("ias", "Indicated airspeed", "mph"),
               ("tas", "True airspeed", "kt"), ("flow", "Flow, each", "lb/h"), ("total", "Flow, all", "lb/h"), ("limit", "Limit", ""))  # fmt: skip
    values = (("Climb", 61200, 8500, 2300, 36.4, "rich", 145, 148, 590, 2360, "rated power, mixture rich"),
              ("Cruise to Marlin", 60300, 8500, 1700, 28.2, "lean", 150, 149, 293, 1172, "lean limit of manifold pressure"),
              ("Cruise to Saddle Reef", 58900, 10000, 1650, 29.0, "lean", 150, 152, 286, 1144, "lean limit of manifold pressure"),
              ("Hold", 54100, 3200, 1500, 25.1, "lean", 120, 110, 221, 884, "lowest engine speed"))  # fmt: skip
    si = {"lb": POUND, "ft": FOOT, "rpm": 1.0, "inHg": 3386.389, "mph": 0.44704, "kt": KNOT, "lb/h": POUND / 3600}
    for i, row in enumerate(values, 1):
        cells = {}
        for (name, head, unit), value in zip(columns, row, strict=True):
            shown = value if isinstance(value, str) else value * si[unit]
            cells[name] = w.put(
                f"power.{i:02d}.{name}",
                head,
                shown,
                unit,
                decimals=1 if name == "mp" else 0,
                method="solved on the rpm axis",
            )
        rows.append(Row(f"power.{i:02d}", cells))
    w.table(
        "power",
        "Power table",
        tuple(Column(*c) for c in columns),
        rows,
        "Reducing: manifold pressure first, then engine speed.",
    )


def _events(w: LedgerWriter) -> tuple[Event, ...]:
    events = []

    def event(
        minutes: float, kind: str, positions: tuple[str, ...], text: str, where: str = "", steps: tuple[str, ...] = ()
    ) -> None:
        key = w.put(
            f"timeline.{len(events) + 1:03d}",
            "Time of the event",
            TAKE_OFF + timedelta(minutes=minutes),
            "UTC",
            method="phase times",
        )
        events.append(Event(key, kind, "", positions, text, where, steps))

    event(-75, "phase", POSITIONS, "Stations")
    event(-28, "phase", ("flight engineer", "captain"), "Start engines, order 3, 4, 2, 1")
    event(-8, "checklist", ("captain", "co-pilot", "flight engineer"), "Before take-off checklist, fuel {fuel.ramp}")
    event(0, "phase", POSITIONS, "Take-off runway 14")
    event(
        2,
        "power",
        ("flight engineer",),
        "First power reduction",
        "",
        ("manifold pressure to 41.0 inHg", "engine speed to 2,400 rpm"),
    )
    for i in range(1, 30):
        event(2 + 8 * i, ("power", "action", "call", "light")[i % 4], (POSITIONS[i % 6], POSITIONS[(i + 2) % 6]),
              "Position report to Lantern base with fuel on board and time over next" if i % 3 else "Cowl flaps to trail",
              "Marlin" if i % 5 else "", ("mixture rich", "engine speed up", "manifold pressure up") if i % 4 == 0 else ())  # fmt: skip
    event(
        250,
        "decision",
        ("captain", "navigator"),
        "Last moment to leave the hold for Kestrel Landing with {fuel.required.alternate} and the reserve intact",
    )
    event(300, "phase", POSITIONS, "Landing")
    return tuple(events)


def _charts() -> dict[ChartName, ChartData]:
    lb, inch = POUND, 0.0254
    envelope = ((235.0, 40000), (235.0, 52000), (241.0, 65000), (256.0, 65000), (258.0, 40000))
    track = (
        ("ramp", 247.9, 61400),
        ("take-off", 248.1, 61140),
        ("after the drop", 246.4, 53900),
        ("landing", 244.9, 51400),
        ("zero fuel", 243.8, 45800),
    )
    return {
        "envelope": ChartData(
            "envelope", "Balance envelope", "Centre of gravity from the datum", "in", "Weight", "lb",
            areas=(Series("flight", "cleared for flight", "in", "lb", tuple((x * inch, y * lb) for x, y in envelope)),),
            curves=(Series("track", "this flight", "in", "lb", tuple((x * inch, y * lb) for _, x, y in track)),),
            points=tuple(ChartPoint(name, x * inch, y * lb) for name, x, y in track)),
        "profile": ChartData(
            "profile", "Vertical profile", "Distance from take-off", "NM", "Altitude", "ft",
            curves=(Series("safe", "safe altitude", "NM", "ft", ((0.0, 3400 * FOOT), (141 * MILE, 3400 * FOOT), (141 * MILE, 2900 * FOOT), (584 * MILE, 2900 * FOOT))),),
            points=(ChartPoint("Marlin", 141.4 * MILE, 8500 * FOOT), ChartPoint("Saddle Reef", 290.8 * MILE, 10000 * FOOT))),
    }  # fmt: skip


def invented_plan(**changes: object) -> Plan:
    """Return the invented plan; keyword arguments replace fields of its mission."""
    mission = invented_mission(**changes)
    w = LedgerWriter({"fuel": Given("cedar-lantern.yaml", 32, 12, "1,900 US gal")})
    w.put("time.take_off", "Take-off", TAKE_OFF, "UTC", method="worked back from the time over target")
    w.put("time.over_target", "Over target", TAKE_OFF + timedelta(minutes=118.8), "local", method="given")
    w.put(
        "time.landing",
        "Landing",
        TAKE_OFF + timedelta(minutes=520),
        "UTC",
        method="phase times",
        inputs=("time.take_off",),
    )
    phases = _legs(w)
    _fuel(w)
    _power(w)
    w.put(
        "mass.take_off",
        "Take-off weight",
        61140.2 * POUND,
        "lb",
        method="weighed mass, load and fuel",
        inputs=("fuel.ramp",),
    )
    w.put("balance.take_off.cg", "Centre of gravity", 0.2514, "% MAC", decimals=1, method="moment over weight")
    w.put("temperature.landing", "Temperature", 299.25, "degC", decimals=1, method="forecast")
    events = _events(w)
    findings = (
        Finding("fuel-required", "pass", "Fuel on board covers what is required", "{fuel.ramp} on board, {fuel.required.total} required.",
                "fuel.ramp", "fuel.required.total", "fuel.margin", "house rules, fuel", "", "fuel"),
        Finding("alternate-ceiling", "caution", "Cloud base at the destination is below its minima for part of the hold",
                "The forecast gives 400 ft.", "", "", "", "house rules, weather", "carry fuel for the far alternate, as planned", "weather"),
    )  # fmt: skip
    return Plan(mission, w.sealed(), w.tables, phases, events, findings, _charts())
