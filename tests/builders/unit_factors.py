"""Write briefgen/unit_factors.py anew: the factor of every unit of the closed list, as the units library works it out.

python tests/builders/unit_factors.py
"""

from __future__ import annotations

from pathlib import Path

from briefgen.unit_tables import UNITS
from briefgen.units import factor_by_pint

PLACE = Path(__file__).resolve().parents[2] / "briefgen" / "unit_factors.py"
HEAD = '''"""Scale and offset to SI of every unit, with SI = value * scale + offset, as pint works them out from `unit_tables`.

Written by tests/builders/unit_factors.py and compared with pint, to the last bit, by tests/unit/test_units.py: importing
pint and defining the units at each start was a tenth of a whole ``check``.
"""

from __future__ import annotations

'''


def table() -> str:
    """Return the text of the module."""
    rows = (f'    "{unit}": {factor_by_pint(unit)!r},\n' for unit in UNITS)
    return f"{HEAD}FACTORS: dict[str, tuple[float, float]] = {{\n{''.join(rows)}}}\n"


if __name__ == "__main__":
    PLACE.write_text(table(), encoding="utf-8")
