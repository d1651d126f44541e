"""Missions nobody wrote: the demo missions with other loads, fuels, heights, speeds and times, over all demo aircraft.

Each is flown or refused with a reason; what is flown keeps mass, fuel, time, distance and its printed sums, and says the
same twice. BRIEFGEN_MISSIONS=10000 is the long run.
"""

from __future__ import annotations

import os
import random
import re
import shutil
from pathlib import Path

import pytest

from briefgen.document import explain_text, fingerprint, printed, require_conservation, terminal_text
from briefgen.errors import BriefgenError, InternalError
from briefgen.model.plan import Plan
from briefgen.planning.assemble import plan_mission
from briefgen.spec import missions_in, read_mission
from tests.shared.demo_missions import JOURNEYS, SPECS

COUNT = int(os.environ.get("BRIEFGEN_MISSIONS", "30"))
SEED = 7
MISSIONS = [path.name for path in missions_in(SPECS) if path.stem not in JOURNEYS]
QUICK = ("mudlark.yaml", "paper-kite.yaml")  # two of three of the ordinary run: the others take four times as long
# What of a mission is turned, and between which factors; text between is kept as it stands.
TURNED = (
    (r"at ramp: \"?([\d,]+) US gal", 0.6, 1.4),
    (r"mass: \"?([\d,]+) lb", 0.3, 1.5),
    (r"(?<!safe )altitude: \"?([\d,]+) ft", 0.5, 1.4),
    (r"cruise: ([\d]+) (?:kt|mph)", 0.85, 1.15),
    (r"(?:start|taxi out|run-up|approach|taxi in): (\d+) min", 0.2, 3.0),
    (r"first reduction: ([\d,]+) ft", 0.5, 2.0),
    (r"density: ([\d.]+) lb", 0.97, 1.03),
)
PART = 0.4  # of the values that a mission turns


def turned(text: str, chance: random.Random) -> str:
    """Return a mission with some of its figures made greater or less."""

    def other(found: re.Match[str], low: float, high: float) -> str:
        if chance.random() > PART:
            return found[0]
        value = float(found[1].replace(",", "")) * chance.uniform(low, high)
        new = f"{value:.2f}" if "." in found[1] else f"{max(1, round(value))}"
        return found[0].replace(found[1], new, 1)

    for pattern, low, high in TURNED:
        text = re.sub(pattern, lambda found, low=low, high=high: other(found, low, high), text)  # type: ignore[misc]
    return text


def require_sense(plan: Plan) -> None:
    """Hold a plan against what is true of every flight."""
    require_conservation(plan)
    entries, figures = plan.ledger.entries, printed(plan)
    start, end = plan.phases[0].start, plan.phases[-1].end
    released = sum(phase.released_kg for phase in plan.phases)

    assert start.mass_kg - end.mass_kg == pytest.approx(start.fuel_kg - end.fuel_kg + released, abs=0.01)
    assert sum(phase.fuel_burn_kg for phase in plan.phases) == pytest.approx(start.fuel_kg - end.fuel_kg, abs=0.01)
    assert sum(phase.duration_s for phase in plan.phases) == pytest.approx(
        (end.instant - start.instant).total_seconds()
    )
    assert all(
        -90 <= node.lat_deg <= 90 and -180 <= node.lon_deg <= 180 for phase in plan.phases for node in phase.nodes
    )
    assert all(
        value == value and abs(value) < 1e12 for entry in entries.values() if isinstance(value := entry.value, float)
    )
    assert all(figures[key] for key, entry in entries.items() if not isinstance(entry.value, str))
    for key in ("fuel.margin", "fuel.required.total"):
        assert key in explain_text(plan, key)
    assert not re.search(r"\{[a-z0-9_.-]+\.[a-z0-9_.-]+\}|\bnan\b|\binf\b", terminal_text(plan))


def test_missions_nobody_wrote_are_flown_whole_or_refused_with_a_reason(tmp_path: Path) -> None:
    """All demo missions in turn, each with other figures every time."""
    folder, chance, flown = tmp_path / "specs", random.Random(SEED), 0
    shutil.copytree(SPECS, folder)
    for number in range(COUNT):
        name = QUICK[number % 2] if number % 3 else MISSIONS[number // 3 % len(MISSIONS)]
        text = turned((SPECS / name).read_text(encoding="utf-8"), chance)
        (folder / name).write_text(text, encoding="utf-8")
        try:
            plan = plan_mission(read_mission(folder / name))
        except InternalError:
            raise
        except BriefgenError:
            continue
        except Exception as error:
            raise AssertionError(f"mission {number} of seed {SEED}, {name}: {error!r}") from error
        flown += 1
        require_sense(plan)
        if flown == 1:
            assert fingerprint(plan_mission(read_mission(folder / name))) == fingerprint(plan)

    assert flown > COUNT // 4
