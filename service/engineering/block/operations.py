"""The order of work on a block: square up, mark out, cross holes, bore, ends, deburr, prove."""

from service.engineering.block.request import ENDS
from service.engineering.block.setting_out import Hole
from service.engineering.block.sizing import Fit
from service.engineering.block.stock import FACING_ALLOWANCE
from service.engineering.kit import USUAL_KIT, Kit
from service.engineering.saying import Said, fine, length, name, say
from service.engineering.threads.catalogue import Drill
from service.engineering.threads.remedies import JobSheet, Step

PILOT_FROM = 0.005  # holes from this size are piloted [m]; common practice
PILOT_SHARE = 0.5  # pilot over finished hole; common practice: about the web of the larger drill
RUN_OUT = 0.00002  # what a block may run out in the chuck [m]; common practice
CLOCKED = "four-jaw chuck and dial gauge"
TO_THE_MIDDLE = ", to the middle of the bore to come."

BREAK_CHIPS = 4.0
"""Depth over diameter from which a drill is drawn out to clear its chips; common practice."""


def order_operations(
    fit: Fit,
    holes: tuple[Hole, ...],
    *,
    material: str,
    bore_drills: tuple[Drill, ...],
    kit: Kit = USUAL_KIT,
) -> tuple[Step, ...]:
    """What to do, in order, to make a block.

    The cross holes go into solid metal first; the bore, drilled last, cleans their ends.
    """
    bench = _Bench(fit, JobSheet(material, kit), bore_drills)
    bench.square_up(material)
    bench.mark_out(holes)
    for place in dict.fromkeys(hole.place for hole in holes if hole.place not in ENDS):
        bench.drill_face(tuple(hole for hole in holes if hole.place == place))
    bench.drill_bore(holes[-1])
    for hole in holes:
        if hole.thread and hole.place in ENDS:
            bench.tap_end(hole, bored_from=holes[-1].place)
    bench.finish(holes)
    return bench.sheet.finish()


class _Bench:
    def __init__(self, fit: Fit, sheet: JobSheet, drills: tuple[Drill, ...]) -> None:
        self.fit = fit
        self.sheet = sheet
        self.drills = drills

    def square_up(self, material: str) -> None:
        section, finished = self.fit.section, self.fit.boring.layout.length
        bar, sawn = name(section.name), length(finished + FACING_ALLOWANCE, "sawn")
        saw = say(
            ("Saw ", sawn, " off the ", bar, " bar, ", name(material)),
            "; hold it in the four-jaw and clock two faces true.",
        )
        self.sheet.add("hold block", saw, size=bar, tool="four-jaw chuck")
        across, size = max(section.width, section.height), length(finished)
        self.sheet.add("face", "Face one end square: the left end, x = 0.", diameter=across)
        turn = say("Turn end for end, face to ", size, ".")
        self.sheet.add("face", turn, size=size, diameter=across)

    def mark_out(self, holes: tuple[Hole, ...]) -> None:
        for hole in holes[:-1]:
            axes = {"top": "xy", "bottom": "xy", "front": "xz", "back": "xz"}.get(hole.place, "yz")
            first, second = (say(axis, " ", length(getattr(hole, axis), axis)) for axis in axes)
            text = say(
                ("Mark out ", hole.letter, " on the ", hole.place, ": ", first, ", ", second),
                ", all from the left end, front face and bottom; punch.",
            )
            tool = "height gauge, surface plate and centre punch"
            self.sheet.add("measure", text, tool=tool)

    def drill_face(self, holes: tuple[Hole, ...]) -> None:
        text = say(
            ("Hold the block with the ", holes[0].place, " up, level and parallel to the"),
            " fixed jaw; for each hole bring the centre under the spindle.",
        )
        self.sheet.add("hold block", text)
        for hole in holes:
            if hole.flat:
                self._mill_flat(hole)
            self._centre(hole)
            if hole.feed:
                self._drill_stepped(hole, hole.feed)
            else:
                depth = _deep(hole.drilled_depth)
                text = say("Tapping drill ", hole.letter, " ", depth, TO_THE_MIDDLE)
                self._drill_piloted(hole, text)
            self._tap(hole)

    def drill_bore(self, hole: Hole) -> None:
        hold = say(
            ("Hold the block in the four-jaw with the ", hole.place, " outwards; clock the"),
            (" faces to run true within ", fine(RUN_OUT, "within"), " at both ends."),
        )
        self.sheet.add("hold block", hold, tool=CLOCKED)
        self._centre(hole)
        through = hole.drilled_depth >= self.fit.boring.layout.length - 1e-9
        depth = "right through" if through else _deep(hole.drilled_depth)
        text = say(
            ("Drill bore ", hole.letter, " ", depth, "; draw the drill out at every cross"),
            " hole to clear its chips.",
        )
        self._drill_piloted(hole, text)

    def tap_end(self, hole: Hole, *, bored_from: str) -> None:
        if hole.place != bored_from:
            turn = say("Turn end for end, ", hole.place, " outwards; clock true within ")
            self.sheet.add("hold block", say(turn, fine(RUN_OUT, "within"), "."), tool=CLOCKED)
        narrow = hole.drill.diameter < self.fit.boring.bore
        if narrow:
            self._centre(hole)
        reach = "until it meets the bore" if narrow else _deep(hole.drilled_depth)
        text = say("Tapping drill ", hole.letter, " ", reach, ".")
        self._drill("drill" if narrow else "open out", text, hole.drill, hole.drilled_depth)
        self._tap(hole)

    def finish(self, holes: tuple[Hole, ...]) -> None:
        wash = say(
            ("Turn the ", name(holes[-1].drill.name), " drill through the bore by hand,"),
            " scrape the edges of every cross hole, break all corners, wash and blow through.",
        )
        self.sheet.add("deburr and wash", wash)
        for designation in dict.fromkeys(h.thread.designation for h in holes if h.thread):
            thread = name(designation)
            text = say("Try the ", thread, " holes with the fittings themselves, to the shoulder.")
            self.sheet.add("gauge", text, size=thread)
        self.sheet.add(
            "leak test",
            "Plug the ports and test with cold water, to the pressure that the rules ask for.",
        )

    def _mill_flat(self, hole: Hole) -> None:
        flat = length(hole.flat, "flat")
        text = say("Mill a flat ", flat, " square for ", hole.letter, ".")
        self.sheet.add("mill flats", text, size=flat, tool="end mill", diameter=hole.flat / 2)

    def _centre(self, hole: Hole) -> None:
        text = say("Centre ", hole.letter, ".")
        self.sheet.add("centre", text, diameter=hole.drill.diameter / 2)

    def _drill_stepped(self, hole: Hole, feed: Drill) -> None:
        way = say("Drill ", hole.letter, " ", _deep(hole.feed_depth), TO_THE_MIDDLE)
        self._drill("drill", way, feed, hole.feed_depth)
        text = say(
            ("Tapping drill ", hole.letter, " to ", length(hole.drilled_depth)),
            " at full diameter, by the depth stop: no deeper.",
        )
        self._drill("open out", text, hole.drill, hole.drilled_depth)

    def _drill_piloted(self, hole: Hole, text: Said) -> None:
        """Drill a hole out at one go, after a pilot where it is large enough for one."""
        pilot, depth = self._find_pilot(hole), hole.drilled_depth
        if pilot:
            clear = "; clear the chips often." if depth > BREAK_CHIPS * pilot.diameter else "."
            self._drill("drill", say("Pilot ", hole.letter, " ", _deep(depth), clear), pilot, depth)
        self._drill("open out" if pilot else "drill", text, hole.drill, depth)

    def _drill(self, operation: str, text: Said, drill: Drill, depth: float) -> None:
        size = name(drill.name)
        self.sheet.add(operation, text, size=size, diameter=drill.diameter, length=depth)

    def _find_pilot(self, hole: Hole) -> Drill | None:
        """The drill nearest half the hole's size; None for a small hole."""
        if hole.drill.diameter < PILOT_FROM:
            return None
        wanted = PILOT_SHARE * hole.drill.diameter
        pilot = min(self.drills, key=lambda drill: abs(drill.diameter - wanted))
        return pilot if pilot.diameter < hole.drill.diameter else None

    def _tap(self, hole: Hole) -> None:
        if hole.thread is None:
            return
        thread, full = name(hole.thread.designation), hole.full_thread
        text = say(
            ("Tap ", hole.letter, " ", thread, ", ", length(full, "full_thread")),
            " of full thread, tap held true in the chuck; finish with the plug tap.",
        )
        diameter = hole.thread.major_diameter
        self.sheet.add("cut female thread", text, size=thread, diameter=diameter, length=full)


def _deep(depth: float) -> Said:
    return say(length(depth), " deep")
