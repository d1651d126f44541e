"""Variations in words: what a planner asks of a plan, in a form that has one meaning each."""

from __future__ import annotations

import re
from dataclasses import dataclass

from briefgen.model.bench import Change
from briefgen.units import QuantityError, quantity

EXPECTED = (
    '"head wind +20 kt", "+10 degC", "lower grade", "one engine out at POINT", "+2,000 lb in bay NAME", "40 min late", '
    "or a group with name and set"
)
SETTING_EXPECTED = 'a path and its value, such as "route.legs[0].altitude = 4,500 ft"'
_LONGEST_PATH = 200
_HEAD_WIND = re.compile(r"head wind ([-+\u2212].+)")
_ENGINE_OUT = re.compile(r"one engine out at (\S.*)")
_LOAD = re.compile(r"\+(\S.*) in bay (\S.*)")
_LATE = re.compile(r"(\S.*) late")
_SIGNED = re.compile(r"[-+\u2212]\S.*")


@dataclass(frozen=True, slots=True)
class HeadWind:
    """So much more wind against her on every line."""

    text: str


@dataclass(frozen=True, slots=True)
class Warmer:
    """Air so much warmer everywhere."""

    text: str


@dataclass(frozen=True, slots=True)
class LowerGrade:
    """The next lower fuel grade that the aircraft file clears."""


@dataclass(frozen=True, slots=True)
class EngineOut:
    """One engine stopped from a point on."""

    at: str


@dataclass(frozen=True, slots=True)
class MoreLoad:
    """A piece of load more."""

    mass: str
    bay: str


@dataclass(frozen=True, slots=True)
class Late:
    """Take-off, or the time that fixes it, so much later."""

    delay_s: float


Asked = HeadWind | Warmer | LowerGrade | EngineOut | MoreLoad | Late


def variation(text: str) -> Asked:
    """Return what a text asks for."""
    stripped = text.strip()
    if stripped == "lower grade":
        return LowerGrade()
    if found := _HEAD_WIND.fullmatch(stripped):
        quantity(found[1], "wind component")
        return HeadWind(_unsigned(found[1]))
    if found := _ENGINE_OUT.fullmatch(stripped):
        return EngineOut(found[1])
    if found := _LOAD.fullmatch(stripped):
        quantity(found[1], "mass")
        return MoreLoad(found[1], found[2])
    if found := _LATE.fullmatch(stripped):
        return Late(quantity(found[1], "duration").si_value)
    if _SIGNED.fullmatch(stripped) and re.search(r"(deg ?|\N{DEGREE SIGN})[CF]$", stripped):
        quantity(stripped, "temperature difference")
        return Warmer(_unsigned(stripped))
    raise QuantityError(
        f"'{text}' is not a variation", expected=EXPECTED, hint="a sign says that it is added to the plan"
    )


def _unsigned(text: str) -> str:
    return text.removeprefix("+")


def setting(text: str) -> Change:
    """Return the change that a text such as "route.legs[0].altitude = 4,500 ft" gives."""
    path, sign, value = text.partition("=")
    if not sign or not path.strip() or not value.strip() or len(path) > _LONGEST_PATH:
        raise QuantityError(f"'{text}' sets nothing", expected=SETTING_EXPECTED)
    return Change(path.strip(), value.strip())
