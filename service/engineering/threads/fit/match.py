"""Do two threads go together: by diameter, pitch, flank angle and taper, in that order."""

from dataclasses import dataclass

from service.engineering.findings import Finding, Level
from service.engineering.saying import Said, angle, fine, listed, number, say, share, turns
from service.engineering.threads.catalogue import (
    Thread,
    has_same_angle,
    has_same_pitch,
    is_same_thread,
    limits_of,
)
from service.engineering.threads.overlay import GEOMETRY, MOST_PITCHES, Overlay, overlay

WANTED_TURNS = 5.0  # full turns wanted for steam before a thread may bind: common practice
DRYSEAL = "NPTF"  # the family whose crests and roots meet metal to metal
LEAST_DEPTH_ENGAGED = 0.5  # share that must overlap in the middle of the limits: common practice


@dataclass(frozen=True, slots=True)
class Match:
    """How two threads go together, at basic size and in the middle of their limits."""

    level: Level  # ok: one thread; caution: they go, with care; fail: they do not
    basic: Overlay
    middle: Overlay
    findings: tuple[Finding, ...]


def match_threads(
    male: Thread, female: Thread, *, engaged_length: float, drilled: float | None = None
) -> Match:
    """Judge whether two threads go together.

    A left-hand and a right-hand thread never go. One thread by two names goes. Otherwise the male
    must enter and the threads overlap by half their depth, both in the middle of their limits; a
    difference of pitch must leave five turns before it binds; a difference of flank angle alone
    goes with care. A taper goes only into its own thread, or with care into the parallel one of
    the same form.

    male: the male thread.
    female: the female thread.
    engaged_length: length over which they overlap [m], above 0; at most 100 pitches of the finer
        are looked at.
    drilled: tapping hole of the female [m]; None: the middle of its limits.
    Returns: level, both overlays [m] and the findings.
    Raises OutOfRange: a length or hole outside its range.
    Source: Geometry of `overlay`; turns and depth wanted are common practice; tapers by ISO 7-1.
    """
    length = min(engaged_length, MOST_PITCHES * min(male.pitch, female.pitch))
    basic = overlay(male, female, engaged_length=length, drilled=drilled)
    middle = overlay(male, female, engaged_length=length, drilled=drilled, fit="middle")
    if male.hand != female.hand:
        judged = _judge_hand(male, female)
    elif is_same_thread(male, female):
        judged = _judge_same(male, female)
    else:
        apart = _judge_overlap(male, female, middle) or _judge_diameter(male, female)
        is_taper = male.is_taper or female.is_taper
        judge = _judge_taper if is_taper else _judge_parallel
        judged = apart or judge(male, female, basic=basic, middle=middle)
    roots = _judge_roots(male, drilled) if judged.level == "caution" else ()
    return Match(judged.level, basic, middle, (judged, *roots))


def _judge_hand(male: Thread, female: Thread) -> Finding:
    left, right = (male, female) if male.is_left else (female, male)
    text = say(
        left.named, " is a left-hand thread and ", right.named, " a right-hand one: they never go "
        "together. A left hand often marks fuel gas, and is there to keep the two apart. Any "
        "figures beside this are reckoned as if both were of one hand.",
    )  # fmt: skip
    return Finding("fail", "other-hand", text, source="common practice")


def _judge_same(male: Thread, female: Thread) -> Finding:
    if male.designation == female.designation:
        return Finding("ok", "same-thread", say("Both are ", male.named, "."))
    if DRYSEAL in (male.family, female.family) and male.family != female.family:
        text = say(
            _pair(male, female), ": one size, but a dryseal thread seals dry only in its own kind: "
            "use a sealant.",
        )  # fmt: skip
        return Finding("caution", "dryseal-mixed", text, source="ASME B1.20.3; from memory")
    names = say(male.named, " and ", female.named)
    return Finding("ok", "same-thread", say(names, " are one thread by two names."))


def _judge_taper(male: Thread, female: Thread, *, basic: Overlay, middle: Overlay) -> Finding:
    pair = say(_pair(male, female), ": ")
    if female.is_taper and not male.is_taper:
        text = say(pair, "a parallel male touches a taper female at one thread only. It will leak.")
        wedge = basic.wedge_depth
        return Finding("fail", "parallel-into-taper", text, wedge, None, "m", GEOMETRY)
    alike = has_same_pitch(male, female) and has_same_angle(male, female)
    at_gauge = abs(male.effective_diameter - female.effective_diameter)
    if not alike or at_gauge > male.internal_depth / 4:
        text = say(pair, _differences(male, female), ". They may make up, and they leak.")
        source = "ISO 7-1, ASME B1.20.1"
        return Finding("fail", "taper-differs", text, basic.pitch_difference, None, "m", source)
    wedge_depth = basic.wedge_depth or 0.0
    text = say(
        pair, "it wedges after ", turns(wedge_depth / male.pitch), " turns, ",
        fine(wedge_depth, "wedge_depth"), " in. Allowed into a parallel female made for it (Rp); "
        "a thin or soldered boss it will split.",
    )  # fmt: skip
    return Finding("caution", "taper-into-parallel", text, wedge_depth, None, "m", "ISO 7-1")


def _judge_parallel(male: Thread, female: Thread, *, basic: Overlay, middle: Overlay) -> Finding:
    pitch = None if has_same_pitch(male, female) else _judge_pitch(male, female, middle)
    if pitch and pitch.level == "fail":
        return pitch
    if middle.turns_before_binding != 0:
        return pitch or _judge_angle(male, female, basic=basic)
    excess = basic.diametral_interference
    text = say(
        male.named, " does not enter ", female.named, ": it is ", fine(excess, "excess"),
        " too large on diameter at basic size, touching at ", basic.touches_member, ".",
    )  # fmt: skip
    return Finding("fail", "too-large", text, excess, 0.0, "m", GEOMETRY)


def _judge_overlap(male: Thread, female: Thread, middle: Overlay) -> Finding | None:
    """A male that is loose; None where enough of the depth overlaps."""
    depth, limit = middle.depth_engaged, LEAST_DEPTH_ENGAGED
    if depth >= limit:
        return None
    reach = say("overlap by ", share(depth, "depth"), " of their depth")
    text = say(
        male.named, " is loose in ", female.named, ": the threads ",
        reach if depth > 0 else "do not touch", ".",
    )  # fmt: skip
    return Finding("fail", "too-loose", text, depth, limit, "1", "common practice")


def _judge_diameter(male: Thread, female: Thread) -> Finding | None:
    """A male larger than the female by a whole depth; None where it is not."""
    excess = male.major_diameter - female.major_diameter
    limit = min(male.internal_depth, female.internal_depth)
    if excess <= limit:
        return None
    larger = say(male.named, " is ", fine(excess, "excess"), " larger than ", female.named)
    text = say(larger, " on diameter: it does not enter.")
    return Finding("fail", "too-large", text, excess, limit, "m", GEOMETRY)


def _judge_pitch(male: Thread, female: Thread, middle: Overlay) -> Finding:
    before_binding = middle.turns_before_binding
    pitches = say("Pitch ", _pitch(male), " in ", _pitch(female), ": ")
    if before_binding is None:
        text = say(pitches, "near enough not to bind in ", turns(middle.turns), " turns. Low duty.")
        apart = middle.pitch_difference
        return Finding("caution", "pitch-near", text, apart, None, "m", GEOMETRY)
    level: Level = "caution" if before_binding >= WANTED_TURNS else "fail"
    code = "pitch-near" if level == "caution" else "pitch-differs"
    binds = say("after ", turns(before_binding), " turns") if before_binding else "at once"
    text = say(pitches, "it binds ", binds, "; ", number(WANTED_TURNS), " turns are wanted.")
    return Finding(level, code, text, before_binding, WANTED_TURNS, "1", GEOMETRY)


def _judge_angle(male: Thread, female: Thread, *, basic: Overlay) -> Finding:
    tight, where = basic.diametral_interference, basic.touches_member
    fit = say(fine(basic.play, "play"), " free at basic size")
    if tight:
        fit = say(fine(tight, "tight"), " tight on diameter at basic size, touching at ", where)
    if has_same_angle(male, female):
        text = say(_pair(male, female), ": one pitch and angle, ", fit, ". Low duty.")
        return Finding("caution", "diameter-differs", text, basic.play, None, "m", GEOMETRY)
    text = say(
        "One diameter and pitch, but ", angle(male.form.included_angle), " in ",
        angle(female.form.included_angle), ": ", fit, ". It bears on a line and leaves a leak "
        "path: seal it, low duty only, not in a pressure shell.",
    )  # fmt: skip
    apart = basic.flank_angle_difference
    return Finding("caution", "angle-differs", text, apart, 0.0, "rad", GEOMETRY)


def _judge_roots(male: Thread, drilled: float | None) -> tuple[Finding, ...]:
    """A hole so small that its crests reach into the male's roots."""
    root = sum(limits_of(male).male_root) / 2
    if drilled is None or drilled >= root:
        return ()
    text = say(
        "The ", fine(drilled, "hole"), " hole is under the bottom of the male's thread, ",
        fine(root, "bottom"), ": open it out to that or it binds.",
    )  # fmt: skip
    return (Finding("caution", "root-binds", text, drilled, root, "m", GEOMETRY),)


def _differences(male: Thread, female: Thread) -> Said:
    apart = abs(male.effective_diameter - female.effective_diameter)
    parts: list[Said] = []
    if not has_same_pitch(male, female):
        parts.append(say("pitch ", _pitch(male), " and ", _pitch(female)))
    if not has_same_angle(male, female):
        angles = (angle(each.form.included_angle) for each in (male, female))
        parts.append(listed(angles, between=" and "))
    parts.append(say(fine(apart, "apart"), " apart on effective diameter"))
    return listed(parts)


def _pair(male: Thread, female: Thread) -> Said:
    return say(male.named, " in ", female.named)


def _pitch(thread: Thread) -> Said:
    if thread.threads_per_inch:
        return say(number(thread.threads_per_inch, "threads_per_inch"), " per inch")
    return say(fine(thread.pitch, "pitch"))
