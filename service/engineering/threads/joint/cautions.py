"""The standing cautions that go with every answer about threads that hold steam."""

CAUTIONS: tuple[str, ...] = (
    "Indicative: thread data and strengths are nominal, and the parts in the hand decide. Measure "
    "before cutting.",
    "The working pressure stated by the inspector is the limit. Nothing calculated here raises it.",
    "A thread in a boiler or other pressure shell is the inspector's business: ask before it is "
    "altered, bushed or made of an unlike pair.",
)
