"""The outline of a thread in section: radius against distance along the axis, rounding and all.

One outline serves both members. Of the male it is the surface of the metal, its crest at 0; of the
female it is the surface of the groove that receives that crest, so that a pair of one thread at
basic size lies outline upon outline.
"""

from dataclasses import dataclass
from functools import cached_property
from math import cos, sin, sqrt, tan

import numpy as np
from numpy.typing import NDArray

from service.engineering.errors import require
from service.engineering.threads.catalogue import Thread

LEAST_ROOT_RADIUS = 0.125  # least root of a 60 degree male, per pitch: ISO 965-1, ASME B1.1
Points = NDArray[np.float64]  # numbers [m] of any shape, or rows of (distance along, radius) [m]


@dataclass(frozen=True)  # no slots: what follows from the fields is reckoned once
class Profile:
    """One thread's outline; radii and lengths in metres, angle in radians.

    `outer` and `inner` are the radii at which crest and root are cut off, `outer_rounding` and
    `inner_rounding` the radii of the fillets tangent to both flanks (0 for a flat). Distances are
    measured from the middle of a ridge of the male or of a groove of the female.
    """

    half_angle: float
    pitch: float
    outer: float
    effective: float
    inner: float
    outer_rounding: float
    inner_rounding: float

    @cached_property
    def slope(self) -> float:
        """Axial run of a flank per radial rise, the tangent of the flank angle."""
        return tan(self.half_angle)

    @cached_property
    def sharp_height(self) -> float:
        """Radial distance of the sharp V's apex from the effective line [m]."""
        return self.pitch / (4 * self.slope)

    @cached_property
    def outer_edges(self) -> tuple[float, ...]:
        """Distances from the middle of the ridge at which the outline changes kind [m]."""
        return self._edges(self.effective + self.sharp_height - self.outer, self.outer_rounding)

    @cached_property
    def inner_edges(self) -> tuple[float, ...]:
        """Distances from the middle of the valley at which the outline changes kind [m]."""
        return self._edges(self.inner - self.effective + self.sharp_height, self.inner_rounding)

    def radius_at(self, along: Points) -> Points:
        """Radius of the outline [m] at distances along the axis [m]."""
        folded = fold(along, self.pitch)
        flank = self.effective + self.sharp_height - folded / self.slope
        radius: Points = np.minimum(np.maximum(flank, self.inner), self.outer)
        if self.outer_rounding:
            self._round(radius, folded, self.outer_rounding, is_ridge=True)
        if self.inner_rounding:
            self._round(radius, self.pitch / 2 - folded, self.inner_rounding, is_ridge=False)
        return radius

    @cached_property
    def one_side(self) -> tuple[float, ...]:
        """Distances [m] from the ridge's middle, one side, at which the outline has a corner."""
        half = self.pitch / 2
        return (0.0, half, *self.outer_edges, *(half - edge for edge in self.inner_edges))

    def corners(self) -> Points:
        """Distances [m] from the ridge's middle, both sides, at which the outline has a corner."""
        return np.array([*self.one_side, *(-place for place in self.one_side)])

    def touching_places(self, half_angle: float) -> list[float]:
        """One side's corners, and the places on its roundings that can touch a flank of another
        angle [rad]; distances [m] from the ridge's middle."""
        half = self.pitch / 2
        roundings = (0.5, 0.8, cos(half_angle))
        outer = [self.outer_rounding * share for share in roundings]
        inner = [half - self.inner_rounding * share for share in roundings]
        return [*self.one_side, half / 2, *outer, *inner]

    def _round(self, radius: Points, distance: Points, rounding: float, *, is_ridge: bool) -> None:
        """Put the fillet in where a place lies on it, no further out than its flat."""
        (on_fillet,) = (distance < rounding * cos(self.half_angle)).ravel().nonzero()
        within = distance.ravel()[on_fillet]
        fall = rounding / sin(self.half_angle) - np.sqrt(rounding**2 - within**2)
        arc = self.effective + self.sharp_height - fall
        if is_ridge:
            radius.ravel()[on_fillet] = np.minimum(arc, self.outer)
        else:
            arc = self.effective - self.sharp_height + fall
            radius.ravel()[on_fillet] = np.maximum(arc, self.inner)

    def _edges(self, truncation: float, rounding: float) -> tuple[float, ...]:
        """Where a flank ends: the tangent point of the rounding, the edge of the flat."""
        arc_end = rounding * cos(self.half_angle)
        flat = max(0.0, truncation) * self.slope
        if flat >= arc_end:
            return (min(flat, self.pitch / 4),)
        to_centre = rounding / sin(self.half_angle) - truncation
        flat_on_arc = sqrt(max(0.0, rounding**2 - to_centre**2))
        return (flat_on_arc, min(arc_end, self.pitch / 4))


def fold(along: Points, pitch: float) -> Points:
    """Distance from the nearest middle of a ridge."""
    folded: Points = np.abs(along - pitch * np.rint(along / pitch))
    return folded


def male_profile(
    thread: Thread,
    *,
    major: float | None = None,
    effective: float | None = None,
    root: float | None = None,
) -> Profile:
    """Outline of a male thread, at basic size or at the diameters given.

    Where the form leaves the root clear (ISO, Unified), the root is the deepest that the standard
    allows, so that root clearance is not taken for a foul; elsewhere it is the form's own.

    thread: the thread.
    major: diameter over the crests [m], greater than 0; None: basic.
    effective: effective diameter [m], greater than 0; None: basic.
    root: diameter at the bottom of the groove [m], greater than 0; None: basic.
    Returns: the outline [m].
    Raises OutOfRange: a diameter that is not above 0.
    Source: Geometry of the form: BS 84:2007, BS 93:2008, ISO 68-1, ASME B1.1, ASME B1.20.1.
    """
    outer = thread.major_diameter if major is None else major
    middle = thread.effective_diameter if effective is None else effective
    rounding = thread.form.root_radius * thread.pitch
    inner = thread.root_diameter if root is None else root
    if thread.form.external_depth > thread.form.internal_depth:
        rounding, angle = LEAST_ROOT_RADIUS * thread.pitch, thread.form.half_angle
        apex = middle - thread.pitch / (2 * tan(angle))
        inner = apex + 2 * rounding * (1 / sin(angle) - 1)
    return _profile(thread, outer=outer, effective=middle, inner=inner, inner_rounding=rounding)


def female_profile(
    thread: Thread,
    *,
    major: float | None = None,
    effective: float | None = None,
    core: float | None = None,
) -> Profile:
    """Outline of a female thread, at basic size or at the diameters given.

    The groove is rounded as the crest of the male is, and so is the female's own crest: at basic
    size they coincide. The root radius of the form belongs to the male alone.

    thread: the thread.
    major: diameter at the bottom of the groove [m], greater than 0; None: basic.
    effective: effective diameter [m], greater than 0; None: basic.
    core: bore across the crests, as drilled [m], greater than 0; None: full depth.
    Returns: the outline [m].
    Raises OutOfRange: a diameter that is not above 0.
    Source: Geometry of the form: BS 84:2007, BS 93:2008, ISO 68-1, ASME B1.1, ASME B1.20.1.
    """
    return _profile(
        thread,
        outer=thread.major_diameter if major is None else major,
        effective=thread.effective_diameter if effective is None else effective,
        inner=thread.core_diameter if core is None else core,
        inner_rounding=thread.form.crest_radius * thread.pitch,
    )


def _profile(
    thread: Thread, *, outer: float, effective: float, inner: float, inner_rounding: float
) -> Profile:
    for field, diameter in (("major", outer), ("effective", effective), ("core", inner)):
        require(diameter > 0, field, f"The {field} diameter must be greater than 0.")
    return Profile(
        half_angle=thread.form.half_angle,
        pitch=thread.pitch,
        outer=outer / 2,
        effective=effective / 2,
        inner=inner / 2,
        outer_rounding=thread.form.crest_radius * thread.pitch,
        inner_rounding=inner_rounding,
    )
