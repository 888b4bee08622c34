"""Limits of size: how far a good thread of each family may lie from basic.

Every system reduces to one set of allowances and tolerances, from which the limits follow.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from itertools import pairwise
from math import sqrt

from service.engineering.constants import INCH
from service.engineering.data_files import need_number, read_table
from service.engineering.errors import Unsuitable
from service.engineering.saying import listed, name, say
from service.engineering.threads.catalogue.families import find_family
from service.engineering.threads.catalogue.forms import Thread

Range = tuple[float, float]  # least and largest [m]
MICROMETRE = 1e-6
MILLIMETRE = 1e-3


@dataclass(frozen=True, slots=True)
class Limits:
    """Least and largest diameters of male and female; lengths in metres."""

    male_major: Range
    male_effective: Range
    male_root: Range
    female_major: Range  # its upper end is not held by the standards: see the tolerances
    female_effective: Range
    female_core: Range
    male_class: str
    female_class: str
    source: str


@dataclass(frozen=True, slots=True)
class _Tolerances:
    """Allowances (distance of the full-metal size from basic) and tolerances, all in metres."""

    male_major: float
    male_effective: float
    male_root: float
    female_major: float
    female_effective: float
    female_core: float
    source: str
    male_allowance: float = 0.0
    female_allowance: float = 0.0


@lru_cache(maxsize=1024)  # a check of one joint asks for the same few threads dozens of times
def limits_of(
    thread: Thread, *, male_class: str | None = None, female_class: str | None = None
) -> Limits:
    """Least and largest diameters of a thread by its family's own system.

    thread: the thread at basic size.
    male_class: class of the male: `close`, `medium`, `free` (Whitworth form), `close`, `normal`
        (BA), `1A`, `2A`, `3A` (Unified), `6g` (metric), `A`, `B` (BSP), `gauge` (tapers). None:
        the usual class, `medium`, `normal`, `2A`, `6g`, `A`.
    female_class: class of the female: `close`, `medium`, `normal` (Whitworth form), `normal` (BA),
        `1B`, `2B`, `3B`, `6H`, `G` (BSP), `gauge` (tapers). None: `medium`, `normal`, `2B`, `6H`,
        `G`.
    Returns: diameters, each (least, largest) [m]; of a taper thread in the gauge plane.
    Raises Unsuitable: the family has no such class.
    Source: BS 84:2007 (Whitworth form, and by common practice ME, brass and cycle); BS
        93:2008 (BA); ASME B1.1 (Unified); ISO 965-1 (metric, its table before its formula); ISO
        228-1 (BSP); ISO 7-1 and ASME B1.20.1 (tapers).
    """
    family = find_family(thread.family)
    called = "taper" if thread.is_taper else family.limits if family else thread.form.name
    system = _SYSTEMS.get(called, _SYSTEMS["Whitworth"])
    male = _choose_class(thread, male_class, system.male_classes, field="male_class")
    female = _choose_class(thread, female_class, system.female_classes, field="female_class")
    tolerances = system.calculate(thread, male, female)

    def below(basic: float, tolerance: float) -> Range:
        largest = basic - tolerances.male_allowance
        return (largest - tolerance, largest)

    def above(basic: float, tolerance: float) -> Range:
        least = basic + tolerances.female_allowance
        return (least, least + tolerance)

    return Limits(
        male_major=below(thread.major_diameter, tolerances.male_major),
        male_effective=below(thread.effective_diameter, tolerances.male_effective),
        male_root=below(thread.root_diameter, tolerances.male_root),
        female_major=above(thread.major_diameter, tolerances.female_major),
        female_effective=above(thread.effective_diameter, tolerances.female_effective),
        female_core=above(thread.core_diameter, tolerances.female_core),
        male_class=male,
        female_class=female,
        source=tolerances.source,
    )


@dataclass(frozen=True, slots=True)
class _System:
    """A system of limits: its classes, the usual one first, and how it reckons tolerances."""

    male_classes: tuple[str, ...]
    female_classes: tuple[str, ...]
    calculate: Callable[[Thread, str, str], _Tolerances]


def _choose_class(
    thread: Thread, wanted: str | None, classes: tuple[str, ...], *, field: str
) -> str:
    if wanted is None:
        return classes[0]
    if wanted not in classes:
        said = say(thread.named, " has no class ", name(repr(wanted)))
        raise Unsuitable(say(said, ": choose from ", listed(classes), "."), field=field)
    return wanted


def _whitworth_tolerances(thread: Thread, male_class: str, female_class: str) -> _Tolerances:
    """BS 84: T = 0.002 D^(1/3) + 0.003 L^(1/2) + 0.005 P^(1/2), in inches, with L = D.

    The female's major diameter is not held; it is taken to vary as its effective diameter does.
    """
    diameter, pitch = thread.major_diameter / INCH, thread.pitch / INCH
    medium = 0.002 * diameter ** (1 / 3) + 0.003 * sqrt(diameter) + 0.005 * sqrt(pitch)
    factors = {"close": 2 / 3, "medium": 1.0, "free": 1.5, "normal": 1.5}
    male, female = factors[male_class] * medium, factors[female_class] * medium
    root_allowance = (0.013 if male_class == "close" else 0.020) * sqrt(pitch)
    core_constant = 0.004 if pitch <= 1 / 25 else 0.005 if pitch <= 1 / 21 else 0.007
    return _Tolerances(
        male_major=(male + 0.01 * sqrt(pitch)) * INCH,
        male_effective=male * INCH,
        male_root=(male + root_allowance) * INCH,
        female_major=female * INCH,
        female_effective=female * INCH,
        female_core=(0.2 * pitch + core_constant) * INCH,
        source=f"BS 84:2007 formula, length of engagement = D{_by_custom(thread)}",
    )


def _by_custom(thread: Thread) -> str:
    is_of_the_standard = thread.family in ("BSW", "BSF")
    return "" if is_of_the_standard else "; used for this thread by common practice"


def _association_tolerances(thread: Thread, male_class: str, female_class: str) -> _Tolerances:
    """BS 93 in millimetres; the male's effective tolerance is half that of its root (memory)."""
    pitch = thread.pitch / MILLIMETRE
    is_close = male_class == "close"
    male_effective = 0.08 * pitch + 0.02 if is_close else 0.10 * pitch + 0.025
    normal_major = 0.20 if pitch >= 0.35 else 0.25  # 0 to 10 BA, 11 to 16 BA
    return _Tolerances(
        male_major=(0.15 if is_close else normal_major) * pitch * MILLIMETRE,
        male_effective=male_effective * MILLIMETRE,
        male_root=2 * male_effective * MILLIMETRE,
        female_major=(0.12 * pitch + 0.03) * MILLIMETRE,
        female_effective=(0.12 * pitch + 0.03) * MILLIMETRE,
        female_core=0.375 * pitch * MILLIMETRE,
        source="BS 93:2008; the male's effective tolerance from memory",
    )


def _unified_tolerances(thread: Thread, male_class: str, female_class: str) -> _Tolerances:
    """ASME B1.1 in inches; length of engagement D for the usual series, 9 P for the others."""
    diameter, pitch = thread.major_diameter / INCH, thread.pitch / INCH
    family = find_family(thread.family)
    is_usual = family is not None and family.limits_length == "diameter"
    engagement = diameter if is_usual else 9 * pitch
    class_2a = 0.0015 * (diameter ** (1 / 3) + sqrt(engagement)) + 0.015 * pitch ** (2 / 3)
    male = {"1A": 1.5, "2A": 1.0, "3A": 0.75}[male_class] * class_2a * INCH
    female = {"1B": 1.95, "2B": 1.3, "3B": 0.975}[female_class] * class_2a * INCH
    root, female_major = _clear_of_flats(thread, male, female)
    major = (0.090 if male_class == "1A" else 0.060) * pitch ** (2 / 3)
    return _Tolerances(
        male_major=major * INCH,
        male_effective=male,
        male_root=root,
        female_major=female_major,
        female_effective=female,
        female_core=_unified_core_tolerance(diameter, pitch) * INCH,
        male_allowance=0.0 if male_class == "3A" else 0.3 * class_2a * INCH,
        source="ASME B1.1 formula",
    )


def _unified_core_tolerance(diameter: float, pitch: float) -> float:
    """ASME B1.1 tolerance of the female's minor diameter, classes 1B and 2B; inches."""
    coarse = 0.25 * pitch - 0.4 * pitch**2
    if diameter >= 0.25:
        return coarse
    small: float = 0.05 * pitch ** (2 / 3) + 0.03 * pitch / diameter - 0.002
    return min(max(small, coarse), 0.394 * pitch)


def _mechanical_pipe_tolerances(thread: Thread, male_class: str, female_class: str) -> _Tolerances:
    """ASME B1.20.1, NPSM: the Unified formula (over 9 P), but for the female's core its table."""
    found = _unified_tolerances(thread, male_class, female_class)
    table = _tabled("mechanical_pipe_tolerances.csv", "effective", "internal_core")
    effective = thread.effective_diameter / INCH
    nearest = min(table, key=lambda tabled: abs(tabled[0] - effective))
    source = "ASME B1.20.1 table for the core, ASME B1.1 formula for the rest"
    return replace(found, female_core=table[nearest][0] * INCH, source=source)


def _metric_tolerances(thread: Thread, male_class: str, female_class: str) -> _Tolerances:
    """ISO 965-1, 6g and 6H: the standard's table where it has the size, else its formula."""
    diameter, pitch = thread.major_diameter / MILLIMETRE, thread.pitch / MILLIMETRE
    external, internal, is_tabled = _metric_effective_tolerances(diameter, pitch)
    allowance, major, core = _metric_pitch_tolerances(pitch)
    male, female = external * MICROMETRE, internal * MICROMETRE
    root, female_major = _clear_of_flats(thread, male, female)
    return _Tolerances(
        male_major=major * MICROMETRE,
        male_effective=male,
        male_root=root,
        female_major=female_major,
        female_effective=female,
        female_core=core * MICROMETRE,
        male_allowance=allowance * MICROMETRE,
        source="ISO 965-1 table" if is_tabled else "ISO 965-1 formula",
    )


def _metric_effective_tolerances(diameter: float, pitch: float) -> tuple[float, float, bool]:
    """Grade 6 tolerance of male and female effective diameter [um], and whether tabled."""
    effective = "external_effective internal_effective"
    table = _tabled("metric_tolerances.csv", "over up_to pitch", effective)
    for (over, up_to, tabled_pitch), (external, internal) in table.items():
        if over < diameter <= up_to and abs(tabled_pitch - pitch) < 1e-6:
            return external, internal, True
    external = 90 * pitch**0.4 * _mean_of_metric_range(diameter) ** 0.1
    return external, 1.32 * external, False


def _metric_pitch_tolerances(pitch: float) -> tuple[float, float, float]:
    """Allowance g, grade 6 tolerance of the male's major and of the female's core [um]."""
    columns = "allowance external_major internal_core"
    table = _tabled("metric_pitch_tolerances.csv", "pitch", columns)
    for (tabled_pitch,), (allowance, major, core) in table.items():
        if abs(tabled_pitch - pitch) < 1e-6:
            return allowance, major, core
    core = 433 * pitch - 190 * pitch**1.22 if pitch < 1 else 230 * pitch**0.7
    return 15 + 11 * pitch, 180 * pitch ** (2 / 3) - 3.15 / sqrt(pitch), core


def _mean_of_metric_range(diameter: float) -> float:
    """Geometric mean of the ISO 965-1 size range that holds a diameter; mm."""
    bounds = (0.7, 1.4, 2.8, 5.6, 11.2, 22.4, 45.0, 90.0, 180.0, 360.0, 720.0)
    return next(sqrt(low * high) for low, high in pairwise(bounds) if diameter <= high)


def _clear_of_flats(thread: Thread, male: float, female: float) -> tuple[float, float]:
    """Tolerances of the male's root and the female's major diameter of a 60 degree thread [m].

    The male's root may go down to a flat of P/8 at its least effective diameter, the female's
    major up to a flat of P/24 at its largest: H/12 and H/6 of extra diameter.
    """
    height = thread.form.sharp_height * thread.pitch
    return male + height / 12, female + height / 6


def _parallel_pipe_tolerances(thread: Thread, male_class: str, female_class: str) -> _Tolerances:
    """ISO 228-1; the male's root and the female's major are not held and are taken alike."""
    columns = "effective external_major internal_core"
    table = _tabled("pipe_tolerances.csv", "threads_per_inch", columns)
    nearest = min(table, key=lambda tabled: abs(tabled[0] - INCH / thread.pitch))
    effective, major, core = (figure * MILLIMETRE for figure in table[nearest])
    male_effective = effective * (2 if male_class == "B" else 1)
    return _Tolerances(
        male_major=major,
        male_effective=male_effective,
        male_root=major,
        female_major=effective,
        female_effective=effective,
        female_core=core,
        source="ISO 228-1",
    )


def _taper_tolerances(thread: Thread, male_class: str, female_class: str) -> _Tolerances:
    """Gauging tolerances: the gauge plane may lie so many turns either way along the taper.

    ISO 7-1: one turn for the male, one and a quarter for the female; ASME B1.20.1: one turn both.
    """
    is_british = thread.form.name == "Whitworth"
    male = thread.taper * thread.pitch
    female = male * (1.25 if is_british else 1.0)
    return _Tolerances(
        male_major=2 * male,
        male_effective=2 * male,
        male_root=2 * male,
        female_major=2 * female,
        female_effective=2 * female,
        female_core=2 * female,
        source="ISO 7-1" if is_british else "ASME B1.20.1",
        male_allowance=-male,
        female_allowance=-female,
    )


@cache
def _tabled(file: str, keys: str, columns: str) -> dict[tuple[float, ...], tuple[float, ...]]:
    """The columns of a table of tolerances by its key columns, in the table's own units."""
    return {
        tuple(need_number(row, key) for key in keys.split()): tuple(
            need_number(row, column) for column in columns.split()
        )
        for row in read_table(file)
    }


_SYSTEMS = {
    "Whitworth": _System(
        ("medium", "close", "free"), ("medium", "close", "normal"), _whitworth_tolerances
    ),
    "British Association": _System(("normal", "close"), ("normal",), _association_tolerances),
    "Unified": _System(("2A", "1A", "3A"), ("2B", "1B", "3B"), _unified_tolerances),
    "NPSM": _System(("2A",), ("2B",), _mechanical_pipe_tolerances),
    "ISO metric": _System(("6g",), ("6H",), _metric_tolerances),
    "BSP": _System(("A", "B"), ("G",), _parallel_pipe_tolerances),
    "taper": _System(("gauge",), ("gauge",), _taper_tolerances),
}
