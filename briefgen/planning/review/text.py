"""What a finding says: a sentence of what was found, where, against what, by how much, and what one can do about it."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from datetime import datetime

from briefgen.frozen import replace
from briefgen.kernel.constants import FT_M, KT_M_PER_S, LB_KG, NMI_M
from briefgen.model.plan import Finding
from briefgen.planning.review.checks.facts import Cure, Measure
from briefgen.planning.review.finding_figures import FindingFigures
from briefgen.planning.sections.basis.groups import RULES

IN_M = FT_M / 12.0
# What a cure is rounded up to: carrying the printed amount must be enough.
PRINTED_STEP = {
    "US gal": 231.0 * IN_M**3,
    "lb": LB_KG,
    "kg": 1.0,
    "ft": FT_M,
    "in": IN_M,
    "km": 1000.0,
    "NM": NMI_M,
    "kt": KT_M_PER_S,
    "min": 60.0,
    "h:min": 60.0,
    "% MAC": 0.01,
}
MOMENTS = ("Ramp", "Take-off", "Landing", "Before", "After", "End ", "Used up", "Loaded", "Drop pass", "Phase")
QUOTED = re.compile(r"\{(measured|limit|left|short|beyond)\}")
MOST_NAMED = 3  # other places, legs or moments that break the same rule and are named beside the worst


def capital(text: str) -> str:
    """Return a text with a capital at its start; a quoted entry at the start stays as it is."""
    return text[:1].upper() + text[1:]


def finding_text(found: FindingFigures, adds: str = "") -> str:
    """Return the whole text of a finding: found and limit, the other breaches, what a section adds, and the rule."""
    measure = found.measure
    lead = f"{capital(measure.subject)}: " if measure.subject else ""
    quotes = {
        "measured": str(found.measured_ref), "limit": str(found.limit_ref),
        "beyond": _beyond(found, measure, ""), "left": _left(found), "short": "",
    }  # fmt: skip
    if "{short}" in measure.phrase and math.isfinite(measure.margin):
        quotes["short"] = found.short("short")
    told = capital(f"{lead}{_clause(measure, quotes)}.")
    parts = [told, *_others(found), adds]
    if measure.eased and not measure.kept:
        parts.append(f"{capital(measure.eased)}.")
    parts.append(f"The rule: {found.rule.text}")
    return " ".join(part for part in parts if part)


def _clause(measure: Measure, quotes: Mapping[str, str]) -> str:
    """Return what was found, with its limit; ``quotes`` are how its figures are quoted, by their names in the phrase."""
    phrase = measure.phrase
    if "{limit}" in phrase or "{left}" in phrase:
        pass
    elif measure.holds is not None:
        phrase += "; required: {limit}"
    elif measure.limit != 0.0:
        phrase += f"; {measure.sense} {{limit}} {'required' if measure.sense == 'at least' else 'allowed'}{{left}}"
    return QUOTED.sub(lambda name: quotes[name[1]], phrase)


def _beyond(found: FindingFigures, measure: Measure, head: str) -> str:
    """Add a negative figure without its sign, where a phrase tells it so, and return how it is quoted."""
    if "{beyond}" not in measure.phrase or not isinstance(measure.value, float):
        return ""
    printed = (measure.unit, measure.decimals)
    return found.quoted(f"{head}beyond", "outside by", -measure.value, printed, "without its sign", measure.reads)


def _left(found: FindingFigures) -> str:
    """Return what is short or in hand, for the end of the sentence; a breach is added as a positive figure."""
    measure = found.measure
    if math.isinf(measure.margin):
        return ""
    if measure.kept:
        words = "to spare" if measure.unit in ("in", "lb in") else "in hand"
        return f": {found.left} {words}" if measure.margin else ""
    unit = "h:min" if isinstance(measure.value, datetime) else measure.unit
    word = "short" if measure.sense == "at least" else "over"
    if -measure.margin < 0.5 * PRINTED_STEP.get(unit, 0.0) / 10**measure.decimals:
        return f": just {word}"
    return f": {found.short(word)} {word}"


def named(measure: Measure) -> Iterator[Measure]:
    """Yield the worst measure and the other breaches that its finding names, one of each subject."""
    yield measure
    subjects = {measure.subject}
    for other in measure.others:
        if other.kept or other.subject in subjects or len(subjects) > MOST_NAMED:
            continue
        subjects.add(other.subject)
        yield other


def _others(found: FindingFigures) -> list[str]:
    """Return sentences on the other breaches, and how many more there are."""
    measure = found.measure
    if measure.kept:
        return []
    told = list(named(measure))[1:]
    alike = [one for one in told if isinstance(one.value, str) and one.value == measure.value]
    sentences = [f"The same: {'; '.join(_small(one.subject) for one in alike)}."] if alike else []
    for number, other in enumerate((one for one in told if one not in alike), start=1):
        sentences.append(f"Also {_small(other.subject)}: {_clause(other, _other_quotes(found, other, number))}.")
    more = len(
        {other.subject for other in measure.others if not other.kept} - {one.subject for one in (measure, *told)}
    )
    return [*sentences, f"And {more} more."] if more else sentences


def _other_quotes(found: FindingFigures, other: Measure, number: int) -> dict[str, str]:
    """Add the figures of another breach and return how they are quoted."""
    head, quotes = f"also_{number:02d}_", {"left": ""}
    for name, value in (("measured", other.value), ("limit", other.limit), ("short", -other.margin)):
        if name == "short" and not ("{short}" in other.phrase and math.isfinite(other.margin)):
            continue
        printed = ("" if isinstance(value, str) else other.unit, other.decimals)
        label = f"{other.subject}, {name}"
        quotes[name] = found.quoted(f"{head}{name}", label, value, printed, other.method, other.reads)
    quotes["beyond"] = _beyond(found, other, head)
    return quotes


def _small(subject: str) -> str:
    """Return a subject as it stands within a sentence."""
    return subject[:1].lower() + subject[1:] if subject.startswith(MOMENTS) else subject


def finding_cure(found: FindingFigures, told: Finding | None) -> str:
    """Return what would make a rule pass, as the section says that judged the same fact, and as the check does."""
    measure = found.measure
    if found.result == "pass":
        return ""
    if measure.kept:
        return _more_margin(found)
    own = measure.cure is not None and measure.cure.amounts
    if told is not None and told.cure and not (own and not _has_figure(told.cure)):
        besides = _quoted(found, Cure(measure.cure.besides, measure.cure.amounts)) if measure.cure else ""
        return f"{told.cure}, or {besides}" if besides else told.cure
    return _quoted(found, measure.cure) if measure.cure is not None else ""


def _has_figure(cure: str) -> bool:
    return "{" in cure or any(letter.isdigit() for letter in cure)


def _more_margin(found: FindingFigures) -> str:
    """Return the margin that would pass without a remark; only limits in numbers have one that is too small."""
    measure, rule = found.measure, found.rule
    limit = measure.limit
    assert isinstance(limit, float | int)
    wanted = rule.caution_within_ratio * abs(limit)
    key = found.quoted(
        "wanted", "margin wanted", _rounded_up(wanted, measure.unit, measure.decimals), (measure.unit, measure.decimals),
        "share of the limit below which the rule set cautions", (found.limit_ref.key, RULES), rule.source,
    )  # fmt: skip
    cure = measure.cure
    if cure is None or not cure.amounts or measure.margin <= 0.0 or any(one.value >= 0.0 for one in cure.amounts):
        return f"have {key} in hand; with less nothing may go worse than planned"
    # The amounts of a kept rule are what is in hand, without its sign: in proportion they say what is still wanted.
    still = (measure.margin - wanted) / measure.margin
    missing = replace(cure, amounts=tuple(replace(one, value=still * one.value) for one in cure.amounts))
    return f"{_quoted(found, missing)}: then {key} is in hand"


def _rounded_up(value: float, unit: str, decimals: int) -> float:
    step = PRINTED_STEP.get(unit, 0.0) / 10**decimals
    return math.ceil(value / step - 1e-9) * step if step else value


def _quoted(found: FindingFigures, cure: Cure) -> str:
    """Return the words of a cure with its amounts added and quoted."""
    text = cure.text.replace("{limit}", f"{found.limit_ref}")  # the limit has one entry, and one print
    for amount in cure.amounts:
        if f"{{{amount.name}}}" not in text:
            continue
        quote = found.quoted(
            amount.name, "to mend it", _rounded_up(amount.value, amount.unit, amount.decimals),
            (amount.unit, amount.decimals), "what is short, rounded up to the printed step",
        )  # fmt: skip
        text = text.replace(f"{{{amount.name}}}", quote)
    return text
