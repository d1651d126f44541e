"""Where a load under a canopy is let go: drift is wind times time of fall, common practice of the trade, no published source."""

from __future__ import annotations

import pytest

from briefgen.errors import OutOfRangeError
from briefgen.kernel.wind import Wind, release_point


@pytest.mark.parametrize(
    ("course", "wind", "fall_s", "throw_m", "before_m", "right_m"),
    [
        (90.0, Wind(0.0, 0.0), 30.0, 120.0, 120.0, 0.0),  # calm: short by the throw
        (90.0, Wind(90.0, 10.0), 30.0, 120.0, -180.0, 0.0),  # head wind carries it back 300 m: 180 m beyond the place
        (90.0, Wind(270.0, 10.0), 30.0, 120.0, 420.0, 0.0),  # tail wind carries it on
        (90.0, Wind(180.0, 10.0), 30.0, 0.0, 0.0, 300.0),  # from the right it drifts left, so it is let go to the right
        (360.0, Wind(270.0, 5.0), 20.0, 50.0, 50.0, -100.0),
        (45.0, Wind(90.0, 10.0), 10.0, 0.0, -70.710678, 70.710678),
    ],
)
def test_the_point_of_release_by_hand(
    course: float, wind: Wind, fall_s: float, throw_m: float, before_m: float, right_m: float
) -> None:
    found = release_point(course, wind, fall_s, throw_m)

    assert (found.before_m, found.right_m) == pytest.approx((before_m, right_m), abs=1e-6)


@pytest.mark.parametrize(("fall_s", "throw_m"), [(-1.0, 0.0), (1.0, -1.0)])
def test_nothing_falls_upward_or_is_thrown_back(fall_s: float, throw_m: float) -> None:
    with pytest.raises(OutOfRangeError):
        release_point(0.0, Wind(0.0, 0.0), fall_s, throw_m)
