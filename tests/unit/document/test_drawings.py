"""Charts: round ticks, labels that keep off each other and inside the drawing, land where land is."""

from __future__ import annotations

import re
from itertools import combinations

import pytest

from briefgen.document.drawings.land import land_within
from briefgen.document.drawings.route_map import degrees_text, near
from briefgen.document.pages.contents import CHARTS, chart_block
from briefgen.document.parts.assemble import source_of
from briefgen.document.parts.svg import Box, Canvas, Drawing, Frame, round_ticks, tick_text
from tests.shared.invented_plan import invented_plan

SIZES = ((960.0, 15.0), (352.0, 9.0))  # a page of the site and a card


def drawings() -> list[Drawing]:
    source = source_of(invented_plan())
    names = [*CHARTS, *(name for name in source.plan.charts if name not in CHARTS)]
    blocks = [chart_block(source, name, width, size) for name in names for width, size in SIZES]
    return [block.drawing for block in blocks if block]


@pytest.mark.parametrize("drawing", drawings(), ids=lambda drawing: f"{drawing.title} {drawing.width:.0f}")
class TestEveryDrawing:
    def test_no_two_texts_overlap(self, drawing: Drawing) -> None:
        """Every label, tick and title has its own ground."""
        clashes = [(a[0], b[0]) for a, b in combinations(drawing.texts, 2) if a[1].overlaps(b[1])]

        assert clashes == []

    def test_every_text_lies_inside(self, drawing: Drawing) -> None:
        """Nothing is cut off at the edge."""
        frame = Frame(drawing.width, drawing.height, 1.0, "x")

        assert [text for text, box in drawing.texts if not box.within(frame)] == []

    def test_it_has_a_text_alternative_and_its_own_ids(self, drawing: Drawing) -> None:
        """Title and description are tied to the drawing by ids that occur once."""
        ids = re.findall(r' id="([^"]+)"', drawing.markup)

        assert len(ids) == len(set(ids))
        assert drawing.description
        assert 'role="img"' in drawing.markup

    def test_it_holds_no_colour(self, drawing: Drawing) -> None:
        """Colour is the style sheet's: the drawing follows a change of theme."""
        assert not re.search(r'#[0-9a-f]{3,6}\b|fill="(?!none)|stroke="', drawing.markup)


def test_charts_say_what_their_axes_are() -> None:
    """Each axis carries its name and its unit."""
    texts = {text for drawing in drawings() for text, _ in drawing.texts}

    assert {"Altitude, ft", "Distance from take-off, NM", "Fuel on board, lb", "Weight, lb", "Time, UTC"} <= texts


@pytest.mark.parametrize(
    ("low", "high", "about", "expected"),
    [
        (0, 10, 5, (0, 2, 4, 6, 8, 10)),
        (0.13, 0.87, 4, (0, 0.2, 0.4, 0.6, 0.8, 1.0)),
        (-30, 40, 3, (-50, -25, 0, 25, 50)),
    ],
)
def test_ticks_are_round_and_cover_the_range(low: float, high: float, about: int, expected: tuple[float, ...]) -> None:
    """Steps are 1, 2, 2.5 or 5 times a power of ten."""
    assert pytest.approx(expected) == round_ticks(low, high, about)


def test_an_empty_range_is_refused() -> None:
    """There is no axis from a value to itself."""
    with pytest.raises(ValueError, match="no range from 3 to 3"):
        round_ticks(3, 3, 5)


def test_tick_values_are_written_as_figures_are() -> None:
    """Thousands have a comma and a minus is a minus."""
    assert (tick_text(12000), tick_text(-2.5), tick_text(0)) == ("12,000", "\u22122.5", "0")


def test_a_label_without_room_is_left_out() -> None:
    """Two labels never share a place: where all is taken the second is not written."""
    canvas = Canvas(Frame(100, 100, 10, "x"))
    canvas.keep_clear(Box(0, 0, 100, 100))

    assert not canvas.place((50, 50), "Marlin")


def test_land_is_where_land_is() -> None:
    """Facts of geography: the middle of Australia is land, the middle of the Coral Sea is not."""
    assert land_within(133.0, -25.0, 134.0, -24.0)
    assert not land_within(157.0, -16.0, 158.0, -15.0)


def test_a_window_across_180_degrees_shows_both_sides() -> None:
    """Fiji lies on both sides of 180 degrees."""
    rings = land_within(176.0, -19.0, 184.0, -15.0)

    assert any(lon < 180.0 for ring in rings for lon, _ in ring)
    assert any(lon > 180.0 for ring in rings for lon, _ in ring)


def test_longitudes_are_named_within_half_a_turn() -> None:
    """170 degrees west next to 175 east is 190; on the graticule it is 170 west again."""
    assert near(-170.0, 175.0) == 190.0
    assert tuple(degrees_text(value, "E", "W") for value in (190.0, 165.0, 0.0)) == ("170°W", "165°E", "0°")
