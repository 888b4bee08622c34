"""The form of a screw thread: what its flanks, crests and roots are, and the diameters they give.

A form is a set of pure numbers that scale with pitch. A thread is a form at a diameter and pitch.
"""

from dataclasses import dataclass, replace
from functools import cached_property
from math import isclose, isfinite, radians, sin, tan
from typing import Annotated, Literal

from service.engineering.constants import INCH
from service.engineering.errors import require
from service.engineering.saying import Figure, angle, fine, name, say

LEAST_ANGLE, MOST_ANGLE = radians(25), radians(100)
LEAST_DIAMETER, MOST_DIAMETER = 0.0003, 0.150
LEAST_PITCH, MOST_PITCH = 0.00005, 0.008  # limits of a thread in no table [rad, m]: common practice
Hand = Literal["right", "left"]
LEFT = " LH"  # what ends the designation of a left-hand thread

PIPE_TAPER = 1 / 16  # change of diameter per length of the taper pipe threads: 3/4 in per foot


@dataclass(frozen=True, slots=True)
class Form:
    """A thread form; every coefficient is per unit of pitch and the angle is in radians.

    Depths are radial. `internal_depth` reaches from the major diameter to the bore of the female at
    full depth; `external_depth` to the bottom of the groove of the male: they differ only where the
    form leaves root clearance (ISO, Unified). `crest_radius` and `root_radius` are 0 for a flat.
    """

    name: str
    included_angle: Annotated[float, "rad"]
    internal_depth: float
    external_depth: float
    crest_radius: float
    root_radius: float
    effective_offset: float  # major less effective diameter, per pitch
    source: str

    @property
    def half_angle(self) -> float:
        """Angle between a flank and the plane square to the axis [rad]."""
        return self.included_angle / 2

    @property
    def sharp_height(self) -> float:
        """Height of the sharp V of this angle, per pitch."""
        return 1 / (2 * tan(self.half_angle))


@dataclass(frozen=True)  # no slots: the diameters that follow from the form are reckoned once
class Thread:
    """One screw thread at basic size; lengths in metres.

    For a taper thread the diameters are those of the gauge plane, `taper` is the change of diameter
    per length and `gauge_length` the distance from the small end of the male to that plane.
    `depth` is given only where the standard rounds it size by size (BA).
    """

    designation: str
    family: str
    form: Form
    major_diameter: Annotated[float, "m"]
    pitch: Annotated[float, "m"]
    source: str
    threads_per_inch: float | None = None
    taper: float = 0.0
    gauge_length: float | None = None
    depth: float | None = None
    """Rounded radial depth of the standard's own table [m]; None: the form's depth by the pitch."""
    hand: Hand = "right"

    def __hash__(self) -> int:
        """By name and size: a thread is looked up too often to hash the whole form each time."""
        return hash((self.designation, self.major_diameter, self.pitch))

    @property
    def is_left(self) -> bool:
        return self.hand == "left"

    @property
    def named(self) -> Figure:
        return name(self.designation)

    @cached_property
    def internal_depth(self) -> Annotated[float, "m"]:
        """Radial depth from the major diameter to the bore at full depth."""
        return self.form.internal_depth * self._form_scale

    @cached_property
    def external_depth(self) -> float:
        """Radial depth from the major diameter to the bottom of the male's groove [m]."""
        return self.form.external_depth * self._form_scale

    @cached_property
    def effective_diameter(self) -> Annotated[float, "m"]:
        """Pitch (effective) diameter at basic size."""
        return self.major_diameter - self.form.effective_offset * self._form_scale

    @cached_property
    def core_diameter(self) -> Annotated[float, "m"]:
        """Bore of the female at full depth, D1."""
        return self.major_diameter - 2 * self.internal_depth

    @cached_property
    def root_diameter(self) -> Annotated[float, "m"]:
        """Bottom of the groove of the male."""
        return self.major_diameter - 2 * self.external_depth

    @cached_property
    def is_taper(self) -> bool:
        return self.taper != 0

    @cached_property
    def small_end_offset(self) -> float:
        """Diameter at the gauge plane less that at the male's small end [m]; 0 if parallel."""
        return self.taper * (self.gauge_length or 0.0)

    @property
    def tapping_size(self) -> float:
        """Diameter from which a tapping hole is reckoned [m]; of a taper, at its small end."""
        return self.major_diameter - self.small_end_offset

    @cached_property
    def _form_scale(self) -> float:
        return self.pitch if self.depth is None else self.depth / self.form.internal_depth


def turn_left(thread: Thread) -> Thread:
    """The left-hand thread of the same sizes.

    thread: a thread of either hand.
    Returns: the same thread cut left-hand, `LH` after its designation.
    Source: The standards size both hands alike.
    """
    if thread.is_left:
        return thread
    return replace(thread, designation=thread.designation + LEFT, hand="left")


def form_of_angle(included_angle: float) -> Form:
    """Choose the form of a thread of which only the flank angle is known.

    Source: BS 84:2007, BS 93:2008, ISO 68-1; the truncation of an unknown form is common
    practice.
    """
    least, most = LEAST_ANGLE, MOST_ANGLE
    told = say("The included angle must lie between ", angle(least), " and ", angle(most), ".")
    require(least <= included_angle <= most, "included_angle", told)
    for form in (WHITWORTH, BRITISH_ASSOCIATION, ISO_METRIC):
        if isclose(form.included_angle, included_angle, abs_tol=radians(0.01)):
            return form
    depth = 0.75 / (2 * tan(included_angle / 2))
    source = "common practice: sharp V with H/8 cut off crest and root"
    return _flat_form("sharp V", included_angle, depth, source)


def custom_thread(
    designation: str,
    *,
    diameter: float,
    pitch: float,
    included_angle: float,
    taper: float = 0.0,
    threads_per_inch: float | None = None,
) -> Thread:
    """Describe a thread that is in no table from what was measured on it.

    designation: what to call it.
    diameter: major diameter; of a taper thread, at its small end [m], 0.3 mm to 150 mm.
    pitch: pitch [m], 0.05 mm to 8 mm and less than half the diameter.
    included_angle: angle between the flanks [rad]: 25 to 100 degrees.
    taper: change of diameter per length, 0 to 1/4.
    threads_per_inch: threads per inch where the thread is an inch thread; must agree with the
        pitch.
    Returns: the thread, family `custom`. Its gauge plane, if it is a taper, is its small end.
    Raises OutOfRange: a dimension outside its range, or a depth that leaves no core.
    Source: Geometry of the form (`form_of_angle`); ranges are common practice.
    """
    _require_within(diameter, LEAST_DIAMETER, MOST_DIAMETER, field="diameter")
    _require_within(pitch, LEAST_PITCH, MOST_PITCH, field="pitch")
    require(pitch < diameter / 2, "pitch", "The pitch must be less than half the diameter.")
    require(0 <= taper <= 0.25, "taper", "The taper must lie between 0 and 1 in 4 on diameter.")
    agrees = threads_per_inch is None or (
        isfinite(threads_per_inch) and isclose(threads_per_inch * pitch, INCH, rel_tol=1e-3)
    )
    require(agrees, "threads_per_inch", "The threads per inch and the pitch disagree.")
    form = form_of_angle(included_angle)
    no_core = "A thread of this pitch and angle would leave no core."
    require(2 * form.external_depth * pitch < diameter, "pitch", no_core)
    return Thread(
        designation=designation,
        family="custom",
        form=form,
        major_diameter=diameter,
        pitch=pitch,
        source=f"as entered; form: {form.source}",
        threads_per_inch=threads_per_inch,
        taper=taper,
        gauge_length=0.0 if taper else None,
    )


def _require_within(length: float, least: float, most: float, *, field: str) -> None:
    told = say(f"The {field} must lie between ", fine(least), " and ", fine(most), ".")
    require(least <= length <= most, field, told)


def _round_form(name: str, included_angle: float, depth: float, source: str) -> Form:
    """A symmetrical form, its crests and roots rounded tangent to the flanks."""
    half_angle = included_angle / 2
    truncation = (1 / (2 * tan(half_angle)) - depth) / 2
    radius = truncation * sin(half_angle) / (1 - sin(half_angle))
    return Form(name, included_angle, depth, depth, radius, radius, depth, source)


def _flat_form(name: str, included_angle: float, depth: float, source: str) -> Form:
    """A symmetrical form, its crests and roots cut off flat."""
    return Form(name, included_angle, depth, depth, 0.0, 0.0, depth, source)


def _sixty_degree_form(name: str, source: str) -> Form:
    height = 1 / (2 * tan(radians(30)))
    return Form(
        name=name,
        included_angle=radians(60),
        internal_depth=5 * height / 8,
        external_depth=17 * height / 24,
        crest_radius=0.0,
        root_radius=height / 6,
        effective_offset=3 * height / 4,
        source=source,
    )


WHITWORTH = _round_form(
    "Whitworth", radians(55), 2 / 3 / (2 * tan(radians(27.5))), "BS 84:2007: depth 2H/3"
)
CYCLE = _round_form(
    "Cycle", radians(60), 1 / (2 * tan(radians(30))) - 1 / 3, "BS 811:1950: depth H - P/3"
)
BRITISH_ASSOCIATION = _round_form(
    "British Association", radians(47.5), 0.6, "BS 93:2008: depth 0.6 P"
)
ISO_METRIC = _sixty_degree_form("ISO metric", "ISO 68-1; root of the male H/6 round")
UNIFIED = _sixty_degree_form("Unified", "ASME B1.1; root of the male H/6 round (UNR)")
NATIONAL_PIPE_TAPER = _flat_form(
    "National pipe taper",
    radians(60),
    0.8,
    "ASME B1.20.1: depth 0.8 P, truncation 0.033 P at crest and root",
)

FORMS = {
    form.name: form
    for form in (WHITWORTH, CYCLE, BRITISH_ASSOCIATION, ISO_METRIC, UNIFIED, NATIONAL_PIPE_TAPER)
}
"""The standard forms by name, as the tables of thread series call them."""
