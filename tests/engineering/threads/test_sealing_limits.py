"""How hot and how wide each means of sealing may be used, a hair either side."""

import pytest

from service.engineering.errors import OutOfRange
from service.engineering.threads.remedies.sealing import Sealing, Use, choose_sealing

MM = 1e-3
CELSIUS = 273.15
HAIR = 1e-6


def seal(use: Use, celsius: float | None = None, gap: float = 0.0) -> Sealing:
    temperature = None if celsius is None else celsius + CELSIUS
    return choose_sealing(use, steam_temperature=temperature, gap=gap * MM)


@pytest.mark.parametrize(
    ("use", "celsius", "limit", "code"),
    [
        # a means is used to 10 K under its limit: the next is taken, or none will do
        ("face", 190 + HAIR, 400, "sealing-sound"),
        ("face", 373.8, 400, "sealing-sound"),
        ("thread", 140 - HAIR, 150, "sealing-sound"),
        ("thread", 140 + HAIR, 200, "sealing-sound"),
        ("thread", 190 - HAIR, 200, "sealing-sound"),
        ("thread", 190 + HAIR, 200, "sealing-none"),
        ("taper", 190 - HAIR, 200, "sealing-sound"),
        ("taper", 190 + HAIR, 300, "sealing-sound"),
        ("taper", 290 - HAIR, 300, "sealing-sound"),
        ("taper", 290 + HAIR, 300, "sealing-none"),
        ("permanent", 140 - HAIR, 150, "sealing-sound"),
        ("permanent", 140 + HAIR, 200, "sealing-sound"),
        ("permanent", 190 + HAIR, 350, "sealing-sound"),
        ("permanent", 340 - HAIR, 350, "sealing-sound"),
        ("permanent", 340 + HAIR, 350, "sealing-none"),
    ],
)
def test_sealing_is_changed_ten_kelvin_under_its_limit(
    use: Use, celsius: float, limit: float, code: str
) -> None:
    chosen = seal(use, celsius)

    assert chosen.temperature_limit == pytest.approx(limit + CELSIUS)
    assert chosen.finding.code == code
    assert chosen.finding.level == ("fail" if code == "sealing-none" else "ok")
    assert chosen.finding.limit == pytest.approx(limit + CELSIUS)
    assert chosen.finding.value == chosen.steam_temperature == pytest.approx(celsius + CELSIUS)


@pytest.mark.parametrize(
    ("use", "gap", "code", "limit"),
    [
        ("thread", 0.25 - HAIR, "sealing-sound", 150),
        ("thread", 0.25 + HAIR, "sealing-none", 200),
        ("permanent", 0.15 - HAIR, "sealing-sound", 150),
        ("permanent", 0.15 + HAIR, "sealing-none", 350),
        ("face", 5.0, "sealing-sound", 400),
        ("taper", 5.0, "sealing-sound", 200),
    ],
)
def test_compound_fills_only_so_wide_a_gap(use: Use, gap: float, code: str, limit: float) -> None:
    """Diametral: 0.25 mm on a thread, 0.15 mm in a permanent joint; washers and tapers do not
    mind. Where none will do, the most heat-proof is named and failed."""
    chosen = seal(use, 100, gap)

    assert chosen.finding.code == code
    assert chosen.temperature_limit == pytest.approx(limit + CELSIUS)


@pytest.mark.parametrize(("gap", "code"), [(0.2, "sealing-unchecked"), (0.3, "sealing-none")])
def test_unknown_steam_is_never_called_sound(gap: float, code: str) -> None:
    chosen = seal("thread", None, gap)

    assert chosen.finding.code == code
    assert chosen.finding.value is None
    assert chosen.steam_temperature is None


@pytest.mark.parametrize(
    ("use", "opens"), [("face", True), ("thread", True), ("taper", True), ("permanent", False)]
)
def test_only_a_permanent_joint_stays_shut(use: Use, opens: bool) -> None:
    assert seal(use, 100).reversible is opens
    assert seal(use, 500 - CELSIUS).reversible is opens


@pytest.mark.parametrize(
    ("kelvin", "is_allowed"),
    [(273.15, True), (273.15 - HAIR, False), (647.0, True), (647.0 + HAIR, False)],
)
def test_steam_lies_between_freezing_and_critical(kelvin: float, is_allowed: bool) -> None:
    if is_allowed:
        assert choose_sealing("face", steam_temperature=kelvin).steam_temperature == kelvin
        return
    with pytest.raises(OutOfRange) as refusal:
        choose_sealing("face", steam_temperature=kelvin)
    assert refusal.value.field == "steam_temperature"


def test_negative_gap_is_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        choose_sealing("thread", gap=-1e-9)

    assert refusal.value.field == "gap"
