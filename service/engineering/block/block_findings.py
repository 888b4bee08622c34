"""A planned block judged: what to beware of, and the arithmetic behind it."""

from collections.abc import Iterable
from dataclasses import replace

from service.engineering.block.flow import PortDrop
from service.engineering.block.request import PLUG
from service.engineering.block.setting_out import Hole, Wall
from service.engineering.block.sizing import Fit, Search
from service.engineering.block.ways import FLOOR, LEAST_BREAKTHROUGH, Tapping
from service.engineering.constants import ATMOSPHERE
from service.engineering.findings import Finding, Level, Working, worst_first
from service.engineering.saturation import PROPERTY_SOURCE
from service.engineering.saying import (
    angle,
    drop,
    fine,
    flow,
    length,
    name,
    number,
    say,
    share,
    turns,
    velocity,
)
from service.engineering.steam.passages import ISOTHERMAL_SOURCE, LOSS_SPREAD, QUICKEST
from service.engineering.thick_tube import LAME, hoop_stress
from service.engineering.threads.catalogue import judge_drill
from service.engineering.threads.strength import LEAST_TURNS, Engagement, engagement

PRACTICE = "common practice"

STRAIGHT = 'd_"bore"/2'
STEPPED = f"{STRAIGHT} + f_0 + (d_t - d_w)/2 tan(31°) + 2 P"
NEEDED = '"longest of" 5 P, (8 F_p)/q, (1.5 F_s)/q "and as asked"'
NEEDED_SOURCE = "ASME B1.1 appendix B; factors: common practice"
DEPTH_SOURCE = "D is the major diameter; in whole steps of a depth stop: common practice"
LOST = (
    'p_"in"^2 - p_"out"^2 = phi (m/A)^2 p v (K + 2 ln(p_"in"/p_"out")),'
    ' "summed along the way; K with wall friction"'
)
LOST_SOURCE = f"{ISOTHERMAL_SOURCE}; entry: Rennels and Hudson, Pipe Flow; branch: TP-410"
HOOP = 'p (R^2 + r^2)/(R^2 - r^2) "beside the bore", r = d_"bore"/2'

DEEPEST_BORE = 12.0
"""Depth over diameter past which a twist drill is not trusted to run true; from memory."""


def judge_block(
    search: Search, fit: Fit, holes: tuple[Hole, ...], *, walls: tuple[Wall, ...], worst: PortDrop
) -> tuple[Finding, ...]:
    """What a turner should be told about a block."""
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
            *_judge_strength(*_weakest_engagement(search, threaded)),
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
    text = say(
        (turns(least.turns), " full turns or more in every port, "),
        (length(least.full_thread, "full_thread"), " in ", least.letter),
        ("; for steam ", number(LEAST_TURNS, "wanted"), " are wanted."),
    )
    level: Level = "ok" if least.turns >= LEAST_TURNS - 1e-6 else "fail"
    return Finding(level, "block-thread", text, least.turns, LEAST_TURNS, "1", PRACTICE)


def _judge_drop(search: Search, worst: PortDrop, holes: tuple[Hole, ...]) -> Finding:
    budget, lost = search.request.drop_budget, worst.drop
    cost = say(
        (holes[worst.port].letter, " loses ", drop(lost.likely, "drop"), " in case "),
        (name(repr(worst.case)), ", at ", flow(worst.flow), "; "),
        (drop(budget, "allowed"), " is allowed."),
    )
    level: Level = "ok" if lost.likely <= budget * (1 + 1e-6) else "fail"
    if level == "ok" and lost.high > budget:
        level = "caution"
        spread = share(LOSS_SPREAD - 1.0, "spread")
        cost = say(
            cost, " With losses ", spread, " higher it would be ", drop(lost.high, "high"), "."
        )
    source = f"{ISOTHERMAL_SOURCE}; losses good to 40 %"
    return Finding(level, "block-drop", cost, lost.likely, budget, "Pa difference", source)


def _judge_wall(wall: Wall, search: Search) -> Finding:
    least = search.request.least_wall
    level: Level = "ok" if wall.thickness >= least - 1e-8 else "fail"
    text = say(
        "The thinnest wall is ", fine(wall.thickness, "wall"), ", between ", wall.between, "."
    )
    return Finding(level, "block-wall", text, wall.thickness, least, "m", PRACTICE)


def _judge_breakthrough(holes: tuple[Hole, ...]) -> Finding:
    hole = min(
        (hole for hole in holes if hole.breakthrough is not None),
        key=lambda hole: hole.breakthrough or 0.0,
    )
    meets = hole.breakthrough or 0.0
    text = say(
        ("The sides of ", hole.letter, " meet the wall of the bore at ", angle(meets), "; below "),
        (angle(LEAST_BREAKTHROUGH, "least"), " the drill runs off and leaves a feather edge."),
    )
    return Finding("ok", "block-breakthrough", text, meets, LEAST_BREAKTHROUGH, "rad", PRACTICE)


def _judge_velocity(worst: PortDrop, holes: tuple[Hole, ...]) -> list[Finding]:
    if worst.velocity <= QUICKEST:
        return []
    text = say(
        ("Steam runs at ", velocity(worst.velocity), " on the way to "),
        (holes[worst.port].letter, "; ", velocity(QUICKEST, "quickest")),
        " is quick enough for wet steam.",
    )
    return [Finding("caution", "block-velocity", text, worst.velocity, QUICKEST, "m/s", PRACTICE)]


def _judge_straight_holes(holes: tuple[Hole, ...]) -> list[Finding]:
    """A male longer than the thread stands in the bore where the hole runs straight in."""
    straight = [hole for hole in holes if hole.breakthrough is not None and hole.feed is None]
    if not straight:
        return []
    shortest = min(hole.full_thread for hole in straight)
    text = say(
        (_letters(straight), ": tapped straight into the bore. A male thread longer than "),
        length(shortest, "full_thread"),
        " reaches into the steam; shorten it or put washers under it.",
    )
    return [Finding("caution", "block-male-length", text, shortest, None, "m", "geometry")]


def _judge_drills(tappings: tuple[Tapping, ...]) -> list[Finding]:
    drills = {tapping.port.thread: tapping.drill.diameter for tapping in tappings}
    found = (finding for thread, size in drills.items() for finding in judge_drill(thread, size))
    return [finding for finding in found if finding.level != "ok"]


def _judge_strength(engaged: Engagement, letter: str) -> list[Finding]:
    return [
        replace(finding, text=say(letter, ": ", finding.text))
        for finding in engaged.findings
        if finding.code in ("engagement-pressure", "engagement-spanner")
    ]


def _judge_pointing(holes: tuple[Hole, ...]) -> list[Finding]:
    pointed = [hole for hole in holes if hole.pointing is not None]
    if not pointed:
        return []
    pitch = max(hole.thread.pitch for hole in pointed if hole.thread)
    text = say(
        (_letters(pointed), ": the fitting must point one way. Keep shims up to one pitch, "),
        fine(pitch, "pitch"),
        ", or face its shoulder; screw it home before the bore is finished.",
    )
    return [Finding("ok", "block-pointing", text, pitch, None, "m", "geometry of the helix")]


def _judge_plug(holes: tuple[Hole, ...]) -> list[Finding]:
    text = " is there to drill the bore, and needs a plug on a washer."
    return [
        Finding("ok", "block-plug", say("No port was asked for in an end: ", hole.letter, text))
        for hole in holes
        if hole.name == PLUG
    ]


def _judge_deep_bore(bore: Hole) -> list[Finding]:
    ratio = bore.drilled_depth / bore.drill.diameter
    if ratio <= DEEPEST_BORE:
        return []
    text = say(
        ("Bore ", bore.letter, " is ", number(ratio, "depth"), " diameters deep; past "),
        (number(DEEPEST_BORE, "deepest"), " a drill wanders. Start it in a true pilot, clear the"),
        " chips often, and drill from both ends if both are open.",
    )
    return [Finding("caution", "block-deep-bore", text, ratio, DEEPEST_BORE, "1", PRACTICE)]


def _letters(holes: Iterable[Hole]) -> str:
    return ", ".join(hole.letter for hole in holes)


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
    reach = fit.section.reach(hole.place, hole.flat)
    pitch = tapping.port.thread.pitch
    drilled = f"drill {fit.boring.drill.name}"
    spent = STEPPED if way.is_stepped else STRAIGHT
    floor = FLOOR if way.is_stepped else 0.0
    return (
        Working('d_"bore"', '"bore chosen"', fit.boring.bore, "m", drilled),
        Working("P", '"pitch"', pitch, "m", tapping.port.thread.source),
        Working("d_t", '"tapping drill"', hole.drill.diameter, "m", tapping.chosen.reason),
        Working("d_w", '"way into the bore"', way.feed.diameter, "m", PRACTICE),
        Working("beta", 'arccos(d_w/d_"bore")', way.breakthrough, "rad", "geometry"),
        Working("f_0", '"floor over the bore"', floor, "m", PRACTICE),
        Working("h_0", '"middle of the bore to the face"', reach, "m", "the bar, less any flat"),
        Working("s_0", spent, way.spent, "m", "geometry; point of the drill 118 deg, ISO 5419"),
        Working('L_"room"', "h_0 - s_0", way.room(reach), "m", "geometry"),
        Working("L_e", NEEDED, tapping.engagement, "m", NEEDED_SOURCE),
        Working("L", 'max(L_e, min(L_"room", D))', hole.full_thread, "m", DEPTH_SOURCE),
        Working("N", "L/P", hole.full_thread / pitch, "1", "geometry"),
        *_weakest_engagement(search, tuple(h for h in holes if h.thread))[0].workings,
    )


def _flow_workings(search: Search, fit: Fit, worst: PortDrop) -> tuple[Working, ...]:
    request, steam = search.request, search.steam
    feed = fit.boring.ways[worst.port].feed.diameter
    greatest = '"steam of the port that loses most"'
    pulsation = '("mean of" m^2)/("mean of" m)^2'
    return (
        Working("p_0", '"working pressure, absolute"', request.pressure, "Pa", "as asked"),
        Working("phi", pulsation, request.pulsation, "1", "inference"),
        Working("p v", 'p_0 v_g "at" p_0', steam.product, "J/kg", PROPERTY_SOURCE),
        Working("m", greatest, worst.flow, "kg/s", "as asked"),
        Working("d_b", '"way to that port"', feed, "m", PRACTICE),
        Working("Delta p", LOST, worst.drop.likely, "Pa difference", LOST_SOURCE),
        Working("u", '(m p v)/(A p_"out"), "the highest"', worst.velocity, "m/s", "continuity"),
    )


def _wall_workings(search: Search, fit: Fit, walls: tuple[Wall, ...]) -> tuple[Working, ...]:
    inside = search.request.pressure - ATMOSPHERE
    bore, section = fit.boring.bore, fit.section
    beside = min(section.width, section.height) / 2 - bore / 2
    hoop = hoop_stress(inside, bore / 2, wall=beside)
    outside = '"half the bore and the metal beside it"'
    return (
        Working("w", f'"thinnest: {walls[0].between}"', walls[0].thickness, "m", "geometry"),
        Working("R", outside, bore / 2 + beside, "m", "geometry"),
        Working("sigma", HOOP, hoop, "Pa stress", LAME),
    )
