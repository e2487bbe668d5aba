"""Every sheet of every sample plan: words apart from each other, within the frame, large enough to read."""

from __future__ import annotations

import pytest
from shapely import LineString, Polygon, STRtree, box, unary_union

from service.sheets.frame import MARGIN
from service.sheets.model import Layer
from service.sheets.paper import A4_HIGH, A4_WIDE, Page, Stroke, Words
from tests.scenarios.sheet_books import NAMES, book

FRAME = box(MARGIN, MARGIN, A4_WIDE - MARGIN, A4_HIGH - MARGIN)
LEAST_POINTS = 7.0
"""Small print that most people read at arm's length (common practice, no source)."""
POINT_MM = 25.4 / 72
TOUCH_MM = 0.02
AT_MM = 3.2
"""Words as near as this, a little more than their own height, belong to a line [mm]."""


@pytest.fixture(scope="module", params=NAMES)
def name(request: pytest.FixtureRequest) -> str:
    """A plan; all tests of one come one after the other, so that it is solved once."""
    return str(request.param)


def boxes(page: Page) -> list[tuple[str, Polygon]]:
    """Words with the boxes they take up."""
    return [(w.text, Polygon(w.corners()).buffer(-TOUCH_MM)) for w in page.inks if isinstance(w, Words) and w.text]


def test_no_words_overlap(name: str) -> None:
    """Measured by the widths of the typeface."""
    for page in book(name).pages:
        told = boxes(page)
        tree = STRtree([shape for _, shape in told])
        pairs = tree.query([shape for _, shape in told], predicate="intersects").T
        clashes = [(page.name, told[a][0], told[b][0]) for a, b in pairs if a < b]
        assert clashes == []


def test_nothing_leaves_the_frame(name: str) -> None:
    """Neither words nor lines."""
    for page in book(name).pages:
        outside = [text for text, shape in boxes(page) if not FRAME.covers(shape)]
        assert (page.name, outside) == (page.name, [])
        points = [p for ink in page.inks if isinstance(ink, Stroke) for p in ink.points]
        assert all(MARGIN - 0.01 <= x <= A4_WIDE - MARGIN + 0.01 for x, _ in points), page.name
        assert all(MARGIN - 0.01 <= y <= A4_HIGH - MARGIN + 0.01 for _, y in points), page.name


def test_letters_are_large_enough_at_a4(name: str) -> None:
    """No smaller than small print."""
    sizes = {w.size for page in book(name).pages for w in page.inks if isinstance(w, Words)}
    assert min(sizes) / POINT_MM >= LEAST_POINTS


def test_no_leader_crosses_words(name: str) -> None:
    """A line from words to their point passes over no other words but those at its own point."""
    for page in book(name).pages:
        told = boxes(page)
        tree = STRtree([shape for _, shape in told])
        leaders = [
            Polygon([*ink.points, ink.points[1]])
            for ink in page.inks
            if isinstance(ink, Stroke) and ink.layer is Layer.LEADER
        ]
        for leader in leaders:
            crossed = [told[i][0] for i in tree.query(leader.exterior, predicate="crosses")]
            assert (page.name, crossed) == (page.name, [])


def test_everything_found_a_place(name: str) -> None:
    """No words of a sample plan had to be put into the notes for want of room."""
    for page in book(name).pages:
        assert not [w.text for w in page.inks if isinstance(w, Words) and w.text.startswith("No room in")]


def test_no_key_runs_on_to_a_sheet_of_its_own(name: str) -> None:
    """A reader finds what a letter means beside the drawing."""
    assert [page.name for page in book(name).pages if "-key-" in page.name] == []


def test_words_of_a_dimension_stand_at_its_line(name: str) -> None:
    """Or are led to it; else they would be taken for another's."""
    for page in book(name).pages:
        strokes = [ink for ink in page.inks if isinstance(ink, Stroke)]
        lines = unary_union([LineString(s.points) for s in strokes if s.layer is Layer.DIMENSION and not s.closed])
        led = unary_union([LineString(s.points) for s in strokes if s.layer is Layer.LEADER])
        for words in page.inks:
            if isinstance(words, Words) and words.layer is Layer.DIMENSION and words.text[0].isdigit():
                shape = Polygon(words.corners())
                assert min(shape.distance(lines), shape.distance(led)) < AT_MM, (page.name, words.text)
