"""Adapters as parts: lengths add up, metal is left, and the order can be worked."""

from math import pi, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engineering.errors import NoSolution, OutOfRange
from service.engineering.kit import Bar
from service.engineering.threads.catalogue import catalogue
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.fit import FemaleEnd, MaleEnd
from service.engineering.threads.remedies import density_of, plan_adapter
from service.engineering.threads.remedies.bars import choose_hexagon
from service.quantities.wording import word

MILLIMETRE = 1e-3


def male(name: str, **sizes) -> MaleEnd:
    return MaleEnd(find_thread(name), **sizes)


def female(name: str, **sizes) -> FemaleEnd:
    return FemaleEnd(find_thread(name), **sizes)


def test_nipple_is_two_males_with_undercuts_on_a_hexagon() -> None:
    plan = plan_adapter(
        male("1/4 x 40 ME", length=6 * MILLIMETRE),
        male("3/8 x 32 ME", length=8 * MILLIMETRE),
        bore=3 * MILLIMETRE,
    )

    small, large = plan.ends
    assert small.undercut_diameter == pytest.approx(5.437e-3, abs=2e-6)
    assert small.undercut_width == pytest.approx(2 * 0.635e-3)
    assert small.wall == pytest.approx((5.437e-3 - 3e-3) / 2, abs=2e-6)
    assert plan.stock_diameter >= large.diameter + 2 * MILLIMETRE - 1e-6
    assert plan.total_length == pytest.approx(
        6e-3 + 2 * 0.635e-3 + plan.body_length + 8e-3 + 2 * 0.79375e-3
    )
    assert plan.wall_least == small.wall
    assert plan.threading_order == ("3/8 x 32 ME", "1/4 x 40 ME")


def test_mass_is_that_of_its_cylinders() -> None:
    plan = plan_adapter(
        male("1/4 x 40 ME", length=6 * MILLIMETRE),
        male("1/4 x 40 ME", length=6 * MILLIMETRE),
        bore=3 * MILLIMETRE,
    )

    hexagon = sqrt(3) / 2 * plan.stock_diameter**2 * plan.body_length
    stubs = 2 * pi / 4 * (5.943e-3**2 * 6e-3 + 5.437e-3**2 * 1.27e-3)
    bore = pi / 4 * 3e-3**2 * plan.total_length
    assert plan.mass == pytest.approx((hexagon + stubs - bore) * 8470, rel=1e-3)


def test_socket_has_room_for_the_tap_and_a_web_behind_it() -> None:
    plan = plan_adapter(
        female("1/4 x 40 ME", depth=6 * MILLIMETRE), male("1/8 BSP"), bore=3 * MILLIMETRE
    )

    socket = plan.end_a
    assert word(socket.drill) == "7/32 in"
    assert socket.length == pytest.approx(6e-3 + 2.5 * 0.635e-3)
    assert plan.body_length >= socket.length + 2 * MILLIMETRE - 1e-9
    assert plan.threading_order == ("1/8 BSP", "1/4 x 40 ME")


def test_operations_drill_before_they_part_off_and_thread_both_ends() -> None:
    plan = plan_adapter(female("1/4 x 40 ME"), male("1/8 BSP"), bore=3 * MILLIMETRE)

    texts = [word(step.text) for step in plan.operations]
    parting = next(i for i, text in enumerate(texts) if text.startswith("Part off"))
    drilling = next(i for i, text in enumerate(texts) if text.startswith("Drill the bore"))
    die = next(i for i, text in enumerate(texts) if text.startswith("Cut 1/8 BSP"))
    tap = next(i for i, text in enumerate(texts) if text.startswith("Tap 1/4 x 40 ME"))
    assert drilling < die < parting < tap
    assert plan.minutes == pytest.approx(sum(step.minutes for step in plan.operations))


def test_drilling_is_deeper_than_the_part_is_long_and_the_bar_longer_still() -> None:
    plan = plan_adapter(female("1/4 x 40 ME"), male("1/8 BSP"), bore=3 * MILLIMETRE)

    assert plan.total_length < plan.parting_length < plan.drilling_depth <= plan.bar_length


def test_taper_end_has_no_undercut_and_its_wall_is_that_of_the_small_end() -> None:
    plan = plan_adapter(male("1/8-27 NPT"), male("1/4 x 40 ME"), bore=3 * MILLIMETRE)

    thread = find_thread("1/8-27 NPT")
    small_end_root = thread.root_diameter - thread.taper * thread.gauge_length
    assert plan.end_a.undercut_diameter is None
    assert plan.end_a.wall == pytest.approx((small_end_root - 3e-3) / 2)


def test_thin_wall_is_found() -> None:
    plan = plan_adapter(male("3/16 x 40 ME"), male("1/4 x 40 ME"), bore=3.2 * MILLIMETRE)

    assert plan.findings[0].level == "fail"
    assert plan.findings[0].code == "wall-over-bore-too-thin"


@pytest.mark.parametrize("bore", [0.0, -1e-3, 5.6e-3, float("nan")])
def test_bore_that_breaks_into_a_thread_is_refused(bore: float) -> None:
    with pytest.raises(OutOfRange) as refusal:
        plan_adapter(male("1/4 x 40 ME"), male("3/8 x 32 ME"), bore=bore)
    assert refusal.value.field == "bore"


def test_part_larger_than_any_bar_is_refused() -> None:
    with pytest.raises(NoSolution, match="hexagon"):
        choose_hexagon(0.2)


def test_hexagon_is_the_smallest_that_holds() -> None:
    assert choose_hexagon(9.5 * MILLIMETRE)[0].name == "3/8 in hexagon"
    assert choose_hexagon(9.525 * MILLIMETRE)[0].name == "3/8 in hexagon"
    assert choose_hexagon(9.6 * MILLIMETRE)[0].name == "7/16 in hexagon"


def test_bronze_is_heavier_than_brass() -> None:
    assert density_of("bronze") > density_of("brass") > density_of("mild steel")


WITHIN_THE_BARS = [thread for thread in catalogue() if thread.major_diameter <= 0.04]


@given(
    st.sampled_from(WITHIN_THE_BARS),
    st.sampled_from(WITHIN_THE_BARS),
    st.sampled_from((MaleEnd, FemaleEnd)),
    st.sampled_from((MaleEnd, FemaleEnd)),
    st.floats(0.1, 0.8),
)
def test_any_two_ends_make_a_part(a, b, first, second, share) -> None:
    bore = share * min(MaleEnd(a).bottom, MaleEnd(b).bottom)

    plan = plan_adapter(first(a), second(b), bore=bore)

    assert plan.mass > 0
    assert plan.wall_least > 0
    assert plan.total_length >= plan.body_length > 0
    assert plan.stock_diameter >= max(a.major_diameter, b.major_diameter)


def test_of_the_bars_on_hand_the_smallest_that_will_do_is_taken() -> None:
    rack = [
        Bar(name, "hexagon", width * MILLIMETRE, width * MILLIMETRE, "mm", "brass", 0.3)
        for name, width in (("14 mm", 14.0), ("9 mm", 9.0), ("10 mm", 10.0), ("12 mm", 12.0))
    ]

    chosen, found = choose_hexagon(9.5 * MILLIMETRE, metal="brass", length=0.02, stock=rack)

    assert chosen.name == "10 mm"
    assert found == ()
