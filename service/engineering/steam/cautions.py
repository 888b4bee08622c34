"""The standing cautions that go with every answer about steam."""

CAUTIONS: tuple[str, ...] = (
    "Indicative figures for planning a job: they are not a certificate and prove nothing about a"
    " boiler, a valve or a pipe.",
    "The working pressure stated by the inspector is the limit. Nothing calculated here raises it.",
    "Local rules and the licensed or appointed inspector decide what may be built, tested and"
    " steamed.",
    "Test with cold water, never with air or steam, before the first fire.",
    "Estimates of condensation, losses and efficiency are soft: read the low and the high figure,"
    " not only the likely one.",
)

RELIEF_CAUTIONS: tuple[str, ...] = (
    *CAUTIONS[1:3],
    "Only the accumulation test proves a safety valve: full fire, stop valve shut, feed off, and"
    " the pressure must stay within the allowance.",
)

SHELL_CAUTIONS: tuple[str, ...] = (
    "Only the hoop stress of a plain cylinder under pressure from inside is looked at. Flat ends,"
    " stays, flues and openings are not judged, and usually govern.",
    *CAUTIONS[:4],
)

BLOWDOWN_CAUTIONS: tuple[str, ...] = (
    "Blowdown throws out boiling water and steam: lead it away through a fixed pipe, and stand"
    " clear.",
    *CAUTIONS[1:3],
)
