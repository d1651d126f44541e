"""What the difference did: findings by the part of their margin that is gone, decisions that moved, figures beyond rounding."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import Any

from briefgen.comparison.plan_data import PlanData, entry_of, quoted
from briefgen.document.parts.format import in_last_digits
from briefgen.model.comparison import Decision, FigurePair, Judged

GRAVITY = ("fail", "caution", "pass", "")
NUMBER = re.compile(r"[\u2212-]?\d[\d,.:]*")
CLOCK = re.compile(r"^\d{1,2}:\d\d$")
DAY_MIN = 1440


def judged_differently(before: PlanData, now: PlanData) -> tuple[Judged, ...]:
    """Return the findings whose outcome or margin differs: other outcomes first, the gravest of them first, then by the margin gone."""
    old, new = ({one["ident"]: one for one in data["findings"]} for data in (before, now))
    found = []
    for ident in dict.fromkeys((*new, *old)):
        one = _judged(before, now, old.get(ident), new.get(ident))
        if one is not None:
            found.append(one)
    return tuple(sorted(found, key=_gravity))


def _gravity(one: Judged) -> tuple[object, ...]:
    ratio = -1e9 if one.eaten_ratio is None else one.eaten_ratio
    worse = GRAVITY.index(one.now) < GRAVITY.index(one.before)
    return (not one.turned, not worse, GRAVITY.index(one.now if worse else one.before), -ratio)


def _judged(before: PlanData, now: PlanData, old: Any, new: Any) -> Judged | None:
    known = new or old
    outcomes = (old["outcome"] if old else "", new["outcome"] if new else "")
    if not (old and new) and set(outcomes) <= {"pass", ""}:
        return None  # a rule more or less that is met moves nobody
    pairs = {
        name: (quoted(before, old[name]) if old else "", quoted(now, new[name]) if new else "")
        for name in ("measured", "limit", "margin")
    }
    moved = old and new and any(_differ(before, now, old[name], new[name]) for name in _telling(before, old))
    if outcomes[0] == outcomes[1] and not moved:
        return None
    eaten = _eaten(before, now, old, new) if old and new else None
    return Judged(
        known["ident"], known["title"], outcomes[0], outcomes[1], pairs["measured"], pairs["limit"], pairs["margin"], eaten
    )  # fmt: skip


def _telling(data: PlanData, finding: Any) -> tuple[str, ...]:
    """Return which figures tell that a finding moved: its margin, where that is a figure; what it came to and its limit elsewhere."""
    return ("margin",) if _number(data, finding["margin"]) is not None else ("measured", "limit")


def _eaten(before: PlanData, now: PlanData, old: Any, new: Any) -> float | None:
    """Return the part of a margin that is gone; of the limit, where there was none to speak of."""
    was, is_now = _number(before, old["margin"]), _number(now, new["margin"])
    units = {data["entries"].get(key, {}).get("unit") for data, key in ((before, old["margin"]), (now, new["margin"]))}
    if was is None or is_now is None or len(units) > 1:  # a margin of weight has become one of length
        return None
    limit = _number(before, old["limit"]) or 0.0
    whole = abs(was) if was else abs(limit)
    return (was - is_now) / whole if whole else None


def _number(data: PlanData, key: str) -> float | None:
    value = data["entries"].get(key, {}).get("value")
    return float(value) if isinstance(value, int | float) else None


def _differ(before: PlanData, now: PlanData, old: str, new: str) -> bool:
    """Return whether two entries are printed otherwise by more than rounding; those of one plan alone are not compared."""
    if old not in before["entries"] or new not in now["entries"]:
        return False
    return printed_otherwise(before, old, now, new)


def printed_otherwise(before: PlanData, old: str, now: PlanData, new: str) -> bool:
    """Return whether two entries are printed otherwise, and not only because their values were rounded to different sides."""
    one, other = entry_of(before, old), entry_of(now, new)
    assert one is not None
    assert other is not None
    if before["entries"][old]["printed"] == now["entries"][new]["printed"] and one.unit == other.unit:
        return False
    alike = (one.unit, one.decimals) == (other.unit, other.decimals)
    if not alike or isinstance(one.value, str) or isinstance(other.value, str) or one.unit == "UTC date":
        return True
    return abs(in_last_digits(one) - in_last_digits(other)) >= 1.0


def figures_changed(before: PlanData, now: PlanData, *, words: bool) -> tuple[FigurePair, ...]:
    """Return every figure, or every entry in words, that is printed otherwise by more than rounding."""
    old, new = before["entries"], now["entries"]
    found = []
    for key in dict.fromkeys((*new, *old)):
        one, other = old.get(key), new.get(key)
        known = other or one
        if (known["unit"] == "" and isinstance(known["value"], str)) is not words:
            continue
        if one and other and (not printed_otherwise(before, key, now, key) or (words and _same_words(one, other))):
            continue
        found.append(FigurePair(key, known["label"], quoted(before, key), quoted(now, key)))
    return tuple(found)


def _same_words(one: Any, other: Any) -> bool:
    """Return whether two texts differ in the figures alone that they quote, which are compared as figures."""
    return _skeleton(one["printed"]) == _skeleton(other["printed"]) != "#"


def chosen(figures: Sequence[FigurePair], keys: Iterable[str]) -> tuple[FigurePair, ...]:
    """Return the figures of some keys, in the order of the keys."""
    by_key = {one.key: one for one in figures}
    return tuple(by_key[key] for key in dict.fromkeys(keys) if key in by_key)


# --- decisions --------------------------------------------------------------------------------------------------------


def decisions_moved(before: PlanData, now: PlanData) -> tuple[Decision, ...]:
    """Return the decisions that moved by more than a minute, came or went, in the order of the later plan."""
    old, new = _decisions(before), _decisions(now)
    found = []
    for name in dict.fromkeys((*new, *old)):
        was, is_now = old.get(name), new.get(name)
        if was and is_now and not _moved(was, is_now):
            continue
        (was_at, was_said), (now_at, now_said) = was or ("", ""), is_now or ("", "")
        found.append(Decision(was_at, now_at, was_said, now_said))
    return tuple(found)


def _decisions(data: PlanData) -> dict[tuple[str, str, int], tuple[str, str]]:
    """Return time and text of every decision by what it says without its figures, the place, and which of several."""
    found: dict[tuple[str, str, int], tuple[str, str]] = {}
    for event in data["events"]:
        if event["kind"] != "decision":
            continue
        words, number = _skeleton(event["text"]), 1
        while (words, event["where"], number) in found:
            number += 1
        at = data["entries"].get(event["time"], {}).get("printed", "")
        found[words, event["where"], number] = (at.replace("\u00a0", " "), event["text"].replace("\u00a0", " "))
    return found


def _moved(was: tuple[str, str], is_now: tuple[str, str]) -> bool:
    """Return whether a time of day in one of two texts of the same words is another by more than a minute."""
    pairs = zip(NUMBER.findall(" ".join(was)), NUMBER.findall(" ".join(is_now)), strict=False)
    return any(_apart(a, b) > 1 for a, b in pairs if CLOCK.match(a) and CLOCK.match(b))


def _apart(one: str, other: str) -> int:
    a, b = (int(hours) * 60 + int(minutes) for hours, minutes in (text.split(":") for text in (one, other)))
    return min((a - b) % DAY_MIN, (b - a) % DAY_MIN)


def _skeleton(text: str) -> str:
    return NUMBER.sub("#", text)
