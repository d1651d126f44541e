"""A figure that reads a written value past the ledger rests on the entry, or on the group, that stands for that value."""

from __future__ import annotations

import re

import pytest

from briefgen.planning.assemble import plan_mission
from briefgen.planning.sections.basis.groups import (
    ACTIONS,
    AIRFRAME,
    BALANCE,
    FIELD,
    FLUIDS,
    INSTRUMENTS,
    PLACES,
    POWERPLANT,
    RULES,
    SPEEDS,
    WEATHER,
)
from tests.perturbation import Origins
from tests.shared.demo_missions import NAMES, mission_of
from tests.shared.spying import spied

# What a field is called by: nothing is worked out from it. What one sector hands on to the next comes out of flights: no file wrote it.
WORDS = re.compile(
    r"\w+\.(?:name|ident|title|text|source|remarks|who|where|what|then|position|family|kind)|Mission\.(?:start|sector)"
)
# Fields of the model, and the entries of which one must be named by a figure that reads them; the first that matches counts.
STANDS_FOR = (
    (r"FuelLoad\.density", r"fuel\.density"),
    (r"FuelLoad\.", r"fuel\."),
    (r"Times\.", r"times\.|clock\."),
    (r"OverTarget\.", r"timing\."),
    (r"Leg\.safe_height_m", r".*\.safe_height"),
    (r"(?:Leg|Hold|Action|Run|Height|HeightChange|Offset|Alternate|Route)\.", r"(?:leg|hold|action|alternate|point|place)\."),
    (r"LoadItem\.", r"load\."),
    (r"(?:Individual|MassAndBalance|MassLimits|Tank|Bay|Restraint)\.", BALANCE),
    (r"Fluid\.", FLUIDS),
    (r"(?:Engine|CarburettorHeat|Turbo|Consumption|Propeller|FuelGrade|Rating|CowlFlapRule|PhysicalModel|Chart|ChartAxis|ChartBook)\.", POWERPLANT),
    (r"(?:Airframe|AirframeConfiguration|StoppedEngines)\.", AIRFRAME),
    (r"(?:Field|Surface)\.", FIELD),
    (r"(?:Instruments|InstrumentResolution|Curve)\.", INSTRUMENTS),
    (r"(?:SpeedCard|SpeedsAtMass|PhaseSetting|MinimumControl|HotDayCowlFlaps|AgainstCarburettorIce|MixtureSettings)\.", SPEEDS),
    (r"Aircraft\.engines", AIRFRAME),
    (r"AltitudeAction\.", ACTIONS),
    (r"(?:Place|Runway|Obstacle|Minima)\.", rf"{PLACES}|place\..*"),
    (r"(?:Weather|AerodromeForecast|ForecastGroup|CloudLayer|CloudSheet|Wind)\.", WEATHER),
    (r"(?:Rule|RuleSet|FuelPolicy|SetAside)\.", rf"{RULES}|rule\..*"),
)  # fmt: skip


def _stands_for(field: str) -> str:
    found = next((key for pattern, key in STANDS_FOR if re.match(pattern, field)), None)
    assert found is not None, f"{field} is read past the ledger, and nothing is declared to stand for it"
    return found


@pytest.mark.parametrize("name", NAMES)
def test_what_is_read_past_the_ledger_is_named(name: str) -> None:
    """Every demo mission is planned anew, spied: what figures read while they are worked out is seen nowhere else."""
    with spied() as reads:
        plan = plan_mission(mission_of(name))
    origins, faults = Origins(plan), dict[str, str]()

    for key, fields in reads.items():
        if key not in plan.ledger or plan.ledger[key].given:
            continue  # absent, or the written value itself
        for field, figure in fields.items():
            if WORDS.fullmatch(field) or origins.rests_on(key, re.compile(_stands_for(field))):
                continue
            faults[f"{figure} reads {field}"] = key

    assert len(reads) > 400, "figures read written values: a spy that sees few of them sees nothing"
    assert not faults, "\n".join(f"{what} and names nothing that stands for it ({key})" for what, key in faults.items())
