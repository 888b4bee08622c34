"""Words for identifying a thread: why it fits, how to be sure, what a wrong guess would do."""

from fractions import Fraction
from math import degrees, tan

from service.engineering.constants import INCH
from service.engineering.threads.catalogue import Thread, limits_of
from service.engineering.threads.identify.likelihood import female_range, male_range
from service.engineering.threads.identify.measurement import Measurement

COUNTING_LENGTHS = tuple(Fraction(quarters, 4) for quarters in (1, 2, 3, 4, 6, 8))
"""Lengths that threads are counted over [in]."""

ONE_PITCH = 0.002
"""Pitches nearer than this part of one another are the same pitch."""

ONE_SIZE = 0.00002
"""Diameters nearer than this are the same size [m]."""

ONE_ANGLE = 0.01
"""Angles nearer than this are the same angle [rad]."""


def explain_fit(measurement: Measurement, thread: Thread) -> str:
    """Say why a thread fits what was measured, in figures."""
    least, most = _measured_range(measurement, thread)
    sentences = [
        f"A {measurement.gender} measures {least * 1000:.2f} to {most * 1000:.2f} mm; "
        f"this one {measurement.diameter * 1000:.2f} mm."
    ]
    if measurement.count is not None and measurement.over is not None:
        expected = measurement.over / thread.pitch
        sentences.append(
            f"It has {expected:.1f} threads in that length; {measurement.count:g} were counted."
        )
    elif measurement.pitch is not None:
        sentences.append(
            f"Its pitch is {thread.pitch * 1000:.3f} mm; {measurement.pitch * 1000:.3f} mm was"
            " found."
        )
    return " ".join(sentences)


def suggest_measurement(measurement: Measurement, thread: Thread, *, rival: Thread | None) -> str:
    """Say what to measure next to tell a thread from its rival."""
    if rival is None:
        return "Nothing else in the catalogue comes near."
    if _is_same_thread(thread, rival):
        return f"Nothing to tell: {rival.designation} is the same thread under another name."
    if thread.taper != rival.taper:
        return _suggest_taper(thread, rival)
    count = _suggest_count(thread, rival)
    if count is not None:
        return count
    if _differs_in_angle(thread, rival):
        return _suggest_gauge(thread, rival)
    return _suggest_diameter(measurement, thread, rival=rival)


def foretell_wrong_guess(measurement: Measurement, thread: Thread, *, rival: Thread | None) -> str:
    """Say what happens if a mate is made for a thread and the part is its rival.

    Source: Turns before binding: cumulative pitch error over clearance, from thread metrology
    (N = C tan a / dP); the rest is geometry and common practice.
    """
    if rival is None or _is_same_thread(thread, rival):
        return "None to fear."
    male, female = (rival, thread) if measurement.gender == "male" else (thread, rival)
    start = f"If it is {rival.designation}, {'a hole' if female is thread else 'a screw'} made for"
    start += f" {thread.designation} "
    if male.taper != female.taper:
        return start + "meets it on one thread only: it wedges early or leaks."
    size = _foretell_size(male, female)
    if size is not None:
        return start + size
    if _differs_in_pitch(male, female):
        return start + _foretell_binding(male, female)
    if _differs_in_angle(male, female):
        return start + "goes on but touches along a line: it leaks and holds less. Seal it."
    return start + "goes on, a little tight or a little loose."


def _measured_range(measurement: Measurement, thread: Thread) -> tuple[float, float]:
    if measurement.gender == "male":
        return male_range(thread)
    least, most, _ = female_range(thread)
    return least, most


def _is_same_thread(thread: Thread, rival: Thread) -> bool:
    return (
        abs(thread.major_diameter - rival.major_diameter) < ONE_SIZE
        and not _differs_in_pitch(thread, rival)
        and not _differs_in_angle(thread, rival)
        and thread.taper == rival.taper
    )


def _differs_in_pitch(thread: Thread, rival: Thread) -> bool:
    return abs(thread.pitch - rival.pitch) > ONE_PITCH * thread.pitch


def _differs_in_angle(thread: Thread, rival: Thread) -> bool:
    return abs(thread.form.included_angle - rival.form.included_angle) > ONE_ANGLE


def _suggest_taper(thread: Thread, rival: Thread) -> str:
    fall = 0.010 * max(thread.taper, rival.taper) * 1000
    taper, parallel = (thread, rival) if thread.taper > rival.taper else (rival, thread)
    return (
        f"Measure at two places 10 mm apart: {taper.designation} differs by {fall:.2f} mm, "
        f"{parallel.designation} by {0.010 * parallel.taper * 1000:.2f} mm."
    )


def _suggest_count(thread: Thread, rival: Thread) -> str | None:
    """The shortest length in which the counts differ by a whole thread, if one is practicable."""
    if not _differs_in_pitch(thread, rival):
        return None
    for length in COUNTING_LENGTHS:
        counts = [float(length) * INCH / each.pitch for each in (thread, rival)]
        if abs(counts[0] - counts[1]) >= 0.9:
            return (
                f"Count over {_inches_in_words(length)} in: {counts[0]:.0f} for "
                f"{thread.designation}, {counts[1]:.0f} for {rival.designation}."
            )
    return None


def _inches_in_words(length: Fraction) -> str:
    whole, part = divmod(length, 1)
    return " ".join(str(piece) for piece in (whole, part) if piece)


def _suggest_gauge(thread: Thread, rival: Thread) -> str:
    angles = [f"{degrees(each.form.included_angle):.4g}" for each in (thread, rival)]
    return (
        f"Try a {angles[0]} and a {angles[1]} degree gauge: {thread.designation} is "
        f"{angles[0]} degrees, {rival.designation} {angles[1]}."
    )


def _suggest_diameter(measurement: Measurement, thread: Thread, *, rival: Thread) -> str:
    where = "the least worn crests" if measurement.gender == "male" else "the bore"
    ranges = [
        f"{each.designation} measures {least * 1000:.2f} to {most * 1000:.2f} mm"
        for each in (thread, rival)
        for least, most in (_measured_range(measurement, each),)
    ]
    return f"Measure {where} again with a micrometer: {', '.join(ranges)}."


def _foretell_size(male: Thread, female: Thread) -> str | None:
    """Words for a male much too large or too small for the female; None where sizes are near."""
    excess = male.effective_diameter - female.effective_diameter
    if excess > 0.25 * female.internal_depth:
        return f"will not start: the male is {excess * 1000:.2f} mm too large."
    if -excess > 0.5 * female.internal_depth:
        return f"is loose by {-excess * 1000:.2f} mm and may strip."
    return None


def _foretell_binding(male: Thread, female: Thread) -> str:
    """Turns before a difference of pitch takes up the clearance (thread metrology)."""
    male_range, female_range = limits_of(male).male_effective, limits_of(female).female_effective
    clearance = max(sum(female_range) / 2 - sum(male_range) / 2, 0.0)
    slope = tan(min(male.form.half_angle, female.form.half_angle))
    turns = clearance * slope / abs(male.pitch - female.pitch)
    if turns >= 8:
        return "goes together over a short length: the pitches are nearly one."
    return f"binds after about {max(turns, 0.5):.1f} turns."
