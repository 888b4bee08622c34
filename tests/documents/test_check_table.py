"""A plant's check as text: the worst first, in the measure of the workshop."""

import pytest

from service.documents.check_table import show_check
from service.plant.check import check_plant
from service.plant.graph import Boiler, End, Item, Joint, Plant, Port, SafetyValve
from service.quantities import parse_thread
from service.quantities.wording import Measure

AIR, BAR = 101_325.0, 1e5
MALE = Port("end", "male", parse_thread("M6 x 0.75"), length=6e-3, bore=3e-3)
FEMALE = Port("bush", "female", parse_thread("1/4 x 40 ME"), length=6e-3)
VALVE = Item("valve", "valve", "customer", (MALE,))
BOILER = Item("boiler", "boiler", "customer", (FEMALE,), boiler=Boiler(AIR + 4 * BAR))
SAFETY = Item("lifter", "safety_valve", "customer", (), safety_valve=SafetyValve(AIR + 3.5 * BAR))
PLANT = Plant(
    name="Launch",
    working_pressure=AIR + 3 * BAR,
    back_pressure=AIR,
    feed_temperature=288.15,
    items=(VALVE, BOILER, SAFETY),
    joints=(Joint(1, End(VALVE, MALE), End(BOILER, FEMALE)),),
)


@pytest.mark.parametrize(
    ("measure", "working", "lifts"),
    # 3 and 3.5 bar over 6894.757 Pa are 43.51 and 50.76 psi.
    [(Measure.METRIC, "3 bar", "3.5 bar"), (Measure.IMPERIAL, "43.5 psi", "50.8 psi")],
)
def test_pressures_are_written_in_the_measure(measure: Measure, working: str, lifts: str) -> None:
    text = show_check(check_plant(PLANT), measure=measure)

    assert text.startswith(f"Launch: check at {working}\n")
    assert f"lifter: It lifts at {lifts};" in text
    assert (" psi" in text, " bar" in text) == (
        measure is Measure.IMPERIAL, measure is Measure.METRIC,
    )  # fmt: skip


def test_a_joint_shows_its_verdict_and_the_two_best_remedies() -> None:
    check = check_plant(PLANT)
    text = show_check(check)
    (joint,) = check.joints
    best, second = [one for one in joint.fitting.remedies if not one.refused][:2]

    assert "✗ fail  valve (end) into boiler (bush)" in text
    assert "M6 x 0.75 into 1/4 x 40 ME: make good" in text
    assert f"→ {best.title} ({best.minutes:.0f} min)" in text
    assert f"or {second.title} ({second.minutes:.0f} min)" in text


@pytest.mark.parametrize("width", [40, 60, 100])
def test_nothing_is_wider_than_the_terminal(width: int) -> None:
    text = show_check(check_plant(PLANT), width=width)

    assert all(len(line) <= width for line in text.splitlines())
