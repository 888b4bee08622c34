"""Which neighbours of one line count as one part, so that a network has fewer to solve."""

import pytest

from service.engineering.steam.passages import Bore, Loss, join_segments, trace_line

WIDE, FINE, COARSE = 4e-3, 2e-6, 20e-6


@pytest.mark.parametrize(
    ("parts", "count"),
    [
        ((Bore(WIDE, 0.05, FINE), Bore(WIDE, 0.03, FINE)), 1),
        ((Bore(WIDE, 0.05, FINE), Bore(WIDE, 0.03, COARSE)), 2),
        ((Bore(WIDE, 0.05, COARSE), Loss(WIDE, 2.0)), 1),
        ((Loss(WIDE, 2.0), Bore(WIDE, 0.05, COARSE)), 1),
        ((Loss(WIDE, 2.0), Loss(WIDE, 3.0)), 1),
        ((Bore(WIDE, 0.05, FINE), Bore(3e-3, 0.05, FINE)), 2),
    ],
)
def test_only_parts_of_one_bore_and_one_wall_are_one(parts: tuple, count: int) -> None:
    """Losses and lengths of one bore add up; walls of two kinds of roughness do not."""
    joined = join_segments(trace_line(parts))

    assert len(joined) == count
    line = trace_line(parts).segments
    assert sum(one.loss for one in joined) == pytest.approx(sum(one.loss for one in line))
    lengths = sum(one.slenderness for one in line)
    assert sum(one.slenderness for one in joined) == pytest.approx(lengths)
