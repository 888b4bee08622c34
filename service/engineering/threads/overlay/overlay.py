"""One thread screwed into another, as geometry: will it enter, where does it foul, how far in."""

from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from math import atan, copysign, inf
from typing import Annotated, Literal

import numpy as np

from service.engineering.errors import require
from service.engineering.findings import Working
from service.engineering.saying import count, say
from service.engineering.threads.catalogue import Range, Thread, limits_of
from service.engineering.threads.overlay.meshing import FLANK, NANOMETRE, RIDGE, VALLEY, Pair
from service.engineering.threads.overlay.profile import (
    Points,
    Profile,
    female_profile,
    male_profile,
)

Fit = Literal["basic", "tightest", "middle", "loosest"]
Place = Literal["crest", "root", "flank outer end", "flank inner end", "nowhere"]

BEDDING = 5e-6  # gap that closes when a brass fitting is first tightened [m]; from memory
MALE_METAL: dict[Fit, float] = {"tightest": 1.0, "middle": 0.5, "loosest": 0.0}
"""How far up its limits the male lies in each fit, and how far down the female."""

MOST_PITCHES = 100  # longest engagement that is laid together, in pitches of the finer thread
GEOMETRY = "geometry of the two forms laid together in section"


@dataclass(frozen=True)  # no slots: the outlines are traced when somebody looks
class Overlay:
    """A male thread in a female one; lengths in metres, angles in radians.

    Interference is the amount by which the male's diameter would have to be less for it to enter
    freely; it is 0 when the male enters, and `play` is 0 when it does not.
    """

    male: Thread
    female: Thread
    fit: Fit
    diametral_interference: Annotated[float, "m"]
    radial_overlap: Annotated[float, "m"]
    flank_interference: Annotated[float, "m"]  # the diametral interference of the flanks alone
    crest_interference: Annotated[float, "m"]  # of the male's crests in the female's roots alone
    axial_overlap_per_flank: Annotated[float, "m"]
    touches: Place
    touches_member: str  # the touch in words, naming the part of each member
    play: Annotated[float, "m"]  # diametral room left
    end_play: Annotated[float, "m"]  # axial room of one turn between its flanks, tapers apart
    contact_ratio: float  # share of the flank surface that bears when first tightened, 0 to 1
    depth_engaged: float  # radial overlap of the two threads over the shallower one's full depth
    flank_angle_difference: Annotated[float, "rad"]
    """Half-angle of the male less that of the female."""
    pitch_difference: Annotated[float, "m"]  # pitch of the male less that of the female
    growth_per_turn: Annotated[float, "m"]  # diametral room used up by each turn of unlike pitch
    turns: float
    turns_before_binding: float | None  # None: it does not bind in the engaged length
    wedge_depth: Annotated[float, "m"] | None
    """How far a taper pair goes in before it wedges; else None."""
    shift: float  # axial offset of the male at the mouth at which it fouls least
    workings: tuple[Working, ...]
    pair: Pair = field(compare=False, repr=False)  # the two outlines as they were laid together

    @cached_property
    def male_profile(self) -> Points:
        """Outline of the male: rows of distance from the female's mouth and radius [m]."""
        return _trace(self.pair.male, self.pair, shift=self.shift)

    @cached_property
    def female_profile(self) -> Points:
        return _trace(self.pair.female, self.pair, shift=None)


@lru_cache(maxsize=256)
def overlay(
    male: Thread,
    female: Thread,
    *,
    engaged_length: float,
    drilled: float | None = None,
    fit: Fit = "basic",
) -> Overlay:
    """Lay a male thread into a female one and find where and by how much they foul.

    The male may shift along the axis; the shift at which it fouls least is taken. With unlike
    pitches the offset grows turn by turn, with a taper the male also rises.

    male: the male thread.
    female: the female thread.
    engaged_length: length over which they overlap [m], above 0 and at most 100 pitches of the
        finer thread.
    drilled: tapping hole of the female [m], above 0 and below its major diameter; None: full
        depth. A hole under the form's own bore counts as that bore: the tap opens it.
    fit: sizes within the limits: basic; largest male in smallest female; both in the middle of
        their limits; smallest male in largest female.
    Returns: interference, play and reach [m], contact and turns.
    Raises OutOfRange: a length or hole outside its range.
    Source: Geometry of the forms (BS 84:2007, BS 93:2008, ISO 68-1, ASME B1.1, ASME B1.20.1);
        turns before binding agree with the cumulative pitch error C = N dP cot(a) of thread
        metrology.
    """
    longest = MOST_PITCHES * min(male.pitch, female.pitch)
    reach = say("The engaged length must be above 0 and at most ", count(MOST_PITCHES), " pitches.")
    require(0 < engaged_length <= longest, "engaged_length", reach)
    hole = "The tapping hole must be smaller than the thread's major diameter."
    require(drilled is None or 0 < drilled < female.major_diameter, "drilled", hole)
    pair = Pair(
        male=_male_at(male, fit),
        female=_female_at(female, fit, drilled=drilled),
        length=engaged_length,
        male_taper=male.taper,
        female_taper=female.taper,
        male_gauge=male.gauge_length or 0.0,
    )
    return _describe(pair, male, female, fit=fit)


def _describe(pair: Pair, male: Thread, female: Thread, *, fit: Fit) -> Overlay:
    shift = pair.best_shift()
    touch = _find_touch(pair, shift)
    radial = max(0.0, touch.radial)
    end_play = max(0.0, pair.room)
    growth = abs(pair.drift) / min(pair.male.slope, pair.female.slope)
    depth = min(male.internal_depth, female.internal_depth)
    return Overlay(
        male=male,
        female=female,
        fit=fit,
        diametral_interference=2 * radial,
        radial_overlap=radial,
        flank_interference=2 * max(0.0, touch.flank),
        crest_interference=2 * max(0.0, touch.crest),
        axial_overlap_per_flank=max(0.0, touch.flank) * touch.slope,
        touches=touch.place,
        touches_member=touch.words,
        play=2 * max(0.0, -touch.radial),
        end_play=end_play,
        contact_ratio=_contact_ratio(pair),
        depth_engaged=(pair.male.outer - pair.female.inner) / depth,
        flank_angle_difference=male.form.half_angle - female.form.half_angle,
        pitch_difference=pair.drift,
        growth_per_turn=growth,
        turns=pair.turns,
        turns_before_binding=_turns_before_binding(pair),
        wedge_depth=_wedge_depth(pair),
        shift=shift,
        workings=_workings(pair, radial=radial, growth=growth, end_play=end_play),
        pair=pair,
    )


@dataclass(frozen=True, slots=True)
class _Touch:
    radial: float
    flank: float
    crest: float
    slope: float
    place: Place
    words: str


WORDS: dict[Place, str] = {
    "crest": "the male's crests in the female's roots",
    "root": "the male's roots on the female's crests",
    "flank outer end": "the flanks, near the male's crests",
    "flank inner end": "the flanks, near the male's roots",
    "nowhere": "no place",
}

RIDING = "the male's crests on the female's crests"
"""The worst touch where unlike pitches have drifted by half a pitch."""


def _male_at(thread: Thread, fit: Fit) -> Profile:
    if fit == "basic":
        return male_profile(thread)
    limits = limits_of(thread)
    most_metal = MALE_METAL[fit]
    return male_profile(
        thread,
        major=_between(limits.male_major, most_metal),
        effective=_between(limits.male_effective, most_metal),
        root=_between(limits.male_root, most_metal),
    )


def _female_at(thread: Thread, fit: Fit, *, drilled: float | None) -> Profile:
    bore = None if drilled is None else max(drilled, thread.core_diameter)
    if fit == "basic":
        return female_profile(thread, core=bore)
    limits = limits_of(thread)
    least_metal = 1 - MALE_METAL[fit]
    return female_profile(
        thread,
        major=_between(limits.female_major, least_metal),
        effective=_between(limits.female_effective, least_metal),
        core=bore or _between(limits.female_core, least_metal),
    )


def _between(limits: Range, share: float) -> float:
    """The size a share of the way from the least to the largest."""
    return limits[0] + share * (limits[1] - limits[0])


def _find_touch(pair: Pair, shift: float) -> _Touch:
    """The worst foul of the engaged helix, and the worst of its flanks and its crests alone."""
    turns = pair.stations(pair.length)
    offsets = pair.offsets(shift, turns)
    places = pair.places(offsets)
    foul = pair.foul(places, offsets) + pair.rises(turns, pair.length)[:, None]
    male, female = pair.zones(places, offsets)
    in_groove = female == RIDGE
    riding = (male == RIDGE) & (female == VALLEY)
    on_crest = (male == VALLEY) | riding
    crest = float(np.max(foul, where=in_groove, initial=-inf))
    root = float(np.max(foul, where=on_crest, initial=-inf))
    flanks = np.where(in_groove | on_crest, -inf, foul)
    row, column = np.unravel_index(int(flanks.argmax()), flanks.shape)
    flank = float(flanks[row, column])
    outer = pair.female.radius_at(places[[row], [column]])[0] >= pair.female.effective
    straight = pair.male if male[row, column] == FLANK else pair.female
    radial = max(crest, root, flank)
    place = _name_place(radial, flank=flank, crest=crest, outer=bool(outer))
    return _Touch(
        radial=radial if abs(radial) > NANOMETRE else 0.0,
        flank=flank,
        crest=crest,
        slope=straight.slope,
        place=place,
        words=RIDING if place == "root" and riding.flat[int(foul.argmax())] else WORDS[place],
    )


def _name_place(radial: float, *, flank: float, crest: float, outer: bool) -> Place:
    if radial <= NANOMETRE:
        return "nowhere"
    if flank >= radial - 10 * NANOMETRE:
        return "flank outer end" if outer else "flank inner end"
    return "crest" if crest >= radial - NANOMETRE else "root"


def _turns_before_binding(pair: Pair) -> float | None:
    """Turns at which the room of the fit is used up; None when that is beyond the reach.

    A ridge of greater pitch is also wider: the room of one ridge is short by half a turn of drift.
    """
    if pair.male_taper or pair.female_taper:
        return _turns_before_wedging(pair)
    foul = pair.fouling_table[1]
    if foul.max() <= NANOMETRE:
        return None
    if not pair.drift:
        return None if pair.room >= 0 else 0.0
    turns = max(0.0, pair.room / abs(pair.drift) + copysign(0.5, pair.drift))
    return turns if turns < pair.turns else None


def _turns_before_wedging(pair: Pair) -> float | None:
    lengths = np.linspace(0.0, pair.length, 17)
    foul = np.array([pair.least_foul(float(length)) for length in lengths])
    binding = np.flatnonzero(foul > NANOMETRE)
    if not len(binding):
        return None
    first = int(binding[0])
    if first == 0:
        return 0.0
    share = -foul[first - 1] / (foul[first] - foul[first - 1])
    reach = lengths[first - 1] + share * (lengths[first] - lengths[first - 1])
    return float(reach / pair.male.pitch)


def _wedge_depth(pair: Pair) -> float | None:
    """Length at which the taper has used up the room of a single turn, pitches being equal."""
    steepest = max(pair.male_taper, pair.female_taper)
    if not steepest:
        return None
    room = -2 * float(pair.fouling_table[1].min())
    return max(0.0, (room + pair.male_taper * pair.male_gauge) / steepest)


def _contact_ratio(pair: Pair) -> float:
    """Share of the flanks that lies within `BEDDING` of touching, by angle and by pitch."""
    male, female = pair.male, pair.female
    heights = [_flank_heights(profile) for profile in (male, female)]
    common = min(high for _, high in heights) - max(low for low, _ in heights)
    if common <= 0:
        return 0.0
    full = min(high - low for low, high in heights)
    apart = abs(male.slope - female.slope) * common
    drift = abs(pair.drift) * pair.turns
    return (
        min(1.0, common / full)
        * min(1.0, BEDDING / apart if apart else 1.0)
        * min(1.0, BEDDING / drift if drift else 1.0)
    )


def _flank_heights(profile: Profile) -> tuple[float, float]:
    """Radii between which the flank is straight [m]."""
    reach = profile.pitch / 4
    return (
        profile.effective - (reach - profile.inner_edges[-1]) / profile.slope,
        profile.effective + (reach - profile.outer_edges[-1]) / profile.slope,
    )


def _workings(pair: Pair, *, radial: float, growth: float, end_play: float) -> tuple[Working, ...]:
    half, standards = '"included angle"/2', "the forms' standards"
    angles = atan(pair.male.slope), atan(pair.female.slope)
    apart = 2 * (pair.male.effective - pair.female.effective)
    cumulative = "thread metrology: dE = dP cot(a)"
    return (
        Working('alpha_"male"', half, angles[0], "rad", standards),
        Working('alpha_"female"', half, angles[1], "rad", standards),
        Working("Delta P", 'P_"male" - P_"female"', pair.drift, "m", "arithmetic"),
        Working("Delta d_2", 'd_(2, "male") - d_(2, "female")', apart, "m", standards),
        Working("i", '2 max(r_"male" - r_"female", 0)', 2 * radial, "m", GEOMETRY),
        Working('C_"turn"', 'abs(Delta P)/tan(alpha_"smaller")', growth, "m", cumulative),
        Working('"end play"', '"axial room of one turn"', end_play, "m", GEOMETRY),
    )


def _trace(profile: Profile, pair: Pair, *, shift: float | None) -> Points:
    """The outline from end to end of the engagement, corners kept: rows of distance and radius."""
    pitch = profile.pitch
    nodes = np.union1d(np.linspace(-pitch / 2, pitch / 2, 25), profile.corners())
    start = 0.0 if shift is None else shift
    turns = np.arange(np.floor(-start / pitch) - 1, np.ceil((pair.length - start) / pitch) + 2)
    along = np.unique((start + turns[:, None] * pitch + nodes).ravel().clip(0.0, pair.length))
    taper, gauge = (
        (-pair.female_taper, 0.0)
        if shift is None
        else (-pair.male_taper, pair.length - pair.male_gauge)
    )
    radius = profile.radius_at(along - start) + taper / 2 * (along - gauge)
    outline = np.column_stack([along, radius])
    outline.flags.writeable = False  # the overlay is kept and handed out again
    return outline
