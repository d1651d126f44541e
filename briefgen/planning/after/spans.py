"""The difference in fuel, from one reading of the tanks to the next, shared out among its causes."""

from __future__ import annotations

import math
from collections.abc import Sequence

from briefgen.kernel.statistics.attribution import Share
from briefgen.model.ledger import Row
from briefgen.model.record import Absent, Record, Ref, Sum, figure, rests_on, total
from briefgen.model.tables import ColumnOf, TableOf, column
from briefgen.planning.after.readings import Reading
from briefgen.planning.after.subsets import Flights
from briefgen.planning.after.ways import (
    ALTITUDE,
    CAUSES,
    CONSUMPTION,
    DELAY,
    GROUND_SPEED,
    SPEED,
    WEIGHT,
    WIND,
)
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.groups import FLOWN_BY, PLACES, rest_on_groups

SHAPLEY = "L. S. Shapley, A value for n-person games, in Contributions to the Theory of Games II, Annals of Mathematics Studies 28 (1953)"
CAUSE_WORDS = {
    WIND: "Wind", GROUND_SPEED: "Ground speed", SPEED: "Airspeed", WEIGHT: "Weight", CONSUMPTION: "Consumption",
    ALTITUDE: "Altitude", DELAY: "Delay and waiting",
}  # fmt: skip
MEANT = {
    WIND: "the wind found instead of the forecast one",
    GROUND_SPEED: "the speed over the ground: wind and airspeed cannot be told apart where neither was written down",
    SPEED: "the airspeed flown instead of the planned one",
    WEIGHT: "the weight and fuel she was loaded with, and what really left her",
    CONSUMPTION: "the fuel flow read against that of the aircraft file in the same flight",
    ALTITUDE: "the altitude flown instead of the planned one",
    DELAY: "the hour of the start, the time on the ground, over places and in the hold",
}
AGAIN = "the way that was flown, flown again as planned"
AGAINST = "smaller than what two readings of the tanks may be off together, one standard deviation"
TWO_READINGS = 2.0**0.5  # a difference of two equally good readings errs by so much more than one


class Span(Record):
    """From one reading of the tanks to the next."""

    def __init__(
        self, number: int, ends: tuple[Reading, Reading], stretches: tuple[int, int], flights: Flights, told: Told
    ) -> None:
        self.at, self.ends, self._stretches, self._flights, self._told = (
            f"debrief.span.{number:02d}",
            ends,
            stretches,
            flights,
            told,
        )
        self.words = f"{ends[0].words} to {ends[1].words}"
        self.found = flights.shares(*stretches)
        self.shares = [SpanShare(self, cause, self.found[cause]) for cause in flights.causes]

    def parts(self) -> Sequence[Record]:
        return self.shares

    def rest(self) -> None:
        """Read what every flight of the way rests on."""
        self._told.rest()

    @figure("Between", how="two readings of the tanks, one after the other")
    def between(self) -> str:
        return self.words

    @figure("%(words)s: burnt as planned", "lb", how=AGAIN)
    def planned(self) -> float:
        self.rest()
        begin, end = self._stretches
        return math.fsum(stretch.burnt_kg for stretch in self._flights.planned[begin:end])

    @total("%(words)s: burnt", "lb", how="fuel read less fuel read next")
    def burnt(self) -> Sum:
        return Sum([Reading.fuel.of(self.ends[0])], [Reading.fuel.of(self.ends[1])])

    @total("%(words)s: more than planned", "lb", how="burnt less burnt as planned")
    def more(self) -> Sum:
        return Sum([Span.burnt.of(self)], [Span.planned.of(self)])

    @figure("%(words)s: not explained", "lb", how="more than planned less the shares of all causes")
    def unexplained(self) -> float:
        return self.more - math.fsum(share.share for share in self.shares)


class SpanShare(Record):
    """What one cause adds between two readings."""

    def __init__(self, span: Span, cause: str, share: Share) -> None:
        self.at, self.cause, self._span, self._share = f"{span.at}.{slug(cause)}", cause, span, share
        self.words, self.label = span.words, CAUSE_WORDS[cause]

    @figure("%(words)s: %(label)s", "lb", source=SHAPLEY,
            how="mean, over all orders in which the causes can be met, of what this one adds")  # fmt: skip
    def share(self) -> float:
        self._span.rest()
        return self._share.mean


class Told:
    """What the flights rest on besides the plan: the readings the causes were taken from."""

    def __init__(self, readings: Sequence[Reading], writer: LedgerWriter) -> None:
        self._readings, self._writer = readings, writer

    def rest(self) -> None:
        """Read them all: each may have set the causes at work."""
        rest_on_groups(*FLOWN_BY, PLACES)
        self._writer.number("fuel.ramp")
        self._writer.number("mass.zero_fuel")
        for one in self._readings:
            for read in (Reading.time, Reading.fuel):
                if read.of(one).there:
                    rests_on(read.read(one))


class Cause(Record):
    """What one cause adds on the whole way."""

    def __init__(self, cause: str, spans: Sequence[Span], flights: Flights, reading_error_kg: float | None) -> None:
        self.at, self.cause, self._spans, self._error_kg = (
            f"debrief.cause.{slug(cause)}",
            cause,
            spans,
            reading_error_kg,
        )
        self.label, self.meaning = CAUSE_WORDS[cause], MEANT[cause]
        self._whole = flights.shares(spans[0]._stretches[0], spans[-1]._stretches[1])[cause]

    @figure("%(label)s: what it is", how="as the log tells it")
    def meant(self) -> str:
        return self.meaning

    @figure("%(label)s: share", "lb", how="sum of its shares between readings")
    def share(self) -> float:
        return math.fsum(one.share for span in self._spans for one in span.shares if one.cause == self.cause)

    @figure("%(label)s: least in any order", "lb", how="the least it adds in any order of the causes", source=SHAPLEY)
    def least(self) -> float:
        self._spans[0].rest()
        return self._whole.least

    @figure("%(label)s: most in any order", "lb", how="the most it adds in any order of the causes", source=SHAPLEY)
    def most(self) -> float:
        self._spans[0].rest()
        return self._whole.most

    @figure("%(label)s: against the readings", how=AGAINST)
    def word(self) -> str:
        return against(self.share, self._error_kg)


class Whole(Record):
    """The whole difference and its parts."""

    at = "debrief.fuel"

    def __init__(self, spans: Sequence[Span], causes: Sequence[Cause], reading_error_kg: float | None) -> None:
        self._spans, self._causes, self._error_kg = spans, causes, reading_error_kg

    @figure("Between", how="the first reading of the tanks and the last")
    def between(self) -> str:
        return "in all"

    @figure("Burnt as planned, along the way flown", "lb", how="sum of the spans")
    def planned(self) -> float:
        return math.fsum(span.planned for span in self._spans)

    @total("Burnt", "lb", how="fuel read first less fuel read last")
    def burnt(self) -> Sum:
        return Sum([Reading.fuel.of(self._spans[0].ends[0])], [Reading.fuel.of(self._spans[-1].ends[1])])

    @total("Burnt more than planned", "lb", how="burnt less burnt as planned")
    def more(self) -> Sum:
        return Sum([Whole.burnt.of(self)], [Whole.planned.of(self)])

    @total("Burnt less than planned", "lb", how="burnt as planned less burnt")
    def less(self) -> Sum:
        if self.more >= 0.0:
            raise Absent("she burnt no less than planned")
        return Sum([Whole.planned.of(self)], [Whole.burnt.of(self)])

    @figure("Not explained", "lb", how="more than planned less the shares of all causes")
    def unexplained(self) -> float:
        return self.more - math.fsum(cause.share for cause in self._causes)

    @figure("Not explained: against the readings", how=AGAINST)
    def word(self) -> str:
        return against(self.unexplained, self._error_kg)


def against(mass_kg: float, reading_error_kg: float | None) -> str:
    """Return whether a difference is more than two readings of the tanks may be off together.

    Raises:
        Absent: It is more, or the error of a reading was not written down.
    """
    if reading_error_kg is None:
        raise Absent("the error of a reading was not written down")
    if abs(mass_kg) >= TWO_READINGS * reading_error_kg:
        raise Absent("it is more than the readings may be off")
    return "within the reading"


def slug(cause: str) -> str:
    """Return a cause as it stands in keys."""
    return cause.replace(" ", "_")


BETWEEN, PLANNED = column(Span.between, "Between"), column(Span.planned, "Planned")
BURNT, MORE = column(Span.burnt, "Burnt"), column(Span.more, "More")
NOT_EXPLAINED = column(Span.unexplained, "Not explained")
OF_CAUSE = {cause: ColumnOf(slug(cause), CAUSE_WORDS[cause], "lb") for cause in CAUSES}
SPANS = TableOf(
    "debrief.spans",
    "Where the difference came from, reading by reading",
    (BETWEEN, PLANNED, BURNT, MORE, *OF_CAUSE.values(), NOT_EXPLAINED),
    "Planned is the way that was flown, flown again as planned. Every row adds up as printed; a column may differ from its foot by what the rows were rounded.",
)
SHARE, LEAST_SHARE, MOST_SHARE = column(Cause.share, "Share"), column(Cause.least, "Least"), column(Cause.most, "Most")
WORD = column(Cause.word, "Against the readings")
CAUSES_TABLE = TableOf(
    "debrief.causes",
    "Where the difference came from",
    ( SHARE, LEAST_SHARE, MOST_SHARE, WORD,
     column(Cause.meant, "What it is")),
    "A share is the mean, over all orders of the causes, of what one adds; least and most say how far it hangs on the order.",
)  # fmt: skip


def write_spans(
    spans: Sequence[Span], causes: Sequence[Cause], reading_error_kg: float | None, writer: LedgerWriter
) -> Whole:
    """Enter the spans, the causes and the whole, and promise that each is printed as the sum of its parts."""
    whole = Whole(spans, causes, reading_error_kg)
    for record in (*spans, *causes, whole):
        writer.adopt(record)
    for span in spans:
        shares = [SpanShare.share.of(one).key for one in span.shares]
        writer.divide(Span.more.of(span).key, [*shares, Span.unexplained.of(span).key])
    writer.divide(
        Whole.more.of(whole).key, [*(Cause.share.of(one).key for one in causes), Whole.unexplained.of(whole).key]
    )
    rows = [SPANS.row(span.at, span, others=_shares(span)) for span in spans]
    rows.append(_last_row(whole, causes))
    writer.tabulate(SPANS.filled(rows))
    lines = [CAUSES_TABLE.row(cause.label, cause) for cause in causes]
    lines.append(CAUSES_TABLE.row_of("Not explained", _rest(whole)))
    lines.append(CAUSES_TABLE.row_of("Burnt more than planned", {SHARE: Whole.more.of(whole)}, "total"))
    writer.tabulate(CAUSES_TABLE.filled(lines))
    return whole


def _shares(span: Span) -> dict[ColumnOf, Ref]:
    return {OF_CAUSE[one.cause]: SpanShare.share.of(one) for one in span.shares}


def _rest(whole: Whole) -> dict[ColumnOf, Ref]:
    cells: dict[ColumnOf, Ref] = {SHARE: Whole.unexplained.of(whole)}
    word = Whole.word.of(whole)
    return cells | ({WORD: word} if word.there else {})


def _last_row(whole: Whole, causes: Sequence[Cause]) -> Row:
    cells: dict[ColumnOf, Ref] = {
        BETWEEN: Whole.between.of(whole), PLANNED: Whole.planned.of(whole), BURNT: Whole.burnt.of(whole),
        MORE: Whole.more.of(whole), NOT_EXPLAINED: Whole.unexplained.of(whole),
    }  # fmt: skip
    cells |= {OF_CAUSE[cause.cause]: Cause.share.of(cause) for cause in causes}
    return SPANS.row_of("in all", cells, "total")
