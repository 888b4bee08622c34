"""What the workshop has, as one value: handed down to whatever chooses a tool or a size."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

from service.engineering.threads.catalogue import (
    Drill,
    Family,
    Thread,
    extended_catalogue,
    families,
    is_same_thread,
)

USUAL_SHIMS = (0.00005, 0.0001, 0.0002, 0.0005)
"""Shims that a workshop has on hand (common practice) [m]."""

BarShape = Literal["square", "rectangle", "round", "hexagon"]


@dataclass(frozen=True, slots=True)
class ThreadTools:
    """What there is to cut one thread with."""

    thread: Thread
    tap: bool
    die: bool


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar on the rack; lengths in metres."""

    name: str
    shape: BarShape
    width: float  # from front to back; the diameter of a round; across the flats of a hexagon
    height: float
    unit: Literal["in", "mm"]  # what it is sized in
    metal: str
    length: float  # what is left of it


@dataclass(frozen=True, slots=True)
class Price:
    """What a bought fitting costs."""

    name: str
    threads: tuple[str, ...]
    """Designations of its threads; none where it has none, or its kind says enough."""
    kind: str
    amount: Decimal
    currency: str
    supplier: str = ""


def _usual_shelf() -> tuple[str, ...]:
    return tuple(family.key for family in families())


@dataclass(frozen=True, slots=True)
class Kit:
    """What lies on the workshop's shelves; what it does not list is the project's own.

    Its long members are left out of its hash: it stands in the key of every joint that is kept.
    """

    threads: tuple[Thread, ...] = field(default=(), hash=False)  # threads beside the catalogue's
    drills: tuple[Drill, ...] | None = field(default=None, hash=False)
    """Drills on hand; None: every drill there is."""
    taps_and_dies: tuple[ThreadTools, ...] | None = field(default=None, hash=False)
    """Taps and dies on hand; None: it was not said, and no thread is refused for want of one."""
    shims: tuple[float, ...] = USUAL_SHIMS  # thicknesses on hand [m]
    stock: tuple[Bar, ...] | None = field(default=None, hash=False)
    """Bars on the rack; None: whatever the trade keeps."""
    prices: tuple[Price, ...] = field(default=(), hash=False)  # what bought fittings cost
    times: Mapping[str, float] = field(default_factory=dict, hash=False)
    """The workshop's own minutes by operation [min]."""
    shelf: tuple[str, ...] = field(default_factory=_usual_shelf)
    """Keys of the thread families, in the order in which the workshop takes them."""

    @property
    def catalogue(self) -> tuple[Thread, ...] | None:
        """The catalogue with the workshop's own threads; None when it has none."""
        return extended_catalogue(self.threads) if self.threads else None

    def lacks_tap(self, thread: Thread) -> bool:
        """Whether a list of taps is kept and none on it cuts this thread."""
        return self._lacks(thread, "tap")

    def lacks_die(self, thread: Thread) -> bool:
        """Whether a list of dies is kept and none on it cuts this thread."""
        return self._lacks(thread, "die")

    def bush_families(self) -> tuple[Family, ...]:
        """Families whose fine threads are cut on a bush, in the order of the shelf."""
        found = {family.key: family for family in families() if family.bushes}
        return tuple(found[key] for key in self.shelf if key in found)

    def _lacks(self, thread: Thread, tool: Literal["tap", "die"]) -> bool:
        if self.taps_and_dies is None:
            return False
        return not any(
            getattr(one, tool) for one in self.taps_and_dies if is_same_thread(one.thread, thread)
        )


USUAL_KIT = Kit()  # of a workshop that has not said what it has
