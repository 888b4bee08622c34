"""One exact quantity: its kind, its value in SI, and the text it was read from."""

from dataclasses import dataclass
from fractions import Fraction

from service.quantities.kinds import STANDARD_ATMOSPHERE, Kind


@dataclass(frozen=True, slots=True)
class Quantity:
    """A quantity as read: `value` is exact and in SI, `text` is what was typed, trimmed.

    A `PRESSURE` is held as gauge pascals whatever was typed; its `absolute` adds one standard
    atmosphere. The arithmetic floors take `si` (or `absolute`), a plain float.
    """

    kind: Kind
    value: Fraction
    text: str

    @property
    def si(self) -> float:
        """The value as a float in SI: m, m2, m3, rad, kg, N, N m, Pa, K, rev/s, m/s, kg/s, W, s."""
        return float(self.value)

    @property
    def absolute(self) -> float:
        """The pressure from a full vacuum [Pa]; only a gauge or an absolute pressure has one."""
        if self.kind is Kind.PRESSURE:
            return float(self.value + STANDARD_ATMOSPHERE)
        if self.kind is Kind.PRESSURE_ABSOLUTE:
            return float(self.value)
        raise TypeError(f"a {self.kind} has no absolute value")
