"""A sample of the hostile quantities: none is misread, and none that people write is refused."""

from collections import Counter
from fractions import Fraction
from random import Random

import pytest

from service.quantities import Kind
from tests.quantities.hostile_quantities import find_misreading
from tests.quantities.oracle import read

EACH = 2500


@pytest.mark.parametrize("seed", range(8))
def test_no_hostile_quantity_is_misread(seed: int) -> None:
    random, told = Random(f"sample {seed}"), Counter[str]()
    for _ in range(EACH):
        became, words = find_misreading(random)
        told[became] += 1
        assert words is None, words
    assert told["built and read"] > EACH / 6
    assert told["spoilt and read"] > EACH / 50
    assert told["spoilt and refused"] > EACH / 4


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("1 7/32 in", Kind.LENGTH, Fraction(39, 32) * Fraction(254, 10000)),
        ("·5 mm", Kind.LENGTH, Fraction(1, 2000)),
        ("5 bar abs", Kind.PRESSURE, Fraction(500_000 - 101_325)),
        ("1h30", Kind.DURATION, Fraction(5400)),
        ("−5 °C", Kind.TEMPERATURE, Fraction("268.15")),
        ("1 200/500 in", Kind.LENGTH, None),
        ("1\u2009000 mm", Kind.LENGTH, None),
        ("1'000\"", Kind.LENGTH, None),
        ("5 ft.6 in", Kind.LENGTH, None),
        ("1,5 mm", Kind.LENGTH, None),
    ],
)
def test_oracle_itself_reads_what_is_known(text: str, kind: Kind, value: Fraction | None) -> None:
    assert read(text, kind) == value
