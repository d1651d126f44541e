"""A comparison for the terminal, and for other programs."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterable, Iterator
from dataclasses import asdict

from briefgen.document.parts.approval import NOT_THERE, turn, when
from briefgen.model.comparison import Asked, Comparison, Judged

WIDTH = 100
INDENT = " " * 4
ARROW = "->"


def comparison_json(comparisons: list[Comparison]) -> str:
    """Return comparisons as data."""
    return json.dumps({"comparisons": [asdict(one) for one in comparisons]}, indent=1, ensure_ascii=False) + "\n"


def comparison_text(found: Comparison) -> str:
    """Return a comparison in the order in which it is read: asked, then what that did, the gravest first."""
    before, now = found.before, found.now
    lines = [
        f"{now.number} {now.name}: revision {before.revision} {ARROW} {now.revision}, "
        f"plan {before.digest[:12]} {ARROW} {now.digest[:12]}"
    ]
    if found.nothing:
        return "\n".join([*lines, "Nothing differs: the same files, the same figures.", ""])
    lines += _part("Asked differently", asked_lines(found), "nothing")
    for title, judged in sorted_out(found):
        if judged:
            lines += _part(title, judged_lines(judged), "")
    lines += _part("Decisions that moved", decision_lines(found), "none")
    lines += _part("Figures a crew reads first", _pairs(found), "none differs")
    lines += [
        "",
        f"In all {len(found.figures):,} figures differ, {len(found.words):,} in words; --json has all of them.",
    ]
    return "\n".join(lines) + "\n"


def _part(title: str, lines: Iterator[str], none: str) -> list[str]:
    return ["", title, *(list(lines) or [f"  {none}"])]


def asked_lines(found: Comparison) -> Iterator[str]:
    """Yield what was asked differently, and files that differ without a value that does."""
    for one in found.asked:
        yield f"  {one.where}  {one.what}{more_places(one)}"
        yield from _wrapped(f"{one.before or NOT_THERE} {ARROW} {one.now or NOT_THERE}")
    for name in silent_files(found):
        yield f"  {name}: the file differs, no value in it"


def more_places(one: Asked) -> str:
    """Return how many other places take a value from the same line, in words."""
    return f" (and {one.others} more places that refer to it)" if one.others else ""


def silent_files(found: Comparison) -> list[str]:
    """Return the files whose bytes differ and in which no value does: remarks, order, or a table of figures."""
    told = {one.where.rpartition(":")[0] for one in found.asked}
    return [name for name in found.files if name not in told]


def sorted_out(found: Comparison) -> tuple[tuple[str, tuple[Judged, ...]], ...]:
    """Return the findings that differ in three parts, each with its heading: other outcomes, less in hand, more in hand."""
    still = [one for one in found.judged if not one.turned]
    return (
        ("Findings with another outcome, the gravest first", tuple(one for one in found.judged if one.turned)),
        ("Less in hand, the largest part of the margin gone first", tuple(one for one in still if not _grew(one))),
        ("More in hand", tuple(one for one in reversed(still) if _grew(one))),
    )


def _grew(one: Judged) -> bool:
    return one.eaten_ratio is not None and one.eaten_ratio < 0.0


def judged_lines(judged: Iterable[Judged]) -> Iterator[str]:
    """Yield findings that differ, each with what is behind it."""
    for one in judged:
        yield f"  {turn(one)}: {one.title} ({one.ident})"
        yield from _wrapped("; ".join(filter(None, (*figures_of(one), gone(one)))))


def figures_of(one: Judged) -> list[str]:
    """Return what was found, the limit and the margin of a finding, before and now, in words."""
    named = (("measured", one.measured), ("limit", one.limit), ("margin", one.margin))
    return [
        f"{name} {was or NOT_THERE} {ARROW} {now or NOT_THERE}" if was != now else f"{name} {now}"
        for name, (was, now) in named
        if was or now
    ]


def gone(one: Judged) -> str:
    """Return how much of a margin is gone in words, empty where that is not known or next to nothing."""
    if one.eaten_ratio is None or not (share := round(abs(one.eaten_ratio) * 100)):
        return ""
    return f"{share:,} % of it gone" if one.eaten_ratio > 0 else f"better by {share:,} %"


def decision_lines(found: Comparison) -> Iterator[str]:
    """Yield the decisions that moved, came or went."""
    for one in found.decisions:
        yield f"  {when(one)}"
        yield from _wrapped(one.now or one.before)
        if one.now and one.before:
            yield from _wrapped(f"before: {one.before}")


def _pairs(found: Comparison) -> Iterator[str]:
    width = max((len(one.label) for one in found.first), default=0)
    for one in found.first:
        yield f"  {one.label:{width}}  {one.before or NOT_THERE} {ARROW} {one.now or NOT_THERE}"


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=INDENT, subsequent_indent=INDENT)
