"""What a finding says: a sentence of what was found, where, against what, by how much, and what one can do about it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime

from briefgen.kernel.constants import FT_M, KT_M_PER_S, LB_KG, NMI_M
from briefgen.model.plan import Finding
from briefgen.model.rules import Rule
from briefgen.planning.ledger.review_keys import finding
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.review.checks.facts import Cure, Measure

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
MOST_NAMED = 3  # other places, legs or moments that break the same rule and are named beside the worst


def capital(text: str) -> str:
    """Return a text with a capital at its start; a quoted entry at the start stays as it is."""
    return text[:1].upper() + text[1:]


def finding_text(writer: LedgerWriter, rule: Rule, measure: Measure, adds: str = "") -> str:
    """Return the whole text of a finding: found and limit, the other breaches, what a section adds, and the rule."""
    lead = f"{capital(measure.subject)}: " if measure.subject else ""
    _put_beyond(writer, rule, measure, "")
    told = capital(f"{lead}{_clause(measure, finding(rule.ident, ''), _left(writer, rule, measure))}.")
    parts = [told, *_others(writer, rule, measure), adds]
    if measure.eased and not measure.kept:
        parts.append(f"{capital(measure.eased)}.")
    parts.append(f"The rule: {rule.text}")
    return " ".join(part for part in parts if part)


def _clause(measure: Measure, head: str, left: str) -> str:
    """Return what was found, with its limit; ``head`` begins the keys of the figures it quotes."""
    phrase = measure.phrase
    if "{limit}" in phrase or "{left}" in phrase:
        pass
    elif measure.holds is not None:
        phrase += "; required: {limit}"
    elif measure.limit != 0.0:
        phrase += f"; {measure.sense} {{limit}} {'required' if measure.sense == 'at least' else 'allowed'}{{left}}"
    return (
        phrase.replace("{left}", left)
        .replace("{measured}", f"{{{head}measured}}")
        .replace("{limit}", f"{{{head}limit}}")
        .replace("{short}", f"{{{head}short}}")
        .replace("{beyond}", f"{{{head}beyond}}")
    )


def _put_beyond(writer: LedgerWriter, rule: Rule, measure: Measure, head: str) -> None:
    """Enter a negative figure without its sign, where a phrase tells it so."""
    if "{beyond}" in measure.phrase and isinstance(measure.value, float):
        writer.put(
            finding(rule.ident, f"{head}beyond"), f"{rule.title}: outside by", -measure.value, measure.unit,
            decimals=measure.decimals, method="without its sign", inputs=(finding(rule.ident, f"{head}measured"),),
        )  # fmt: skip


def _left(writer: LedgerWriter, rule: Rule, measure: Measure) -> str:
    """Return what is short or in hand, for the end of the sentence; a breach is entered as a positive figure."""
    if math.isinf(measure.margin):
        return ""
    if measure.kept:
        words = "to spare" if measure.unit in ("in", "lb in") else "in hand"
        return f": {{{finding(rule.ident, 'margin')}}} {words}" if measure.margin else ""
    unit = "h:min" if isinstance(measure.value, datetime) else measure.unit
    word = "short" if measure.sense == "at least" else "over"
    if -measure.margin < 0.5 * PRINTED_STEP.get(unit, 0.0) / 10**measure.decimals:
        return f": just {word}"
    measured, limit = finding(rule.ident, "measured"), finding(rule.ident, "limit")
    key = writer.put(
        finding(rule.ident, "short"), f"{rule.title}: {word}", -measure.margin, unit, decimals=measure.decimals,
        method="how far the limit is broken", inputs=(measured, limit),
    )  # fmt: skip
    ends = (limit, measured) if measure.sense == "at least" else (measured, limit)
    writer.foot(key, (ends[0],), (ends[1],))
    return f": {{{key}}} {word}"


def named(measure: Measure) -> Iterator[Measure]:
    """Yield the worst measure and the other breaches that its finding names, one of each subject."""
    yield measure
    subjects = {measure.subject}
    for other in measure.others:
        if other.kept or other.subject in subjects or len(subjects) > MOST_NAMED:
            continue
        subjects.add(other.subject)
        yield other


def _others(writer: LedgerWriter, rule: Rule, measure: Measure) -> list[str]:
    """Return sentences on the other breaches, and how many more there are."""
    if measure.kept:
        return []
    told = list(named(measure))[1:]
    alike = [one for one in told if isinstance(one.value, str) and one.value == measure.value]
    sentences = [f"The same: {'; '.join(_small(one.subject) for one in alike)}."] if alike else []
    for number, other in enumerate((one for one in told if one not in alike), start=1):
        head = f"also_{number:02d}_"
        for name, value in (("measured", other.value), ("limit", other.limit), ("short", -other.margin)):
            if name == "short" and not ("{short}" in other.phrase and math.isfinite(other.margin)):
                continue
            writer.put(
                finding(rule.ident, f"{head}{name}"), f"{rule.title}: {other.subject}, {name}", value,
                "" if isinstance(value, str) else other.unit, decimals=other.decimals, method=other.method,
                inputs=other.inputs,
            )  # fmt: skip
        _put_beyond(writer, rule, other, head)
        sentences.append(f"Also {_small(other.subject)}: {_clause(other, finding(rule.ident, head), '')}.")
    more = len(
        {other.subject for other in measure.others if not other.kept} - {one.subject for one in (measure, *told)}
    )
    return [*sentences, f"And {more} more."] if more else sentences


def _small(subject: str) -> str:
    """Return a subject as it stands within a sentence."""
    return subject[:1].lower() + subject[1:] if subject.startswith(MOMENTS) else subject


def finding_cure(writer: LedgerWriter, rule: Rule, measure: Measure, result: str, told: Finding | None) -> str:
    """Return what would make a rule pass, as the section says that judged the same fact, and as the check does."""
    if result == "pass":
        return ""
    if measure.kept:
        return _more_margin(writer, rule, measure)
    own = measure.cure is not None and measure.cure.amounts
    if told is not None and told.cure and not (own and not _has_figure(told.cure)):
        besides = _quoted(writer, rule, Cure(measure.cure.besides, measure.cure.amounts)) if measure.cure else ""
        return f"{told.cure}, or {besides}" if besides else told.cure
    return _quoted(writer, rule, measure.cure) if measure.cure is not None else ""


def _has_figure(cure: str) -> bool:
    return "{" in cure or any(letter.isdigit() for letter in cure)


def _more_margin(writer: LedgerWriter, rule: Rule, measure: Measure) -> str:
    """Return the margin that would pass without a remark; only limits in numbers have one that is too small."""
    limit = measure.limit
    assert isinstance(limit, float | int)
    step = PRINTED_STEP.get(measure.unit, 0.0) / 10**measure.decimals
    wanted = rule.caution_within_ratio * abs(limit)
    key = writer.put(
        finding(rule.ident, "wanted"), f"{rule.title}: margin wanted",
        math.ceil(wanted / step - 1e-9) * step if step else wanted, measure.unit, decimals=measure.decimals,
        method="share of the limit below which the rule set cautions", inputs=(finding(rule.ident, "limit"),),
        source=rule.source,
    )  # fmt: skip
    cure = measure.cure
    if cure is None or not cure.amounts or measure.margin <= 0.0 or any(one.value >= 0.0 for one in cure.amounts):
        return f"have {{{key}}} in hand; with less nothing may go worse than planned"
    # The amounts of a kept rule are what is in hand, without its sign: in proportion they say what is still wanted.
    still = (measure.margin - wanted) / measure.margin
    missing = replace(cure, amounts=tuple(replace(one, value=still * one.value) for one in cure.amounts))
    return f"{_quoted(writer, rule, missing)}: then {{{key}}} is in hand"


def _quoted(writer: LedgerWriter, rule: Rule, cure: Cure) -> str:
    """Return the words of a cure with its amounts entered and quoted."""
    text = cure.text
    for amount in cure.amounts:
        if f"{{{amount.name}}}" not in text:
            continue
        step = PRINTED_STEP.get(amount.unit, 0.0) / 10**amount.decimals
        value = math.ceil(amount.value / step - 1e-9) * step if step else amount.value
        key = finding(rule.ident, amount.name)
        writer.put(
            key,
            f"{rule.title}: to mend it",
            value,
            amount.unit,
            decimals=amount.decimals,
            method="what is short, rounded up to the printed step",
            inputs=(finding(rule.ident, "measured"), finding(rule.ident, "limit")),
        )
        text = text.replace(f"{{{amount.name}}}", f"{{{key}}}")
    return text
