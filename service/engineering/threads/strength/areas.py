"""Areas of a screwed joint that carry: the male's neck, and both threads in shear."""

from math import pi, tan

from service.engineering.errors import require
from service.engineering.threads.catalogue import UNIFIED, Thread, limits_of

UNIFIED_STRESS_OFFSET = 0.9743  # major diameter less that of the stress area, per pitch: ASME B1.1


def stress_area(thread: Thread) -> float:
    """Tensile stress area of a male thread.

    Source: ISO 898-1; ASME B1.1 for Unified; the same mean for Whitworth and BA forms is from
    memory.
    """
    if thread.form == UNIFIED:
        return pi / 4 * (thread.major_diameter - UNIFIED_STRESS_OFFSET * thread.pitch) ** 2
    return pi / 4 * ((thread.effective_diameter + thread.root_diameter) / 2) ** 2


def neck_area(thread: Thread, *, bore: float = 0.0) -> float:
    """Metal that carries tension in a bored male.

    Source: ISO 898-1 stress area less the bore: geometry.
    """
    require(bore >= 0, "bore", "The bore cannot be negative.")
    return max(stress_area(thread) - pi / 4 * bore**2, 0.0)


def write_neck_area(thread: Thread) -> tuple[str, str]:
    """The formula of the neck's area, and its source."""
    if thread.form == UNIFIED:
        return f'pi/4 (D - {UNIFIED_STRESS_OFFSET} P)^2 - pi/4 "bore"^2', "ASME B1.1 less the bore"
    return 'pi/4 ((d_2 + d_3)/2)^2 - pi/4 "bore"^2', "ISO 898-1 less the bore"


def male_shear_area(
    thread: Thread, length: float, *, hole: float, effective: float | None = None
) -> float:
    """Area in which the male's threads shear off along the hole.

    Source: ASME B1.1 appendix B, with the tangent of the thread's own half angle.
    """
    require(length >= 0, "length", "The length of thread cannot be negative.")
    require(hole > 0, "hole", "The hole must be above 0.")
    least = limits_of(thread).male_effective[0] if effective is None else effective
    width = thread.pitch / 2 + tan(thread.form.half_angle) * (least - hole)
    return pi * length / thread.pitch * hole * max(width, 0.0)


def female_shear_area(
    thread: Thread, length: float, *, male_major: float, effective: float | None = None
) -> float:
    """Area in which the female's threads shear off along the crests of the male.

    Source: ASME B1.1 appendix B, with the tangent of the thread's own half angle.
    """
    require(length >= 0, "length", "The length of thread cannot be negative.")
    require(male_major > 0, "male_major", "The male's diameter must be above 0.")
    largest = limits_of(thread).female_effective[1] if effective is None else effective
    width = thread.pitch / 2 + tan(thread.form.half_angle) * (male_major - largest)
    return pi * length / thread.pitch * male_major * max(width, 0.0)


def joint_shear_areas(
    male_thread: Thread, female_thread: Thread, *, length: float, hole: float
) -> tuple[float, float]:
    """Shear areas of the male and of the female of a joint, at the loosest the limits allow.

    Source: ASME B1.1 appendix B, with the tangent of each thread's own half angle.
    """
    male, female = limits_of(male_thread), limits_of(female_thread)
    major = male.male_major[0]
    if hole >= major:
        return 0.0, 0.0
    least, largest = male.male_effective[0], female.female_effective[1]
    return (
        male_shear_area(male_thread, length, hole=hole, effective=least),
        female_shear_area(female_thread, length, male_major=major, effective=largest),
    )
