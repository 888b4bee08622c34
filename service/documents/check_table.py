"""A plant's check as text for a terminal: joints, engines and supply, worst first."""

from collections.abc import Iterator
from textwrap import wrap

from service.engineering.findings import Level
from service.engineering.saying import Figure, FigureKind
from service.plant.check import JointCheck, Judged, PlantCheck
from service.quantities.wording import Measure, show_figure, word

WIDTH = 100
MARKS: dict[Level, str] = {"fail": "✗ fail", "caution": "! care", "ok": "✓ ok"}


def show_check(check: PlantCheck, *, width: int = WIDTH, measure: Measure = Measure.METRIC) -> str:
    """The whole check in a measure, readable at `width` columns."""
    plant = check.plant
    lines = [
        f"{plant.name}: check at {_figure('pressure', plant.working_pressure, measure)}",
        "═" * width,
        *_show_demand(check, width, measure),
        "",
        f"Joints ({len(check.joints)}), worst first",
        "─" * width,
    ]
    for joint in check.joints:
        lines += _show_joint(joint, width, measure)
    lines += ["", "Plant, worst first", "─" * width]
    subjects = {joint.joint.label for joint in check.joints}
    for judged in check.judged:
        if judged.subject not in subjects:
            lines += _show_judged(judged, width, measure)
    lines.append("")
    for caution in check.cautions:
        lines += wrap(word(caution, measure), width, initial_indent="• ", subsequent_indent="  ")
    return "\n".join(lines)


def _show_demand(check: PlantCheck, width: int, measure: Measure) -> Iterator[str]:
    """Steam of each engine, of all, and of the boiler; the power where there is room for it."""
    if check.demand is None:
        return
    yield _row(("", "low", "likely", "high", "indicated"), width)
    together = ("together", check.demand.steam, check.demand.indicated_power)
    for name, steam, power in [
        *((engine.name, engine.steam, engine.indicated_power) for engine in check.demand.engines),
        together,
    ]:
        flows = (_figure("flow", value, measure) for value in (steam.low, steam.likely, steam.high))
        yield _row((name, *flows, _figure("power", power, measure)), width)
    if check.evaporation is not None:
        stated = _figure("flow", check.evaporation, measure)
        yield _row(("boiler, as stated", "", stated, "", ""), width)


def _row(cells: tuple[str, ...], width: int) -> str:
    column = 12 if width >= 60 else 10
    shown = cells[1:] if width >= 24 + 4 * column else cells[1:-1]
    first = min(24, width - column * len(shown))
    return f"{cells[0][:first]:{first}}" + "".join(f"{cell:>{column}}" for cell in shown)


def _show_joint(check: JointCheck, width: int, measure: Measure) -> Iterator[str]:
    joint = check.joint
    male, female = joint.male.port.thread.designation, joint.female.port.thread.designation
    verdict = check.fitting.verdict.replace("_", " ")
    yield f"{MARKS[check.level]:7} {joint.label}"[:width]
    yield from wrap(
        f"{male} into {female}: {verdict}",
        width,
        initial_indent=" " * 8,
        subsequent_indent=" " * 8,
    )
    for finding in check.findings[:2]:
        if finding.level != "ok":
            yield from wrap(
                word(finding.text, measure),
                width,
                initial_indent=" " * 8 + "- ",
                subsequent_indent=" " * 10,
            )
    sound = [remedy for remedy in check.fitting.remedies if not remedy.refused]
    for mark, remedy in zip(("→ ", "or "), sound, strict=False):  # the best, and one to weigh it by
        yield from wrap(
            f"{word(remedy.title, measure)} ({remedy.minutes:.0f} min): "
            f"{word(remedy.summary, measure)}",
            width,
            initial_indent=f"{mark:>10}",
            subsequent_indent=" " * 10,
        )


def _show_judged(judged: Judged, width: int, measure: Measure) -> Iterator[str]:
    yield from wrap(
        f"{MARKS[judged.finding.level]:7} {judged.subject}: {word(judged.finding.text, measure)}",
        width,
        subsequent_indent=" " * 8,
    )


def _figure(kind: FigureKind, value: float, measure: Measure) -> str:
    return show_figure(Figure(kind, value), measure)
