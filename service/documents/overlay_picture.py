"""A thread in a thread, drawn to scale: two hatched metals, and in solid where they foul."""

from dataclasses import dataclass
from functools import lru_cache
from math import degrees

import numpy as np

from service.documents.drawing.axes import round_step
from service.documents.drawing.sheet import (
    Filled,
    Hatching,
    Label,
    Pen,
    Point,
    Sheet,
    break_lines,
    text_width,
)
from service.engineering.saying import Said, fine, length, say, turns
from service.engineering.threads.catalogue import Thread
from service.engineering.threads.overlay import Overlay, Points
from service.quantities.units import INCH
from service.quantities.wording import Measure, show_fine, word

WIDTH, MARGIN, LINE = 160.0, 4.0, 7.0
"""Width of the picture, its margin and the pitch of its lines of text [mm]."""

LETTERS, SMALL = 3.6, 3.2
"""Heights of lettering [mm]: at the width of a phone it is still read without enlarging."""

WHOLE_HEIGHT, CLOSE_HEIGHT = 48.0, 82.0
"""Heights at the most of the view of the whole engagement and of the view close up [mm]."""

CLOSE_PITCHES = 1.7  # pitches seen close up
BACKING = 0.55  # metal drawn behind the threads, per depth of thread
TOUCHING = 1e-9  # less than this is arithmetic, not a foul [m]

COARSE, CLOSE = (2.8, 45.0), (1.4, -45.0)
"""Gap [mm] and slope [deg] of the hatching of the male and of the female."""


@lru_cache(maxsize=128)  # the same pair is looked at again and again while a joint is planned
def draw_profiles(
    overlay: Overlay,
    *,
    male_label: str | None = None,
    female_label: str | None = None,
    measure: Measure = Measure.METRIC,
) -> Sheet:
    """Draw an overlay for the screen: the whole engagement, then one turn close up, to scale.

    The labels default to the designations of the threads.
    """
    male = male_label or overlay.male.designation
    female = female_label or overlay.female.designation
    facts = [word(said, measure) for said in _list_facts(overlay)]
    letters = int((WIDTH - 2 * MARGIN) / text_width("m", LETTERS))
    lines = [line for fact in facts for line in break_lines(fact, letters)]
    close = _view_close(overlay, bottom=(len(lines) + 2.2) * LINE)
    reach = 0.0, float(overlay.male_profile[-1, 0])
    whole = _view(overlay, reach, bottom=close.top + 3.4 * LINE, tallest=WHOLE_HEIGHT)
    sheet = Sheet(
        WIDTH,
        whole.top + 6.2 * LINE,
        title=f"{male} male in {female} female",
        measure=measure,
        about=" ".join(facts),
        on_screen=True,
    )
    _draw_legend(sheet, overlay, male=male, female=female)
    _draw_view(sheet, whole)
    _draw_engagement(sheet, overlay, whole)
    _draw_view(sheet, close)
    _draw_callout(sheet, overlay, close)
    for row, line in enumerate(reversed(lines)):
        sheet.letter(line, (MARGIN, MARGIN + row * LINE), height=LETTERS)
    return sheet


@dataclass(frozen=True, slots=True)
class _View:
    """A window on the overlay; its foot stands `bottom` above that of the sheet [mm]."""

    male: Points
    female: Points
    start: float
    end: float
    lowest: float
    highest: float
    scale: float  # millimetres of the sheet to a metre
    bottom: float

    @property
    def left(self) -> float:
        return (WIDTH - (self.end - self.start) * self.scale) / 2

    @property
    def right(self) -> float:
        return WIDTH - self.left

    @property
    def top(self) -> float:
        return self.bottom + (self.highest - self.lowest) * self.scale

    def place(self, along: float, radius: float) -> Point:
        """A place of the overlay on the sheet."""
        return (
            self.left + (along - self.start) * self.scale,
            self.bottom + (radius - self.lowest) * self.scale,
        )


def _view_close(overlay: Overlay, *, bottom: float) -> _View:
    """One turn around the worst foul, or around the middle where nothing fouls."""
    end = float(overlay.male_profile[-1, 0])
    span = min(end, CLOSE_PITCHES * overlay.male.pitch)
    start = min(max(0.0, _worst_place(overlay) - span / 2), end - span)
    return _view(overlay, (start, start + span), bottom=bottom, tallest=CLOSE_HEIGHT)


def _view(overlay: Overlay, reach: tuple[float, float], *, bottom: float, tallest: float) -> _View:
    start, end = reach
    male = _cut(overlay.male_profile, start, end=end)
    female = _cut(overlay.female_profile, start, end=end)
    backing = BACKING * max(overlay.male.external_depth, overlay.female.internal_depth)
    lowest = float(min(male[:, 1].min(), female[:, 1].min())) - backing
    highest = float(max(male[:, 1].max(), female[:, 1].max())) + backing
    scale = min((WIDTH - 2 * MARGIN) / (end - start), tallest / (highest - lowest))
    return _View(male, female, start, end, lowest, highest, scale, bottom)


def _cut(outline: Points, start: float, *, end: float) -> Points:
    """The outline between two places, with points at both."""
    inside = outline[(outline[:, 0] > start) & (outline[:, 0] < end), 0]
    along = np.concatenate([[start], inside, [end]])
    return np.column_stack([along, np.interp(along, outline[:, 0], outline[:, 1])])


def _worst_place(overlay: Overlay) -> float:
    along, above = _overlap(overlay.male_profile, overlay.female_profile)
    if above.max() <= TOUCHING:
        return float(along[-1]) / 2
    return float(along[int(above.argmax())])


def _overlap(male: Points, female: Points) -> tuple[Points, Points]:
    """Every place where either outline has a point, and the male's height over the female there."""
    along = np.union1d(male[:, 0], female[:, 0])
    above = np.interp(along, male[:, 0], male[:, 1]) - np.interp(along, female[:, 0], female[:, 1])
    return along, above


def _draw_view(sheet: Sheet, view: _View) -> None:
    for outline, edge, (gap, slope) in (
        (view.female, view.highest, CLOSE),
        (view.male, view.lowest, COARSE),
    ):
        places = [(view.start, edge), *map(tuple, outline), (view.end, edge)]
        boundary = tuple(view.place(*place) for place in places)
        sheet.marks.append(Hatching(boundary, gap=gap, slope=slope))
        sheet.loop(Pen.OUTLINE, boundary)
    for area in _foul_areas(view):
        sheet.marks.append(Filled(tuple(view.place(*place) for place in area), fouls=True))
    _draw_scale_bar(sheet, view)


def _foul_areas(view: _View) -> list[list[Point]]:
    """Outlines of the places where the male lies in the female's metal."""
    along, above = _overlap(view.male, view.female)
    every = _with_crossings(along, above)
    male = np.interp(every, view.male[:, 0], view.male[:, 1])
    female = np.interp(every, view.female[:, 0], view.female[:, 1])
    inside = np.interp((every[:-1] + every[1:]) / 2, along, above) > TOUCHING
    areas = []
    for run in np.split(np.arange(len(inside)), np.flatnonzero(np.diff(inside)) + 1):
        if inside[run[0]]:
            span = slice(run[0], run[-1] + 2)
            outward = list(zip(every[span], male[span], strict=True))
            back = list(zip(every[span], female[span], strict=True))[::-1]
            areas.append(outward + back)
    return areas


def _with_crossings(along: Points, above: Points) -> Points:
    """The places, and those between them at which the outlines cross."""
    turn = np.flatnonzero(above[:-1] * above[1:] < 0)
    share = above[turn] / (above[turn] - above[turn + 1])
    return np.union1d(along, along[turn] + share * (along[turn + 1] - along[turn]))


def _draw_legend(sheet: Sheet, overlay: Overlay, *, male: str, female: str) -> None:
    size, x = 11.0, MARGIN + 15.0
    for row, (called, thread, (gap, slope)) in enumerate(
        ((f"female {female}", overlay.female, CLOSE), (f"male {male}", overlay.male, COARSE))
    ):
        top = sheet.height - MARGIN - row * 2.3 * LINE
        corners = (MARGIN, top - size), (MARGIN + size, top - size)
        square = (*corners, (MARGIN + size, top), (MARGIN, top))
        sheet.marks.append(Hatching(square, gap=gap, slope=slope))
        sheet.loop(Pen.OUTLINE, square)
        at = x, top - LETTERS - 0.8
        sheet.letter(called, at, height=LETTERS, room=WIDTH - x - MARGIN)
        facts = word(_describe(thread), sheet.measure)
        sheet.letter(facts, (x, top - size + 0.4), height=SMALL)


def _describe(thread: Thread) -> Said:
    count = f", {thread.threads_per_inch:g} per inch" if thread.threads_per_inch else ""
    taper = f", taper 1 in {1 / thread.taper:g}" if thread.taper else ""
    angle = f"{degrees(thread.form.included_angle):g}°, pitch "
    return say(angle, fine(thread.pitch), count + taper)


def _draw_engagement(sheet: Sheet, overlay: Overlay, view: _View) -> None:
    """A dimension line under the whole view: turns and length engaged."""
    y = view.bottom - 0.5 * LINE
    for x in (view.left, view.right):
        sheet.line(Pen.THIN, (x, y - 1.8), (x, y + 1.8))
    sheet.line(Pen.THIN, (view.left, y), (view.right, y))
    engaged = say("from the mouth: ", turns(overlay.turns), " turns, ",
                  length(view.end - view.start), " engaged")  # fmt: skip
    text = word(engaged, sheet.measure)
    _letter_within(sheet, text, (view.left, y - SMALL - 3.0), height=SMALL)


def _letter_within(sheet: Sheet, text: str, at: Point, *, height: float) -> None:
    """Text from a place on, moved as far as keeps it within the margins."""
    last = WIDTH - MARGIN - text_width(text, height)
    sheet.letter(text, (min(max(at[0], MARGIN), last), at[1]), height=height)


def _draw_callout(sheet: Sheet, overlay: Overlay, view: _View) -> None:
    """Names on the metals, and a leader from the worst foul to its size below the close view."""
    along, above = _overlap(view.male, view.female)
    worst = int(above.argmax())
    x, _ = view.place(float(along[worst]), view.lowest)
    for text, y in (("female", view.top - LETTERS - 2.0), ("male", view.bottom + 2.0)):
        aside = text_width(text, LETTERS) + 3.0
        at = view.left + 3.0 if x > WIDTH / 2 - 1.0 else view.right - aside
        sheet.marks.append(Label(text, (at, y), LETTERS))
    if above[worst] <= TOUCHING:
        return
    radius = float(np.interp(along[worst], view.male[:, 0], view.male[:, 1]))
    _, y = view.place(float(along[worst]), radius)
    sheet.arc(Pen.THIN, (x, y), 3.8)
    sheet.line(Pen.THIN, (x, y - 3.8), (x, view.bottom - 2.0))
    text = word(say("fouls by ", fine(overlay.radial_overlap), " a side"), sheet.measure)
    start = x - text_width(text, LETTERS) / 2, view.bottom - LETTERS - 3.2
    _letter_within(sheet, text, start, height=LETTERS)


def _list_facts(overlay: Overlay) -> list[Said]:
    fit = f"{overlay.fit} sizes"
    if overlay.diametral_interference:
        facts = [
            say("Enters with ", fine(overlay.diametral_interference), " off its diameter."),
            say(f"That is at {fit}."),
            say("Touches at ", overlay.touches_member, "."),
        ]
    else:
        facts = [say("Enters with ", fine(overlay.play), f" of play at {fit}.")]
    if overlay.turns_before_binding:
        facts.append(say("Binds after ", turns(overlay.turns_before_binding), " turns."))
    if overlay.wedge_depth is not None:
        facts.append(say("The taper wedges ", length(overlay.wedge_depth), " in."))
    return facts


def _draw_scale_bar(sheet: Sheet, view: _View) -> None:
    """A bar of a round length, about a fifth of the view."""
    unit = 1e-3 if sheet.measure is Measure.METRIC else float(INCH) / 1000
    size = round_step((view.end - view.start) / 5 / unit) * unit
    x, y = view.right - size * view.scale, view.top + 2.2
    sheet.line(Pen.THIN, (x, y + 1.4), (x, y), (view.right, y), (view.right, y + 1.4))
    text = show_fine(size, sheet.measure)
    sheet.letter(text, (x - 2.0, y - 0.4), height=SMALL, anchor="end")
