"""A plant's check as text for a terminal: joints, engines and supply, worst first."""

from collections.abc import Iterator
from dataclasses import dataclass
from textwrap import wrap

from service.engineering.findings import Level
from service.engineering.saying import Figure, FigureKind, Said
from service.plant.check import JointCheck, PlantCheck
from service.quantities.wording import Measure, show_figure, word

WIDTH = 100
MARKS: dict[Level, str] = {"fail": "✗ fail", "caution": "! care", "ok": "✓ ok"}


def show_check(check: PlantCheck, *, width: int = WIDTH, measure: Measure = Measure.METRIC) -> str:
    """The whole check in a measure, readable at `width` columns."""
    return "\n".join(_Page(width, measure).show_check(check))


@dataclass(frozen=True, slots=True)
class _Page:
    width: int
    measure: Measure

    def show_check(self, check: PlantCheck) -> Iterator[str]:
        plant = check.plant
        yield f"{plant.name}: check at {self._figure('pressure', plant.working_pressure)}"
        yield "═" * self.width
        yield from self._show_demand(check)
        yield from ("", f"Joints ({len(check.joints)}), worst first", "─" * self.width)
        for joint in check.joints:
            yield from self._show_joint(joint)
        yield from ("", "Plant, worst first", "─" * self.width)
        subjects = {joint.joint.label for joint in check.joints}
        for judged in check.judged:
            if judged.subject not in subjects:
                told = self._word(judged.finding.text)
                mark = MARKS[judged.finding.level]
                yield from self._wrap(f"{mark:7} {judged.subject}: {told}", "", 8)
        yield ""
        for caution in check.cautions:
            yield from self._wrap(self._word(caution), "• ", 2)

    def _show_demand(self, check: PlantCheck) -> Iterator[str]:
        """Steam of each engine, of all, and of the boiler; the power where there is room for it."""
        if check.demand is None:
            return
        yield self._row("", "low", "likely", "high", "indicated")
        demands = [(each.name, each.steam, each.indicated_power) for each in check.demand.engines]
        demands.append(("together", check.demand.steam, check.demand.indicated_power))
        for name, steam, power in demands:
            flows = (self._figure("flow", each) for each in (steam.low, steam.likely, steam.high))
            yield self._row(name, *flows, self._figure("power", power))
        if check.evaporation is not None:
            stated = self._figure("flow", check.evaporation)
            yield self._row("boiler, as stated", "", stated, "", "")

    def _row(self, *cells: str) -> str:
        column = 12 if self.width >= 60 else 10
        shown = cells[1:] if self.width >= 24 + 4 * column else cells[1:-1]
        first = min(24, self.width - column * len(shown))
        return f"{cells[0][:first]:{first}}" + "".join(f"{cell:>{column}}" for cell in shown)

    def _show_joint(self, check: JointCheck) -> Iterator[str]:
        joint, fitting = check.joint, check.fitting
        male, female = (end.port.thread.designation for end in (joint.male, joint.female))
        yield f"{MARKS[check.level]:7} {joint.label}"[: self.width]
        verdict = fitting.verdict.replace("_", " ")
        yield from self._wrap(f"{male} into {female}: {verdict}", " " * 8, 8)
        for finding in check.findings[:2]:
            if finding.level != "ok":
                yield from self._wrap(self._word(finding.text), " " * 8 + "- ", 10)
        sound = (remedy for remedy in fitting.remedies if not remedy.refused)
        # The best, and one to weigh it by.
        for mark, remedy in zip(("→ ", "or "), sound, strict=False):
            title, summary = self._word(remedy.title), self._word(remedy.summary)
            text = f"{title} ({remedy.minutes:.0f} min): {summary}"
            yield from self._wrap(text, f"{mark:>10}", 10)

    def _wrap(self, text: str, first: str, indent: int) -> list[str]:
        return wrap(text, self.width, initial_indent=first, subsequent_indent=" " * indent)

    def _word(self, said: Said | str) -> str:
        return word(said, self.measure)

    def _figure(self, kind: FigureKind, value: float) -> str:
        return show_figure(Figure(kind, value), self.measure)
