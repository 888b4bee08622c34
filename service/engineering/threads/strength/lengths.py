"""How long a thread must be to hold."""

from service.engineering.errors import NoSolution, require
from service.engineering.materials import Material, take_material
from service.engineering.threads.catalogue import Thread, limits_of
from service.engineering.threads.strength.areas import (
    joint_shear_areas,
    male_shear_area,
    stress_area,
)

LEAST_TURNS = 5.0  # full turns wanted for steam; common practice


def needed_length(
    male_thread: Thread,
    female_thread: Thread,
    *,
    load: float,
    drilled: float,
    male_material: Material | str,
    female_material: Material | str,
) -> float:
    """Length of full thread that carries a load without stripping, and is five turns at least.

    male_thread: the male.
    female_thread: the female.
    load: load to carry, any factor wanted already in it [N].
    drilled: core diameter of the female, as drilled [m].
    male_material: metal of the male, or its name.
    female_material: metal of the female, or its name.
    Returns: length of full thread [m].
    Raises NoSolution: the threads do not overlap.
    Raises UnknownMaterial: a material that is not in the table.
    Source: Shear areas of ASME B1.1 appendix B; shear strength 0.577 of tensile (von Mises); five
        turns are common practice.
    """
    require(load >= 0, "load", "The load cannot be negative.")
    male, female = take_material(male_material), take_material(female_material)
    male_area, female_area = joint_shear_areas(male_thread, female_thread, length=1.0, hole=drilled)
    strength = min(male_area * male.shear_strength, female_area * female.shear_strength)
    if strength <= 0:
        raise NoSolution("The threads do not overlap: no length of them holds.", field="drilled")
    return max(load / strength, LEAST_TURNS * male_thread.pitch)


def full_strength_length(
    male_thread: Thread, female_thread: Thread, *, drilled: float | None = None
) -> float:
    """Length at which a solid male of the female's metal breaks before its thread strips.

    Source: ASME B1.1 appendix B: the shear area of the male is twice the stress area.
    """
    largest = limits_of(female_thread).female_core[1] if drilled is None else drilled
    area = male_shear_area(male_thread, 1.0, hole=largest)
    if area <= 0:
        raise NoSolution("The threads do not overlap: no length of them holds.", field="drilled")
    return 2 * stress_area(male_thread) / area
