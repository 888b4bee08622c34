"""The order of work on a block: square up, mark out, cross holes, bore, ends, deburr, prove."""

from service.engineering.block.request import ENDS
from service.engineering.block.setting_out import Hole
from service.engineering.block.sizing import Fit
from service.engineering.steam.wording import length_text
from service.engineering.threads.catalogue import Drill
from service.engineering.threads.remedies import JobSheet, Step

FACING_ALLOWANCE = 0.002
"""Left on the length for facing both ends [m]; common practice."""

PILOT_FROM = 0.005
"""Holes from this size are piloted [m]; common practice."""

PILOT_SHARE = 0.5
"""Pilot over finished hole; common practice: about the web of the larger drill."""

BREAK_CHIPS = 4.0
"""Depth over diameter from which a drill is drawn out to clear its chips; common practice."""


def order_operations(
    fit: Fit, holes: tuple[Hole, ...], *, material: str, bore_drills: tuple[Drill, ...]
) -> tuple[Step, ...]:
    """What to do, in order, to make a block.

    The cross holes go into solid metal first; the bore, drilled last, cleans their ends.
    """
    bench = _Bench(fit, JobSheet(material), bore_drills)
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
        section, length = self.fit.section, self.fit.boring.layout.length
        lathe = "four-jaw chuck"
        self.sheet.add(
            "hold block",
            f"Saw {length_text(length + FACING_ALLOWANCE)} off the {section.name} bar,"
            f" {material}; hold it in the four-jaw and clock two faces true.",
            size=section.name,
            tool=lathe,
        )
        across = max(section.width, section.height)
        self.sheet.add("face", "Face one end square: the left end, x = 0.", diameter=across)
        self.sheet.add(
            "face",
            f"Turn end for end, face to {length_text(length)}.",
            size=length_text(length),
            diameter=across,
        )

    def mark_out(self, holes: tuple[Hole, ...]) -> None:
        corner = "left end, front face and bottom"
        for hole in holes[:-1]:
            if hole.place in ENDS:
                at = f"y {length_text(hole.y)}, z {length_text(hole.z)}"
            elif hole.place in ("top", "bottom"):
                at = f"x {length_text(hole.x)}, y {length_text(hole.y)}"
            else:
                at = f"x {length_text(hole.x)}, z {length_text(hole.z)}"
            self.sheet.add(
                "measure",
                f"Mark out {hole.letter} on the {hole.place}: {at}, all from the {corner}; punch.",
                tool="height gauge, surface plate and centre punch",
            )

    def drill_face(self, holes: tuple[Hole, ...]) -> None:
        place = holes[0].place
        self.sheet.add(
            "hold block",
            f"Hold the block with the {place} up, level and parallel to the fixed jaw; for each"
            " hole bring the centre under the spindle.",
        )
        for hole in holes:
            if hole.flat:
                self._mill_flat(hole)
            self.sheet.add("centre", f"Centre {hole.letter}.", diameter=hole.drill.diameter / 2)
            if hole.feed:
                self._drill_stepped(hole, hole.feed)
            else:
                self._drill_straight(hole)
            self._tap(hole)

    def drill_bore(self, hole: Hole) -> None:
        self.sheet.add(
            "hold block",
            f"Hold the block in the four-jaw with the {hole.place} outwards; clock the faces to run"
            " true within 0.02 mm at both ends.",
            tool="four-jaw chuck and dial gauge",
        )
        self.sheet.add("centre", f"Centre {hole.letter}.", diameter=hole.drill.diameter / 2)
        self._pilot(hole, depth=hole.drilled_depth)
        depth = (
            "right through" if self._is_through(hole) else f"{length_text(hole.drilled_depth)} deep"
        )
        self.sheet.add(
            "open out" if self._find_pilot(hole) else "drill",
            f"Drill bore {hole.letter} {depth}; draw the drill out at every cross hole to clear"
            " its chips.",
            size=hole.drill.name,
            diameter=hole.drill.diameter,
            length=hole.drilled_depth,
        )

    def tap_end(self, hole: Hole, *, bored_from: str) -> None:
        if hole.place != bored_from:
            self.sheet.add(
                "hold block",
                f"Turn end for end, {hole.place} outwards; clock true within 0.02 mm.",
                tool="four-jaw chuck and dial gauge",
            )
        narrow = hole.drill.diameter < self.fit.boring.bore
        if narrow:
            self.sheet.add("centre", f"Centre {hole.letter}.", diameter=hole.drill.diameter / 2)
        reach = "until it meets the bore" if narrow else f"{length_text(hole.drilled_depth)} deep"
        self.sheet.add(
            "drill" if narrow else "open out",
            f"Tapping drill {hole.letter} {reach}.",
            size=hole.drill.name,
            diameter=hole.drill.diameter,
            length=hole.drilled_depth,
        )
        self._tap(hole)

    def finish(self, holes: tuple[Hole, ...]) -> None:
        bore = holes[-1]
        self.sheet.add(
            "deburr and wash",
            f"Turn the {bore.drill.name} drill through the bore by hand, scrape the edges of every"
            " cross hole, break all corners, wash and blow through.",
        )
        for designation in dict.fromkeys(h.thread.designation for h in holes if h.thread):
            self.sheet.add(
                "gauge",
                f"Try the {designation} holes with the fittings themselves, to the shoulder.",
                size=designation,
            )
        self.sheet.add(
            "leak test",
            "Plug the ports and test with cold water, to the pressure that the rules ask for.",
        )

    def _mill_flat(self, hole: Hole) -> None:
        self.sheet.add(
            "mill flats",
            f"Mill a flat {length_text(hole.flat)} square for {hole.letter}.",
            size=length_text(hole.flat),
            tool="end mill",
            diameter=hole.flat / 2,
        )

    def _drill_stepped(self, hole: Hole, feed: Drill) -> None:
        self.sheet.add(
            "drill",
            f"Drill {hole.letter} {length_text(hole.feed_depth)} deep, to the middle of the bore to"
            " come.",
            size=feed.name,
            diameter=feed.diameter,
            length=hole.feed_depth,
        )
        self.sheet.add(
            "open out",
            f"Tapping drill {hole.letter} to {length_text(hole.drilled_depth)} at full diameter, by"
            " the depth stop: no deeper.",
            size=hole.drill.name,
            diameter=hole.drill.diameter,
            length=hole.drilled_depth,
        )

    def _drill_straight(self, hole: Hole) -> None:
        self._pilot(hole, depth=hole.drilled_depth)
        self.sheet.add(
            "open out" if self._find_pilot(hole) else "drill",
            f"Tapping drill {hole.letter} {length_text(hole.drilled_depth)} deep, to the middle of"
            " the bore to come.",
            size=hole.drill.name,
            diameter=hole.drill.diameter,
            length=hole.drilled_depth,
        )

    def _pilot(self, hole: Hole, *, depth: float) -> None:
        pilot = self._find_pilot(hole)
        if pilot is None:
            return
        clear = depth > BREAK_CHIPS * pilot.diameter
        self.sheet.add(
            "drill",
            f"Pilot {hole.letter} {length_text(depth)} deep"
            + ("; clear the chips often." if clear else "."),
            size=pilot.name,
            diameter=pilot.diameter,
            length=depth,
        )

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
        name = hole.thread.designation
        self.sheet.add(
            "cut female thread",
            f"Tap {hole.letter} {name}, {length_text(hole.full_thread)} of full thread, tap held"
            " true in the chuck; finish with the plug tap.",
            size=name,
            diameter=hole.thread.major_diameter,
            length=hole.full_thread,
        )

    def _is_through(self, hole: Hole) -> bool:
        length = self.fit.boring.layout.length
        return hole.drilled_depth >= length - 1e-9
