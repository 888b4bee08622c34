"""A thread in a thread, drawn to scale: two hatched metals, and in solid where they foul."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from math import degrees
from xml.sax.saxutils import escape
from zlib import crc32

import numpy as np

from service.engineering.threads.catalogue import Thread
from service.engineering.threads.overlay import Overlay, Points

WIDTH = 640.0
MARGIN = 16.0
LINE = 30.0
"""Width of the picture, its margin and the pitch of its lines of text, in its own units: at the
width of a phone the text is still read without enlarging."""

WHOLE_HEIGHT, CLOSE_HEIGHT = 190.0, 330.0
"""Heights of the view of the whole engagement and of the view close up."""

CLOSE_PITCHES = 1.7
"""Pitches seen close up."""

BACKING = 0.55
"""Metal drawn behind the threads, per depth of thread."""

TOUCHING = 1e-9
"""Less than this is arithmetic, not a foul [m]."""

SCALE_BARS = (1e-5, 2e-5, 5e-5, 1e-4, 2e-4, 5e-4, 1e-3, 2e-3, 5e-3, 1e-2)
"""Lengths that a scale bar may stand for [m]."""

STYLE = """
.thread-section{--paper:#fff;--ink:#1a1a1a;--male:#8a4b12;--female:#1f5f7a;--foul:#c00020;
font-family:system-ui,"Segoe UI","DejaVu Sans",sans-serif}
@media screen and (prefers-color-scheme:dark){.thread-section{--paper:#15181b;--ink:#ececec;
--male:#e0a060;--female:#78bcd8;--foul:#ff5a6e}}
.thread-section text{fill:var(--ink);font-size:22px}
.thread-section .strong{font-weight:700}
.thread-section .small{font-size:19px}
.thread-section .halo{paint-order:stroke;stroke:var(--paper);stroke-width:7px;stroke-linejoin:round}
.thread-section .paper{fill:var(--paper)}
.thread-section .male{stroke:var(--male);stroke-width:2;stroke-linejoin:round}
.thread-section .female{stroke:var(--female);stroke-width:2;stroke-linejoin:round}
.thread-section .male-line{stroke:var(--male);stroke-width:2.2}
.thread-section .female-line{stroke:var(--female);stroke-width:2.2}
.thread-section .foul{fill:var(--foul);stroke:var(--foul);stroke-width:1.5;stroke-linejoin:round}
.thread-section .line{stroke:var(--ink);stroke-width:1.6;fill:none}
.thread-section .dash{stroke:var(--ink);stroke-width:1.4;stroke-dasharray:7 5;fill:none}
""".strip()


@lru_cache(maxsize=128)  # the same pair is looked at again and again while a joint is planned
def draw_section(
    overlay: Overlay, *, male_label: str | None = None, female_label: str | None = None
) -> str:
    """Draw an overlay as SVG text: the whole engagement, then one turn close up, both to scale.

    The labels default to the designations of the threads.
    """
    male_name = male_label or overlay.male.designation
    female_name = female_label or overlay.female.designation
    prefix = f"s{crc32(f'{male_name}|{female_name}|{overlay.radial_overlap}'.encode()):08x}"
    whole = _view_whole(overlay, top=5 * LINE + MARGIN)
    close = _view_close(overlay, top=whole.bottom + 3.0 * LINE)
    facts = _facts(overlay)
    height = close.bottom + (len(facts) + 2.4) * LINE
    body = [
        _legend(overlay, male_name, female_name=female_name, prefix=prefix),
        _draw_view(whole, prefix),
        _draw_engagement(overlay, whole),
        _draw_view(close, prefix),
        _draw_callout(overlay, close),
        *_lines(facts, top=close.bottom + 2.5 * LINE),
    ]
    title = f"{male_name} male in {female_name} female"
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" class="thread-section" role="img" '
            f'aria-labelledby="{prefix}t {prefix}d" viewBox="0 0 {WIDTH:.0f} {height:.0f}" '
            f'width="100%" style="max-width:{WIDTH:.0f}px;height:auto">',
            f'<title id="{prefix}t">{escape(title)}</title>',
            f'<desc id="{prefix}d">{escape(" ".join(facts))}</desc>',
            f"<style>{STYLE}</style>",
            _hatches(prefix),
            f'<rect class="paper" width="{WIDTH:.0f}" height="{height:.0f}"/>',
            *body,
            "</svg>",
        ]
    )


@dataclass(frozen=True, slots=True)
class _View:
    """A window on the section; `scale` in picture units per metre, radii grow upwards."""

    male: Points
    female: Points
    start: float
    end: float
    lowest: float
    highest: float
    left: float
    top: float
    scale: float

    @property
    def bottom(self) -> float:
        return self.top + (self.highest - self.lowest) * self.scale

    @property
    def right(self) -> float:
        return self.left + (self.end - self.start) * self.scale

    def across(self, along: float) -> float:
        return self.left + (along - self.start) * self.scale

    def down(self, radius: float) -> float:
        return self.top + (self.highest - radius) * self.scale

    def path(self, points: Iterable[tuple[float, float]]) -> str:
        places = " ".join(f"{self.across(z):.2f} {self.down(r):.2f}" for z, r in points)
        return f"M{places}Z"


def _view_whole(overlay: Overlay, *, top: float) -> _View:
    return _view(
        overlay, 0.0, end=float(overlay.male_profile[-1, 0]), top=top, tallest=WHOLE_HEIGHT
    )


def _view_close(overlay: Overlay, *, top: float) -> _View:
    """One turn around the worst foul, or around the middle where nothing fouls."""
    end = float(overlay.male_profile[-1, 0])
    span = min(end, CLOSE_PITCHES * overlay.male.pitch)
    start = min(max(0.0, _worst_place(overlay) - span / 2), end - span)
    return _view(overlay, start, end=start + span, top=top, tallest=CLOSE_HEIGHT)


def _view(overlay: Overlay, start: float, *, end: float, top: float, tallest: float) -> _View:
    male = _cut(overlay.male_profile, start, end=end)
    female = _cut(overlay.female_profile, start, end=end)
    backing = BACKING * max(overlay.male.external_depth, overlay.female.internal_depth)
    lowest = float(min(male[:, 1].min(), female[:, 1].min())) - backing
    highest = float(max(male[:, 1].max(), female[:, 1].max())) + backing
    scale = min((WIDTH - 2 * MARGIN) / (end - start), tallest / (highest - lowest))
    left = (WIDTH - (end - start) * scale) / 2
    return _View(male, female, start, end, lowest, highest, left, top, scale)


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


def _draw_view(view: _View, prefix: str) -> str:
    male = [(view.start, view.lowest), *map(tuple, view.male), (view.end, view.lowest)]
    female = [(view.start, view.highest), *map(tuple, view.female), (view.end, view.highest)]
    fouls = "".join(f'<path class="foul" d="{view.path(area)}"/>' for area in _foul_areas(view))
    return (
        f'<path class="female" fill="url(#{prefix}f)" d="{view.path(female)}"/>'
        f'<path class="male" fill="url(#{prefix}m)" d="{view.path(male)}"/>{fouls}'
        f"{_scale_bar(view)}"
    )


def _foul_areas(view: _View) -> list[list[tuple[float, float]]]:
    """Outlines of the places where the male lies in the female's metal."""
    along, above = _overlap(view.male, view.female)
    fine = _with_crossings(along, above)
    male = np.interp(fine, view.male[:, 0], view.male[:, 1])
    female = np.interp(fine, view.female[:, 0], view.female[:, 1])
    inside = np.interp((fine[:-1] + fine[1:]) / 2, along, above) > TOUCHING
    areas = []
    for run in np.split(np.arange(len(inside)), np.flatnonzero(np.diff(inside)) + 1):
        if inside[run[0]]:
            span = slice(run[0], run[-1] + 2)
            outward = list(zip(fine[span], male[span], strict=True))
            back = list(zip(fine[span], female[span], strict=True))[::-1]
            areas.append(outward + back)
    return areas


def _with_crossings(along: Points, above: Points) -> Points:
    """The places, and those between them at which the outlines cross."""
    turn = np.flatnonzero(above[:-1] * above[1:] < 0)
    share = above[turn] / (above[turn] - above[turn + 1])
    return np.union1d(along, along[turn] + share * (along[turn + 1] - along[turn]))


def _legend(overlay: Overlay, male_name: str, *, female_name: str, prefix: str) -> str:
    rows = []
    for row, (letter, kind, name, thread) in enumerate(
        (
            ("f", "female", female_name, overlay.female),
            ("m", "male", male_name, overlay.male),
        )
    ):
        top = MARGIN + row * 2.3 * LINE
        rows.append(
            f'<rect class="{kind}" fill="url(#{prefix}{letter})" x="{MARGIN}" y="{top:.0f}" '
            f'width="46" height="46"/>'
            f'<text class="strong" x="{MARGIN + 60}" y="{top + 19:.0f}">'
            f"{kind} {escape(name)}</text>"
            f'<text class="small" x="{MARGIN + 60}" y="{top + 45:.0f}">'
            f"{escape(_describe(thread))}</text>"
        )
    return "".join(rows)


def _describe(thread: Thread) -> str:
    count = f", {thread.threads_per_inch:g} per inch" if thread.threads_per_inch else ""
    taper = f", taper 1 in {1 / thread.taper:g}" if thread.taper else ""
    angle = degrees(thread.form.included_angle)
    return f"{angle:g}°, pitch {thread.pitch * 1000:.4g} mm{count}{taper}"


def _draw_engagement(overlay: Overlay, view: _View) -> str:
    """A dimension line under the whole view: turns and length engaged."""
    y = view.bottom + 0.5 * LINE
    text = f"{overlay.turns:.1f} turns, {(view.end - view.start) * 1000:.1f} mm engaged"
    ends = "".join(
        f'<path class="line" d="M{x:.1f} {y - 8:.1f}V{y + 8:.1f}"/>'
        for x in (view.left, view.right)
    )
    return (
        f'{ends}<path class="line" d="M{view.left:.1f} {y:.1f}H{view.right:.1f}"/>'
        f'<text class="small" x="{view.left:.1f}" y="{y + 30:.1f}">mouth</text>'
        f'<text class="small" text-anchor="middle" x="{(view.left + view.right) / 2:.1f}" '
        f'y="{y + 30:.1f}">{text}</text>'
    )


def _draw_callout(overlay: Overlay, view: _View) -> str:
    """Names on the metals, and a leader from the worst foul to its size below the close view."""
    along, above = _overlap(view.male, view.female)
    worst = int(above.argmax())
    names = (
        f'<text class="strong halo" text-anchor="middle" x="{WIDTH / 2}" '
        f'y="{view.top + 28:.0f}">female</text>'
        f'<text class="strong halo" text-anchor="middle" x="{WIDTH / 2}" '
        f'y="{view.bottom - 14:.0f}">male</text>'
    )
    if above[worst] <= TOUCHING:
        return names
    x = view.across(float(along[worst]))
    y = view.down(float(np.interp(along[worst], view.male[:, 0], view.male[:, 1])))
    anchor = "end" if x > WIDTH / 2 else "start"
    return (
        f'{names}<circle class="line" cx="{x:.1f}" cy="{y:.1f}" r="15"/>'
        f'<path class="line" d="M{x:.1f} {y + 15:.1f}V{view.bottom + 10:.1f}"/>'
        f'<text text-anchor="{anchor}" x="{x:.1f}" y="{view.bottom + 32:.1f}">'
        f"fouls by {overlay.radial_overlap * 1000:.3f} mm a side</text>"
    )


def _facts(overlay: Overlay) -> list[str]:
    """What the picture shows, in words: short lines, as wide as a phone."""
    if overlay.diametral_interference:
        facts = [
            f"Enters with {overlay.diametral_interference * 1000:.3f} mm off its diameter.",
            f"That is at {_fit(overlay)}.",
            f"Touches at {overlay.touches_member}.",
        ]
    else:
        facts = [f"Enters with {overlay.play * 1000:.3f} mm of play at {_fit(overlay)}."]
    turns = overlay.turns_before_binding
    if turns:
        facts.append(f"Binds after {turns:.1f} turns.")
    if overlay.wedge_depth is not None:
        facts.append(f"The taper wedges {overlay.wedge_depth * 1000:.1f} mm in.")
    return facts


def _fit(overlay: Overlay) -> str:
    return {
        "basic": "basic sizes",
        "tightest": "tightest sizes",
        "middle": "middle sizes",
        "loosest": "loosest sizes",
    }[overlay.fit]


def _lines(texts: list[str], *, top: float) -> list[str]:
    return [
        f'<text x="{MARGIN}" y="{top + row * LINE:.0f}">{escape(text)}</text>'
        for row, text in enumerate(texts)
    ]


def _scale_bar(view: _View) -> str:
    """A bar of a round length, about a fifth of the view."""
    wanted = (view.end - view.start) / 5
    length = min(SCALE_BARS, key=lambda bar: abs(bar - wanted))
    y = view.top - 9
    x = view.right - length * view.scale
    return (
        f'<path class="line" d="M{x:.1f} {y - 6:.1f}V{y:.1f}H{view.right:.1f}V{y - 6:.1f}"/>'
        f'<text class="small" text-anchor="end" x="{x - 8:.1f}" y="{y + 2:.1f}">'
        f"{length * 1000:g} mm</text>"
    )


def _hatches(prefix: str) -> str:
    """The two metals: the male coarse one way, the female close the other way and dashed."""
    return (
        f'<defs><pattern id="{prefix}m" width="16" height="16" patternUnits="userSpaceOnUse" '
        'patternTransform="rotate(45)"><path class="male-line" d="M0 0V16"/></pattern>'
        f'<pattern id="{prefix}f" width="8" height="24" patternUnits="userSpaceOnUse" '
        'patternTransform="rotate(-45)"><path class="female-line" d="M0 0V17"/></pattern></defs>'
    )
