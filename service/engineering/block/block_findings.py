"""A planned block put into words: what to beware of, and the arithmetic behind it."""

from math import degrees

from service.engineering.block.demand import hoop_stress
from service.engineering.block.flow import PortDrop
from service.engineering.block.request import PLUG
from service.engineering.block.setting_out import Hole, Wall
from service.engineering.block.sizing import Fit, Search
from service.engineering.block.ways import FLOOR, LEAST_BREAKTHROUGH, POINT_SLOPE, Tapping
from service.engineering.constants import ATMOSPHERE
from service.engineering.findings import Finding, Level, Working, worst_first
from service.engineering.saturation import PROPERTY_SOURCE
from service.engineering.steam.passages import ISOTHERMAL_SOURCE, QUICKEST
from service.engineering.steam.wording import difference_text, flow_text, length_text
from service.engineering.threads.catalogue import judge_drill
from service.engineering.threads.strength import LEAST_TURNS, Engagement, engagement

PRACTICE = "common practice"

DEEPEST_BORE = 12.0
"""Depth over diameter past which a twist drill is not trusted to run true; from memory."""


def judge_block(
    search: Search, fit: Fit, holes: tuple[Hole, ...], *, walls: tuple[Wall, ...], worst: PortDrop
) -> tuple[Finding, ...]:
    """What a turner should be told about a block.

    Source: Named on each finding.
    """
    threaded = tuple(hole for hole in holes if hole.thread)
    return worst_first(
        (
            _judge_thread(threaded),
            _judge_drop(search, worst, threaded),
            _judge_wall(walls[0], search),
            _judge_breakthrough(threaded),
            *_judge_velocity(worst, threaded),
            *_judge_straight_holes(threaded),
            *_judge_drills(search.tappings),
            *_judge_strength(search, threaded),
            *_judge_pointing(threaded),
            *_judge_plug(threaded),
            *_judge_deep_bore(holes[-1]),
        )
    )


def write_workings(
    search: Search, fit: Fit, holes: tuple[Hole, ...], *, walls: tuple[Wall, ...], worst: PortDrop
) -> tuple[Working, ...]:
    """The arithmetic of a block, from the thread to the drop."""
    return (
        *_thread_workings(search, fit, holes),
        *_flow_workings(search, fit, worst),
        *_wall_workings(search, fit, walls),
    )


def _judge_thread(holes: tuple[Hole, ...]) -> Finding:
    least = min(holes, key=lambda hole: hole.turns)
    return Finding(
        "ok" if least.turns >= LEAST_TURNS - 1e-6 else "fail",
        "block-thread",
        f"{least.turns:.1f} full turns or more in every port, {length_text(least.full_thread)} in"
        f" {least.letter}; steam wants {LEAST_TURNS:.0f}.",
        least.turns,
        LEAST_TURNS,
        "1",
        PRACTICE,
    )


def _judge_drop(search: Search, worst: PortDrop, holes: tuple[Hole, ...]) -> Finding:
    budget, drop = search.request.drop_budget, worst.drop
    letter, allowed = holes[worst.port].letter, difference_text(budget)
    cost = (
        f"{letter} loses {drop.likely / 1e5:.3f} bar in case {worst.case!r}, at"
        f" {flow_text(worst.flow)}; {allowed} is allowed."
    )
    level: Level = "ok" if drop.likely <= budget * (1 + 1e-6) else "fail"
    if level == "ok" and drop.high > budget:
        level = "caution"
        cost += f" With losses 40 % higher it would be {drop.high / 1e5:.3f} bar."
    source = f"{ISOTHERMAL_SOURCE}; losses good to 40 %"
    return Finding(level, "block-drop", cost, drop.likely, budget, "Pa difference", source)


def _judge_wall(wall: Wall, search: Search) -> Finding:
    least = search.request.least_wall
    return Finding(
        "ok" if wall.thickness >= least - 1e-8 else "fail",
        "block-wall",
        f"The thinnest wall is {length_text(wall.thickness)}, between {wall.between}.",
        wall.thickness,
        least,
        "m",
        PRACTICE,
    )


def _judge_breakthrough(holes: tuple[Hole, ...]) -> Finding:
    hole = min(
        (hole for hole in holes if hole.breakthrough is not None),
        key=lambda hole: hole.breakthrough or 0.0,
    )
    angle = hole.breakthrough or 0.0
    return Finding(
        "ok",
        "block-breakthrough",
        f"The sides of {hole.letter} meet the wall of the bore at {degrees(angle):.0f} deg; below"
        f" {degrees(LEAST_BREAKTHROUGH):.0f} deg the drill runs off and leaves a feather edge.",
        angle,
        LEAST_BREAKTHROUGH,
        "rad",
        PRACTICE,
    )


def _judge_velocity(worst: PortDrop, holes: tuple[Hole, ...]) -> list[Finding]:
    if worst.velocity <= QUICKEST:
        return []
    text = (
        f"Steam runs at {worst.velocity:.0f} m/s on the way to {holes[worst.port].letter};"
        f" {QUICKEST:.0f} m/s is quick enough for wet steam."
    )
    return [Finding("caution", "block-velocity", text, worst.velocity, QUICKEST, "m/s", PRACTICE)]


def _judge_straight_holes(holes: tuple[Hole, ...]) -> list[Finding]:
    """A male longer than the thread stands in the bore where the hole runs straight in."""
    straight = [hole for hole in holes if hole.breakthrough is not None and hole.feed is None]
    if not straight:
        return []
    shortest = min(hole.full_thread for hole in straight)
    letters = ", ".join(hole.letter for hole in straight)
    text = (
        f"{letters}: tapped straight into the bore. A male thread longer than"
        f" {length_text(shortest)} reaches into the steam; shorten it or put washers under it."
    )
    return [Finding("caution", "block-male-length", text, shortest, None, "m", "geometry")]


def _judge_drills(tappings: tuple[Tapping, ...]) -> list[Finding]:
    drills = {tapping.port.thread: tapping.drill.diameter for tapping in tappings}
    found = (finding for thread, size in drills.items() for finding in judge_drill(thread, size))
    return [finding for finding in found if finding.level != "ok"]


def _judge_strength(search: Search, holes: tuple[Hole, ...]) -> list[Finding]:
    engaged, letter = _weakest_engagement(search, holes)
    return [
        Finding(
            finding.level,
            finding.code,
            f"{letter}: {finding.text}",
            finding.value,
            finding.limit,
            finding.unit,
            finding.source,
        )
        for finding in engaged.findings
        if finding.code in ("engagement-pressure", "engagement-spanner")
    ]


def _judge_pointing(holes: tuple[Hole, ...]) -> list[Finding]:
    pointed = [hole for hole in holes if hole.pointing is not None]
    if not pointed:
        return []
    pitch = max(hole.thread.pitch for hole in pointed if hole.thread)
    letters = ", ".join(hole.letter for hole in pointed)
    text = (
        f"{letters}: the fitting must point one way. Keep shims up to one pitch,"
        f" {length_text(pitch)}, or face its shoulder; screw it home before the bore is finished."
    )
    return [Finding("ok", "block-pointing", text, pitch, None, "m", "geometry of the helix")]


def _judge_plug(holes: tuple[Hole, ...]) -> list[Finding]:
    plugs = [hole for hole in holes if hole.name == PLUG and hole.thread]
    return [
        Finding(
            "ok",
            "block-plug",
            f"No port was asked for in an end: {hole.letter} is there to drill the bore, and needs"
            " a plug on a washer.",
        )
        for hole in plugs
    ]


def _judge_deep_bore(bore: Hole) -> list[Finding]:
    ratio = bore.drilled_depth / bore.drill.diameter
    if ratio <= DEEPEST_BORE:
        return []
    text = (
        f"Bore {bore.letter} is {ratio:.0f} diameters deep; past {DEEPEST_BORE:.0f} a drill"
        " wanders. Start it in a true pilot, clear the chips often, and drill from both ends if"
        " both are open."
    )
    return [Finding("caution", "block-deep-bore", text, ratio, DEEPEST_BORE, "1", PRACTICE)]


def _weakest_engagement(search: Search, holes: tuple[Hole, ...]) -> tuple[Engagement, str]:
    """The port whose thread has least in hand over the pressure."""
    request = search.request
    joints = (
        (
            engagement(
                tapping.port.thread,
                tapping.port.thread,
                length=hole.full_thread,
                drilled=tapping.drill.diameter,
                male_material=tapping.port.male_material,
                female_material=request.material,
                pressure=request.pressure - ATMOSPHERE,
            ),
            hole.letter,
        )
        for tapping, hole in _alike_once(search.tappings, holes)
    )
    return min(joints, key=lambda joint: joint[0].factor or 0.0)


def _alike_once(
    tappings: tuple[Tapping, ...], holes: tuple[Hole, ...]
) -> list[tuple[Tapping, Hole]]:
    """One port of each thread, length and metal."""
    kinds = {
        (hole.thread, hole.full_thread, tapping.port.male_material): (tapping, hole)
        for tapping, hole in reversed(tuple(zip(tappings, holes, strict=True)))
    }
    return list(kinds.values())


def _thread_workings(search: Search, fit: Fit, holes: tuple[Hole, ...]) -> tuple[Working, ...]:
    crossing = [i for i, hole in enumerate(holes) if hole.breakthrough is not None]
    place = min(crossing, key=lambda i: holes[i].turns)
    hole, tapping, way = holes[place], search.tappings[place], fit.boring.ways[place]
    spent = "d_bore/2 + f_0 + (d_t - d_w)/2 tan(31 deg) + 2 P" if way.is_stepped else "d_bore/2"
    reach = fit.section.reach(hole.place, hole.flat)
    pitch = tapping.port.thread.pitch
    return (
        Working("d_bore", "bore chosen", fit.boring.bore, "m", f"drill {fit.boring.drill.name}"),
        Working("P", "pitch", pitch, "m", tapping.port.thread.source),
        Working("d_t", "tapping drill", hole.drill.diameter, "m", tapping.chosen.reason),
        Working("d_w", "way into the bore", way.feed.diameter, "m", PRACTICE),
        Working("beta", "acos(d_w/d_bore)", way.breakthrough, "rad", "geometry"),
        Working("f_0", "floor over the bore", FLOOR if way.is_stepped else 0.0, "m", PRACTICE),
        Working("h_0", "middle of the bore to the face", reach, "m", "the bar, less any flat"),
        Working("s_0", spent, way.spent, "m", f"geometry; 118 deg point, slope {POINT_SLOPE:.3f}"),
        Working("L_room", "h_0 - s_0", way.room(reach), "m", "geometry"),
        Working(
            "L_e",
            "longest of 5 P, 8 F_p/q, 1.5 F_s/q, and as asked",
            tapping.engagement,
            "m",
            "ASME B1.1 appendix B; factors: common practice",
        ),
        Working("L", "lesser of L_room and D, not under L_e", hole.full_thread, "m", PRACTICE),
        Working("N", "L/P", hole.full_thread / pitch, "1", "geometry"),
        *_weakest_engagement(search, tuple(h for h in holes if h.thread))[0].workings,
    )


def _flow_workings(search: Search, fit: Fit, worst: PortDrop) -> tuple[Working, ...]:
    request = search.request
    feed = fit.boring.ways[worst.port].feed.diameter
    return (
        Working("p0", "working pressure, absolute", request.pressure, "Pa", "as asked"),
        Working("phi", "mean of m²/(mean of m)²", request.pulsation, "1", "inference"),
        Working("p v", "p0 v_g(p0)", search.steam.product, "J/kg", PROPERTY_SOURCE),
        Working("m", "steam of the port that loses most", worst.flow, "kg/s", "as asked"),
        Working("d_b", "way to that port", feed, "m", PRACTICE),
        Working(
            "Δp",
            "p_in² - p_out² = phi (m/A)² p v [K + 2 ln(p_in/p_out)] summed along the way, K with"
            " wall friction",
            worst.drop.likely,
            "Pa difference",
            f"{ISOTHERMAL_SOURCE}; entry: Rennels and Hudson, Pipe Flow; branch: TP-410",
        ),
        Working("u", "m p v/(A p_out), the highest", worst.velocity, "m/s", "continuity"),
    )


def _wall_workings(search: Search, fit: Fit, walls: tuple[Wall, ...]) -> tuple[Working, ...]:
    pressure = search.request.pressure - ATMOSPHERE
    bore, section = fit.boring.bore, fit.section
    beside = min(section.width, section.height) / 2 - bore / 2
    stress = hoop_stress(pressure, bore / 2, wall=beside)
    return (
        Working("w", f"thinnest: {walls[0].between}", walls[0].thickness, "m", "geometry"),
        Working("R", "d_bore/2 + metal beside the bore", bore / 2 + beside, "m", "geometry"),
        Working(
            "sigma",
            "p (R² + r²)/(R² - r²) beside the bore, r = d_bore/2",
            stress,
            "Pa difference",
            "Lame, thick cylinder; indicative",
        ),
    )
