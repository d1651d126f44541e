"""Which cards each position carries, in the order in which they are used.

Both pilots carry the same faces, so that "card 5" means one thing to both. What the cards of a position that nobody fills would
hold goes to the co-pilot, the load to the captain; whole checklists, emergencies and the crew briefing are shared.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from briefgen.document.cards.blocks import Block, Card, Chart, Face, Grid
from briefgen.document.cards.dealing import dealt
from briefgen.document.cards.engine_out import emergency_faces, engine_out_face
from briefgen.document.cards.engineer import fuel_graph_face, fuel_log_face, limits_face, off_plan_face, power_faces
from briefgen.document.cards.front import approval_tag, band_of, front_face
from briefgen.document.cards.layout import head_lines
from briefgen.document.cards.others import (
    drop_faces,
    load_face,
    log_events,
    log_face,
    map_face,
    script_face,
)
from briefgen.document.cards.points import points_face
from briefgen.document.cards.route_power import route_and_power
from briefgen.document.cards.shared import (
    BRIEF,
    CHECKLISTS,
    EMERGENCIES,
    REFERENCE,
    brief_faces,
    checklist_faces,
    clock_face,
    pilots_of,
    reference_faces,
)
from briefgen.document.cards.take_off import take_off_face
from briefgen.document.cards.where import arrival_face, where_face
from briefgen.document.parts.assemble import Source, aboard
from briefgen.model.plan import POSITIONS

# Of a position that nobody fills, what somebody else must carry: whose, and to whom; else the co-pilot, else the captain.
TAKEN_OVER = {"flight engineer": ("limits", "fuel log", "off plan"), "navigator": ("log", "points"), "radio operator": ("script",), "loadmaster": ("load", "drop")}  # fmt: skip
PILOTS = ("captain", "co-pilot")
KEEPERS = {"loadmaster": "captain"}


def all_cards(source: Source) -> tuple[Card, ...]:
    """Return the cards of every position aboard, position by position, then those that all share.

    Raises:
        RenderError: A text has words that cannot stand on a card.
    """
    band, head, tag = band_of(source), head_lines(source.identity), approval_tag(source)
    decks = _decks(source)
    cards: list[Card] = []
    aside: list[Block] = []
    for position, faces in decks.items():
        made = dealt(position, faces, band, head, tag)
        cards += made.cards
        aside += [block for block in made.aside if not _dispensable(block)]
    for name, faces in (
        (CHECKLISTS, checklist_faces(source)),
        (EMERGENCIES, emergency_faces(source)),
        (BRIEF, brief_faces(source)),
    ):
        cards += dealt(name, faces, band, head, tag).cards
    return (*cards, *dealt(REFERENCE, reference_faces(source, aside), band, head, tag).cards)


def _dispensable(block: Block) -> bool:
    return isinstance(block, Grid) and block.name in ("levers", "power.note", "heard", "book", "duty")


def _decks(source: Source) -> dict[str, list[Face]]:
    crew = aboard(source.plan)
    pilots = _pilots(source)
    decks = {
        position: [_own(face, position) for face in pilots] if position in PILOTS else _faces(source, position)
        for position in crew
    }
    for missing in (position for position in POSITIONS if position not in crew and position not in PILOTS):
        keeper = _keeper(missing, crew)
        carried = {face.ident for face in decks[keeper]}
        decks[keeper] += [
            face
            for face in _faces(source, missing)
            if face.ident in TAKEN_OVER[missing] and face.ident not in carried and not _only_clock(face)
        ]
    return decks


def _own(face: Face, position: str) -> Face:
    """Return a face that several carry with the drawings of one of them: an ident stands once on a page."""
    blocks = tuple(
        replace(one, drawing=one.drawing.of(position)) if isinstance(one, Chart) else one for one in face.blocks
    )
    return replace(face, blocks=blocks)


def _only_clock(face: Face) -> bool:
    """Return whether a face holds nothing but a list of events, which another position carries then."""
    return all(isinstance(block, Grid) and block.name == "by the clock" for block in face.blocks)


def _keeper(missing: str, crew: Sequence[str]) -> str:
    wanted = KEEPERS.get(missing, "co-pilot")
    return wanted if wanted in crew else crew[0]


def _faces(source: Source, position: str) -> list[Face]:
    makers: dict[str, Callable[[], list[Face | None]]] = {
        "flight engineer": lambda: [
            limits_face(source), *power_faces(source), off_plan_face(source), fuel_log_face(source), fuel_graph_face(source, "engineer"),
            engine_out_face(source),
        ],
        "navigator": lambda: [
            log_face(source), map_face(source), points_face(source), fuel_graph_face(source, "navigator"), where_face(source),
            clock_face(source, "navigator", log_events(source)),
        ],
        "radio operator": lambda: [script_face(source), where_face(source), clock_face(source, "radio operator")],
        "loadmaster": lambda: [load_face(source), *drop_faces(source)],
    }  # fmt: skip
    return [face for face in makers[position]() if face is not None and face.blocks]


def _pilots(source: Source) -> list[Face]:
    """Return the seven faces that both pilots carry."""
    both = pilots_of(source)
    way, power = route_and_power(source, both)
    return [
        front_face(source), take_off_face(source), way, power,
        engine_out_face(source), where_face(source), arrival_face(source),
    ]  # fmt: skip
