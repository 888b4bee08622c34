"""Indexing: shims, facing cuts and which way they turn."""

from itertools import combinations_with_replacement
from math import degrees, isclose, pi, radians

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engineering.errors import OutOfRange, Unsuitable
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.joint import Indexing, index_fitting

MM = 1e-3
PITCH = 0.635


def index(
    found: float,
    wanted: float,
    *,
    shims: tuple[float, ...] = (0.05, 0.1, 0.2),
    tolerance: float = 5,
    crush: float = 0.0,
    flats: int | None = None,
) -> Indexing:
    return index_fitting(
        find_thread("1/4 x 40 ME"),
        found=radians(found),
        wanted=radians(wanted),
        shims=[shim * MM for shim in shims],
        tolerance=radians(tolerance),
        crush=crush * MM,
        flats=flats,
    )


@pytest.mark.parametrize(
    ("angle", "thickness_mm"),
    [(15, 0.0265), (30, 0.0529), (45, 0.0794), (90, 0.1588), (120, 0.2117), (270, 0.4762)],
)
def test_shim_takes_the_fitting_back_by_its_share_of_a_turn(
    angle: float, thickness_mm: float
) -> None:
    """t = P angle / 360, worked for 40 threads per inch."""
    assert index(angle, 0).thickness / MM == pytest.approx(thickness_mm, abs=5.1e-5)


def test_clockwise_is_gained_by_facing_or_nearly_a_turn_of_shim() -> None:
    result = index(20, 110)

    assert result.facing_cut / MM == pytest.approx(PITCH * 90 / 360)
    assert result.thickness / MM == pytest.approx(PITCH * 270 / 360)


def test_fewest_shims_within_tolerance_are_chosen() -> None:
    result = index(110, 20)

    assert [round(shim / MM, 3) for shim in result.stack] == [0.1, 0.05]
    assert degrees(result.error) == pytest.approx(4.96, abs=0.01)
    assert result.findings[0].code == "indexing-within-tolerance"


def test_crush_is_added_to_the_stack() -> None:
    exact = index(110, 20, shims=(0.17875,), tolerance=0.1, crush=0.02)

    assert exact.thickness / MM == pytest.approx(0.15875 + 0.02)
    assert len(exact.stack) == 1
    assert degrees(exact.error) == pytest.approx(0, abs=0.01)


def test_fitting_that_points_right_needs_nothing() -> None:
    result = index(90, 90, crush=0.02)

    assert result.stack == ()
    assert result.thickness == 0
    assert result.facing_cut == 0
    assert result.turns_lost == 0


def test_fitting_that_points_nearly_right_needs_nothing() -> None:
    assert index(2, 358).stack == ()
    assert index(358, 2).stack == ()


def test_without_shims_the_facing_cut_is_the_answer() -> None:
    result = index(20, 110, shims=())

    assert result.stack == ()
    assert result.findings[0].level == "caution"
    assert result.facing_cut / MM == pytest.approx(0.15875)


def test_out_of_tolerance_gives_the_nearest_and_says_so() -> None:
    result = index(110, 20, shims=(0.13,), tolerance=1)

    assert [round(shim / MM, 3) for shim in result.stack] == [0.13]
    assert result.findings[0].code == "indexing-out-of-tolerance"
    assert result.findings[0].level == "caution"


def test_one_shim_and_a_small_cut_make_it_exact() -> None:
    result = index(110, 20, shims=(0.2, 0.5))

    assert result.shim_with_cut is not None
    shim, cut = result.shim_with_cut
    assert shim / MM == pytest.approx(0.2)
    assert (shim - cut) / MM == pytest.approx(0.15875)


def test_flats_of_the_hexagon_are_counted() -> None:
    assert index(110, 20, flats=6).flats_back == pytest.approx(1.5)
    assert index(110, 20).flats_back is None


def test_stack_costs_engagement() -> None:
    result = index(20, 110)

    assert result.turns_lost == pytest.approx(sum(result.stack) / MM / PITCH)
    assert result.turns_lost < 1


def test_many_shims_are_cautioned_against() -> None:
    codes = [finding.code for finding in index(200, 0, shims=(0.09,), tolerance=10).findings]

    assert "indexing-many-shims" in codes


@pytest.mark.parametrize("designation", ["1/8 BSPT", "1/8-27 NPT"])
def test_taper_thread_is_refused_with_the_alternative(designation: str) -> None:
    with pytest.raises(Unsuitable, match=r"taper.*union or a parallel thread"):
        index_fitting(
            find_thread(designation), found=0, wanted=1, shims=[MM], tolerance=0.1, crush=0
        )


@pytest.mark.parametrize(
    ("field", "changes"),
    [
        ("shims", {"shims": (0.0,)}),
        ("shims", {"shims": (-0.1,)}),
        ("shims", {"shims": (6.0,)}),
        ("shims", {"shims": (float("nan"),)}),
        ("shims", {"shims": tuple(0.01 * step for step in range(1, 30))}),
        ("tolerance", {"tolerance": -1}),
        ("tolerance", {"tolerance": 181}),
        ("crush", {"crush": -0.01}),
        ("crush", {"crush": 0.7}),
        ("flats", {"flats": 1}),
        ("found", {"found": float("inf")}),
    ],
)
def test_impossible_request_is_refused_by_field(
    field: str, changes: dict[str, float | int | tuple[float, ...]]
) -> None:
    with pytest.raises(OutOfRange) as refusal:
        index(**({"found": 10, "wanted": 50} | changes))

    assert refusal.value.field == field


angles = st.floats(-720, 720)
thicknesses = st.lists(st.integers(1, 60), min_size=1, max_size=4, unique=True)


@given(found=angles, wanted=angles, hundredths=thicknesses, crush=st.integers(0, 5))
def test_stack_points_where_it_says(
    found: float, wanted: float, hundredths: list[int], crush: int
) -> None:
    shims = tuple(step / 100 for step in hundredths)
    result = index(found, wanted, shims=shims, crush=crush / 100)
    given_up = max(sum(result.stack) / MM - crush / 100, 0) if result.stack else 0
    turned = (found - 360 * given_up / PITCH - degrees(result.points_at)) / 360

    assert isclose(turned, round(turned), abs_tol=1e-6)
    assert abs(result.error) <= pi + 1e-9
    assert 0 <= result.facing_cut / MM < PITCH


@given(found=st.floats(0, 359), wanted=st.floats(0, 359), hundredths=thicknesses)
def test_no_smaller_stack_would_do(found: float, wanted: float, hundredths: list[int]) -> None:
    """Against every stack there is, one by one."""
    shims = tuple(step / 100 for step in hundredths)
    tolerance = 5
    result = index(found, wanted, shims=shims, tolerance=tolerance)

    def error_of(stack: tuple[float, ...]) -> float:
        off = found - 360 * sum(stack) / PITCH - wanted
        return abs((off + 180) % 360 - 180)

    def is_under_a_turn(stack: tuple[float, ...]) -> bool:
        back = (found - wanted) % 360
        return abs(360 * sum(stack) / PITCH - back) <= tolerance + 1e-6

    for count in range(1, len(result.stack)):
        for stack in combinations_with_replacement(shims, count):
            assert not (error_of(stack) <= tolerance - 1e-6 and is_under_a_turn(stack))
    if abs(degrees(result.error)) > tolerance + 1e-6:
        for count in range(1, 7):
            for stack in combinations_with_replacement(shims, count):
                assert not (error_of(stack) <= tolerance - 1e-6 and is_under_a_turn(stack))


def test_more_shims_of_the_same_thickness_are_not_taken_for_nearer() -> None:
    # 290 degrees of 0.635 mm is 0.51 mm: one shim of 0.5 mm, and not six that add up to it.
    indexing = index_fitting(
        find_thread("1/4 x 40 ME"),
        found=radians(20),
        wanted=radians(90),
        shims=[0.00005, 0.0001, 0.0002, 0.0005],
        tolerance=radians(5),
    )

    assert indexing.stack == (0.0005,)
