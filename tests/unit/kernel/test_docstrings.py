"""Every public function of the kernel states the unit of each number, in agreement with its name, and its source."""

from __future__ import annotations

import dataclasses
import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable, Iterator
from types import ModuleType
from typing import Any

import pytest

import briefgen.kernel

UNIT_SYMBOLS = {
    "m": "m", "m2": "m2", "m3": "m3", "s": "s", "kg": "kg", "k": "K", "pa": "Pa", "w": "W", "n": "N", "j": "J",
    "deg": "deg", "rad": "rad", "rpm": "rpm", "nt": "nT", "hpa": "hPa", "s2": "s2", "l": "L", "v": "V",
}  # fmt: skip
SECTIONS = ("Args", "Attributes", "Returns", "Raises", "Source", "Departs from the source")
BRACKET = re.compile(r"\[([^\]]+)\]")


def modules() -> Iterator[ModuleType]:
    for entry in pkgutil.iter_modules(briefgen.kernel.__path__):
        yield importlib.import_module(f"briefgen.kernel.{entry.name}")


def public_functions() -> list[Callable[..., Any]]:
    return [
        function
        for module in modules()
        for name, function in inspect.getmembers(module, inspect.isfunction)
        if function.__module__ == module.__name__ and not name.startswith("_")
    ]


def dataclasses_of_the_kernel() -> list[type]:
    return [
        kind
        for module in modules()
        for name, kind in inspect.getmembers(module, inspect.isclass)
        if kind.__module__ == module.__name__ and dataclasses.is_dataclass(kind) and not name.startswith("_")
    ]


def unit_in_name(name: str) -> str:
    """The unit a name ends in: `_m_per_s` is m/s, `_j_per_kg_k` is J/(kg K), no unit at the end is '-'."""
    words = name.lower().split("_")
    start = len(words)
    while start > 1 and (words[start - 1] in UNIT_SYMBOLS or words[start - 1] == "per"):
        start -= 1
    tail = words[start:]
    if not tail:
        return "-"
    if tail[0] == "per":
        tail.insert(0, "1")
    above, _, below = " ".join(UNIT_SYMBOLS.get(word, word) for word in tail).partition(" per ")
    if not below:
        return above
    return f"{above}/({below})" if " " in below else f"{above}/{below}"


def sections(docstring: str) -> dict[str, str]:
    """The text below each section heading of a docstring."""
    found: dict[str, str] = {}
    current = "Summary"
    for line in inspect.cleandoc(docstring).splitlines():
        heading = line.removesuffix(":")
        if line.endswith(":") and heading in SECTIONS:
            current = heading
            found[current] = ""
        else:
            found[current] = found.get(current, "") + line + "\n"
    return found


def entries(section: str) -> dict[str, str]:
    """The text of each named entry of an Args or Attributes section."""
    found: dict[str, str] = {}
    name = ""
    for line in section.splitlines():
        start = re.match(r" {4}(\w+): (.*)", line)
        if start:
            name, text = start.groups()
            found[name] = text
        elif name:
            found[name] += " " + line.strip()
    return found


def is_number(annotation: str) -> bool:
    return "float" in annotation and not annotation.startswith("Callable")


def faults_of_numbers(owner: str, numbers: dict[str, str], described: dict[str, str]) -> Iterator[str]:
    for name, annotation in numbers.items():
        if name not in described:
            yield f"{owner}: {name} is not described"
        elif is_number(annotation):
            stated = BRACKET.findall(described[name])
            if stated != [unit_in_name(name)]:
                yield f"{owner}: {name} should state [{unit_in_name(name)}], states {stated}"


def faults_of_function(function: Callable[..., Any]) -> list[str]:
    owner = f"{function.__module__}.{function.__name__}"
    if not function.__doc__:
        return [f"{owner}: no docstring"]
    parts = sections(function.__doc__)
    annotations = {name: str(kind) for name, kind in function.__annotations__.items()}
    result = annotations.pop("return", "None")
    faults = list(faults_of_numbers(owner, annotations, entries(parts.get("Args", ""))))
    if not parts.get("Source", "").strip():
        faults.append(f"{owner}: no Source")
    if is_number(result) and len(BRACKET.findall(parts.get("Returns", parts["Summary"]))) < 1:
        faults.append(f"{owner}: the result has no unit")
    if result != "None" and not parts["Summary"].startswith("Return"):
        faults.append(f"{owner}: the summary does not begin with Return")
    if list(annotations) != list(entries(parts.get("Args", ""))):
        faults.append(f"{owner}: Args are not those of the signature, in its order")
    return faults


@pytest.mark.parametrize(
    "function", public_functions(), ids=lambda function: f"{function.__module__[16:]}.{function.__name__}"
)
def test_every_public_function_states_its_units_and_source(function: Callable[..., Any]) -> None:
    assert faults_of_function(function) == []


@pytest.mark.parametrize("kind", dataclasses_of_the_kernel(), ids=lambda kind: kind.__name__)
def test_every_public_dataclass_states_the_unit_of_each_number_it_carries(kind: type) -> None:
    numbers = {field.name: str(field.type) for field in dataclasses.fields(kind) if field.init}
    # A chart carries numbers in the unit that it names itself.
    if "unit" in numbers or "y_unit" in numbers:
        return

    assert (
        list(faults_of_numbers(kind.__name__, numbers, entries(sections(kind.__doc__ or "").get("Attributes", ""))))
        == []
    )


def test_the_unit_of_a_name_is_read_from_its_end() -> None:
    assert unit_in_name("pressure_pa") == "Pa"
    assert unit_in_name("ground_speed_m_per_s") == "m/s"
    assert unit_in_name("GAS_CONSTANT_J_PER_KG_K") == "J/(kg K)"
    assert unit_in_name("latitude_1_deg") == "deg"
    assert unit_in_name("speed_gradient_per_s") == "1/s"
    assert unit_in_name("load_ratio") == "-"


def test_a_wrong_or_missing_unit_is_found() -> None:
    def area(length_m: float, width_m: float) -> float:
        """Return an area [m2].

        Args:
            length_m: Length [ft].
            width_m: Width.

        Source:
            Definition.
        """
        return length_m * width_m

    assert [fault.split(": ", 1)[1] for fault in faults_of_function(area)] == [
        "length_m should state [m], states ['ft']",
        "width_m should state [m], states []",
    ]
