"""Write the printed figures of the demo missions anew; run it when a change is meant to change numbers.

    python tests/builders/numbers_golden.py

Each mission has one text without the plan's digest: every entry as `key = printed figure`, every table by its cells,
every finding and every event as it reads. The difference that this leaves in the repository is where 'Numbers
changed' of the contributor guide begins.
"""

from __future__ import annotations

import difflib
from pathlib import Path

from briefgen.document.parts.format import Figures
from briefgen.model.ledger import Table
from briefgen.model.plan import Plan
from briefgen.planning.journey import plan_sectors
from briefgen.spec import read_sectors

ROOT = Path(__file__).parents[2]
FOLDER = ROOT / "tests" / "golden"
SIGNS = {"- ": "no more", "+ ": "new"}
SPECS = tuple(sorted((ROOT / "mission_specs").glob("*.yaml")))


def golden_path(spec: Path) -> Path:
    """Return where the figures of a mission are kept."""
    return FOLDER / f"{spec.stem}.txt"


def figures_text(plan: Plan) -> str:
    """Return every printed figure, table, finding and event of a plan, a line each, sorted where order has no meaning."""
    printed = Figures(plan)
    lines = ["# figures", *sorted(f"{key} = {printed.quoted(key)}" for key in printed.entries)]
    for name in sorted(plan.tables):
        lines += _table_lines(plan.tables[name], printed)
    lines.append("# findings")
    for found in plan.findings:
        lines.append(
            f"{found.outcome}: {found.title}: {printed.text(found.text)} [{found.cure and printed.text(found.cure)}]"
        )
    lines.append("# events")
    for event in plan.events:
        words = " / ".join(printed.text(text) for text in (event.text, event.where, *event.steps) if text)
        lines.append(f"{printed[event.time_key]} {event.kind} ({', '.join(event.positions)}): {words}")
    return "\n".join(lines).replace("\u00a0", " ") + "\n"


def _table_lines(table: Table, printed: Figures) -> list[str]:
    heads = " | ".join(f"{column.name}: {printed.text(column.head)} {column.unit}".strip() for column in table.columns)
    lines = [f"# table {table.name}: {printed.text(table.title)}", f"columns {heads}"]
    for row in table.rows:
        mark = f" ({row.mark})" if row.mark else ""
        cells = " | ".join(
            f"{column.name}={row.cells[column.name]}" for column in table.columns if column.name in row.cells
        )
        lines.append(f"{printed.text(row.name)}{mark}: {cells}")
    return [*lines, f"note {printed.text(table.note)}"] if table.note else lines


def changes_in_words(kept: str, fresh: str) -> list[str]:
    """Return what differs between two texts of figures: figure by figure, then what is gone and new under each heading."""
    old, new = _sections(kept), _sections(fresh)
    was, now = (dict(line.partition(" = ")[::2] for line in part.get("figures", ())) for part in (old, new))
    told = []
    for key in sorted(was.keys() | now.keys()):
        if key not in now:
            told.append(f"{key}: was {was[key]}, is no more")
        elif key not in was:
            told.append(f"{key}: is new, {now[key]}")
        elif was[key] != now[key]:
            told.append(f"{key}: was {was[key]}, is {now[key]}")
    for heading in (name for name in {**old, **new} if name != "figures"):
        for line in (
            difflib.ndiff(old.get(heading, []), new.get(heading, [])) if old.get(heading) != new.get(heading) else ()
        ):
            if line[:2] in SIGNS:
                told.append(f"{heading}: {SIGNS[line[:2]]}: {line[2:]}")
    return told


def _sections(text: str) -> dict[str, list[str]]:
    """Return the lines under each heading."""
    found: dict[str, list[str]] = {}
    lines: list[str] = []
    for line in text.splitlines():
        if line.startswith("# "):
            lines = found.setdefault(line[2:], [])
        else:
            lines.append(line)
    return found


if __name__ == "__main__":
    FOLDER.mkdir(exist_ok=True)
    for spec in SPECS:
        golden_path(spec).write_text(figures_text(plan_sectors(read_sectors(spec))), encoding="utf-8")
