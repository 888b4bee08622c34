"""Do two threads go together: by diameter, pitch, flank angle and taper, in that order."""

from dataclasses import dataclass
from math import degrees, radians

from service.engineering.findings import Finding, Level, Unit
from service.engineering.threads.catalogue import Thread, limits_of
from service.engineering.threads.overlay import GEOMETRY, MOST_PITCHES, Overlay, overlay

WANTED_TURNS = 5.0
"""Full turns wanted for steam before a thread may bind: common practice."""

LEAST_DEPTH_ENGAGED = 0.5
"""Share of the depth that must overlap, both threads in the middle of their limits: common
practice."""

SAME_DIAMETER = 10e-6
"""Difference of diameter that the rounding of tables can make [m]."""

SAME_PITCH = 1e-4
"""Relative difference of pitch that the rounding of tables can make."""

SAME_ANGLE = radians(0.01)


@dataclass(frozen=True, slots=True)
class Match:
    """How two threads go together, at basic size and in the middle of their limits."""

    level: Level
    """ok: one thread; caution: they go, with care; fail: they do not."""
    basic: Overlay
    middle: Overlay
    findings: tuple[Finding, ...]


def match_threads(
    male: Thread, female: Thread, *, engaged_length: float, drilled: float | None = None
) -> Match:
    """Judge whether two threads go together.

    One thread by two names goes. Otherwise the male must enter and the threads overlap by half
    their depth, both in the middle of their limits; a difference of pitch must leave five turns
    before it binds; a difference of flank angle alone goes with care. A taper goes only into its
    own thread, or with care into the parallel one of the same form.

    Parameters
    ----------
    male : Thread
        The male thread.
    female : Thread
        The female thread.
    engaged_length : float
        Length over which they overlap [m], above 0; at most 100 pitches of the finer are looked at.
    drilled : float | None
        Tapping hole of the female [m]; None: the middle of its limits.

    Returns
    -------
    Match
        Level, both overlays [m] and the findings.

    Raises
    ------
    OutOfRange
        A length or hole outside its range.

    Source
    ------
    Geometry of `section.overlay`; turns and depth wanted are common practice; tapers by ISO 7-1.
    """
    length = min(engaged_length, MOST_PITCHES * min(male.pitch, female.pitch))
    basic = overlay(male, female, engaged_length=length, drilled=drilled)
    middle = overlay(male, female, engaged_length=length, drilled=drilled, fit="middle")
    if is_same_thread(male, female):
        judged = _judge_same(male, female)
    elif male.is_taper or female.is_taper:
        judged = _judge_taper(male, female, basic=basic, middle=middle)
    else:
        judged = _judge_parallel(male, female, basic=basic, middle=middle)
    roots = _judge_roots(male, drilled) if judged.level == "caution" else ()
    return Match(judged.level, basic, middle, (judged, *roots))


def is_same_thread(male: Thread, female: Thread) -> bool:
    """Whether two threads are one, whatever they are called.

    Parameters
    ----------
    male : Thread
        The one.
    female : Thread
        The other.

    Returns
    -------
    bool
        True if diameter, pitch, angle, depth and taper agree within the rounding of tables.

    Source
    ------
    Geometry.
    """
    return (
        abs(male.major_diameter - female.major_diameter) <= SAME_DIAMETER
        and abs(male.effective_diameter - female.effective_diameter) <= SAME_DIAMETER
        and has_same_pitch(male, female)
        and has_same_angle(male, female)
        and male.taper == female.taper
    )


def has_same_pitch(male: Thread, female: Thread) -> bool:
    """Whether two pitches agree within the rounding of tables."""
    return abs(male.pitch - female.pitch) <= SAME_PITCH * female.pitch


def has_same_angle(male: Thread, female: Thread) -> bool:
    """Whether two flank angles agree."""
    return abs(male.form.included_angle - female.form.included_angle) <= SAME_ANGLE


def _judge_same(male: Thread, female: Thread) -> Finding:
    if male.designation == female.designation:
        return Finding("ok", "same-thread", f"Both are {male.designation}.")
    text = f"{male.designation} and {female.designation} are one thread by two names."
    return Finding("ok", "same-thread", text)


def _judge_taper(male: Thread, female: Thread, *, basic: Overlay, middle: Overlay) -> Finding:
    for finding in (_judge_overlap(male, female, middle=middle), _judge_diameter(male, female)):
        if finding.level == "fail":
            return finding
    names = f"{male.designation} in {female.designation}"
    if female.is_taper and not male.is_taper:
        text = f"{names}: a parallel male touches a taper female at one thread only. It will leak."
        return _finding(
            "fail", "parallel-into-taper", text=text, value=basic.wedge_depth, limit=None, unit="m"
        )
    alike = has_same_pitch(male, female) and has_same_angle(male, female)
    at_gauge = abs(male.effective_diameter - female.effective_diameter)
    if not alike or at_gauge > male.internal_depth / 4:
        text = f"{names}: {_differences(male, female)}. They may make up, and they leak."
        return _finding(
            "fail",
            "taper-differs",
            text=text,
            value=basic.pitch_difference,
            limit=None,
            unit="m",
            source="ISO 7-1, ASME B1.20.1",
        )
    wedge = basic.wedge_depth or 0.0
    text = (
        f"{names}: it wedges after {wedge / male.pitch:.1f} turns, {wedge * 1000:.1f} mm in. "
        "Allowed into a parallel female made for it (Rp); a thin or soldered boss it will split."
    )
    return _finding(
        "caution",
        "taper-into-parallel",
        text=text,
        value=wedge,
        limit=None,
        unit="m",
        source="ISO 7-1",
    )


def _judge_parallel(male: Thread, female: Thread, *, basic: Overlay, middle: Overlay) -> Finding:
    for finding in (
        _judge_overlap(male, female, middle=middle),
        _judge_diameter(male, female),
        _judge_pitch(male, female, middle=middle),
        _judge_entry(male, female, basic=basic, middle=middle),
    ):
        if finding.level == "fail":
            return finding
    if not has_same_pitch(male, female):
        return _judge_pitch(male, female, middle=middle)
    return _judge_angle(male, female, basic=basic)


def _judge_overlap(male: Thread, female: Thread, *, middle: Overlay) -> Finding:
    depth = middle.depth_engaged
    level: Level = "ok" if depth >= LEAST_DEPTH_ENGAGED else "fail"
    words = f"overlap by {depth * 100:.0f} % of their depth" if depth > 0 else "do not touch"
    text = f"{male.designation} is loose in {female.designation}: the threads {words}."
    return _finding(
        level,
        "too-loose",
        text=text,
        value=depth,
        limit=LEAST_DEPTH_ENGAGED,
        unit="1",
        source="common practice",
    )


def _judge_diameter(male: Thread, female: Thread) -> Finding:
    excess = male.major_diameter - female.major_diameter
    limit = min(male.internal_depth, female.internal_depth)
    level: Level = "fail" if excess > limit else "ok"
    text = (
        f"{male.designation} is {excess * 1000:.2f} mm larger than {female.designation} on "
        "diameter: it does not enter."
    )
    return _finding(level, "too-large", text=text, value=excess, limit=limit, unit="m")


def _judge_entry(male: Thread, female: Thread, *, basic: Overlay, middle: Overlay) -> Finding:
    level: Level = "fail" if middle.turns_before_binding == 0 else "ok"
    text = (
        f"{male.designation} does not enter {female.designation}: it is "
        f"{basic.diametral_interference * 1000:.2f} mm too large on diameter at basic size, "
        f"touching at {basic.touches_member}."
    )
    return _finding(
        level, "too-large", text=text, value=basic.diametral_interference, limit=0.0, unit="m"
    )


def _judge_pitch(male: Thread, female: Thread, *, middle: Overlay) -> Finding:
    turns = None if has_same_pitch(male, female) else middle.turns_before_binding
    pitches = f"{_pitch_words(male)} in {_pitch_words(female)}"
    if turns is None:
        text = f"Pitch {pitches}: near enough not to bind in {middle.turns:.1f} turns. Low duty."
        return _finding(
            "caution", "pitch-near", text=text, value=middle.pitch_difference, limit=None, unit="m"
        )
    level: Level = "caution" if turns >= WANTED_TURNS else "fail"
    code = "pitch-near" if level == "caution" else "pitch-differs"
    binds = f"after {turns:.1f} turns" if turns else "at once"
    text = f"Pitch {pitches}: it binds {binds}; {WANTED_TURNS:.0f} turns are wanted."
    return _finding(level, code, text=text, value=turns, limit=WANTED_TURNS, unit="1")


def _judge_angle(male: Thread, female: Thread, *, basic: Overlay) -> Finding:
    tight = basic.diametral_interference * 1000
    fit = (
        f"{tight:.3f} mm tight on diameter at basic size, touching at {basic.touches_member}"
        if tight
        else f"{basic.play * 1000:.3f} mm free at basic size"
    )
    if has_same_angle(male, female):
        text = f"{male.designation} in {female.designation}: one pitch and angle, {fit}. Low duty."
        return _finding(
            "caution", "diameter-differs", text=text, value=basic.play, limit=None, unit="m"
        )
    text = (
        f"One diameter and pitch, but {degrees(male.form.included_angle):.4g} in "
        f"{degrees(female.form.included_angle):.4g} degrees: {fit}. It bears on a line and leaves "
        "a leak path: seal it, low duty only, not in a pressure shell."
    )
    return _finding(
        "caution",
        "angle-differs",
        text=text,
        value=basic.flank_angle_difference,
        limit=0.0,
        unit="rad",
    )


def _judge_roots(male: Thread, drilled: float | None) -> tuple[Finding, ...]:
    """A hole so small that its crests reach into the male's roots."""
    root = sum(limits_of(male).male_root) / 2
    if drilled is None or drilled >= root:
        return ()
    text = (
        f"The {drilled * 1000:.2f} mm hole is under the bottom of the male's thread, "
        f"{root * 1000:.2f} mm: open it out to that or it binds."
    )
    return (_finding("caution", "root-binds", text=text, value=drilled, limit=root, unit="m"),)


def _differences(male: Thread, female: Thread) -> str:
    parts = []
    if not has_same_pitch(male, female):
        parts.append(f"pitch {_pitch_words(male)} and {_pitch_words(female)}")
    if not has_same_angle(male, female):
        angles = (degrees(thread.form.included_angle) for thread in (male, female))
        parts.append("{:.4g} and {:.4g} degrees".format(*angles))
    gap = abs(male.effective_diameter - female.effective_diameter) * 1000
    parts.append(f"{gap:.2f} mm apart on effective diameter")
    return ", ".join(parts)


def _pitch_words(thread: Thread) -> str:
    if thread.threads_per_inch:
        return f"{thread.threads_per_inch:g} per inch"
    return f"{thread.pitch * 1000:.4g} mm"


def _finding(
    level: Level,
    code: str,
    *,
    text: str,
    value: float | None,
    limit: float | None,
    unit: Unit,
    source: str = GEOMETRY,
) -> Finding:
    return Finding(level, code, text, value, limit, unit, source)
