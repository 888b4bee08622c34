"""What the workshop has, as one value: handed down to whatever chooses a tool or a size."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from service.engineering.threads.catalogue import Drill, Thread, extended_catalogue
from service.engineering.threads.joint import USUAL_SHIMS


@dataclass(frozen=True, slots=True)
class Kit:
    """What lies on the workshop's shelves; what it does not list is the project's own."""

    threads: tuple[Thread, ...] = ()
    """Threads beside the catalogue's."""
    drills: tuple[Drill, ...] | None = None
    """Drills on hand; None: every drill there is."""
    shims: tuple[float, ...] = USUAL_SHIMS
    """Thicknesses on hand [m]."""
    times: Mapping[str, float] = field(default_factory=dict)
    """The workshop's own minutes by operation [min]."""

    @property
    def catalogue(self) -> tuple[Thread, ...] | None:
        """The catalogue with the workshop's own threads; None when it has none."""
        return extended_catalogue(self.threads) if self.threads else None
