"""Which mistakes are tried: a fair draw out of all that can be made, the same for the same seed."""

import json
import random
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path

from tests.mutants.mutators import Change, find_changes

AREAS = ("engineering", "plant", "quantities", "records/operations")
FEWEST = 30
"""A small area is given as many of the 300, and a tenth of a smaller draw."""


@dataclass(frozen=True, slots=True)
class Mutant:
    """One mistake in one file of the service, with the line as it was and as it is."""

    path: str
    change: Change
    before: str
    after: str

    @property
    def place(self) -> str:
        """Where to look."""
        return f"{self.path}:{self.change.line}"

    def write_down(self) -> str:
        """One line of a file of survivors."""
        words = {"place": self.place, "kind": self.change.kind}
        return json.dumps(words | {"before": self.before, "after": self.after}, ensure_ascii=False)


def draw_mutants(
    house: Path, *, count: int, seed: int, areas: tuple[str, ...] = AREAS
) -> list[Mutant]:
    """So many mutants, area by area; a greater count draws the same ones and more."""
    sites = {area: find_sites(house, area) for area in areas}
    shares = share_out(count, {area: len(found) for area, found in sites.items()})
    drawn = []
    for area, found in sites.items():
        chance = random.Random(f"{seed} {area}")
        chance.shuffle(found)
        choices = [chance.choice(site) for site in found]
        drawn += choices[: shares[area]]
    return drawn


def share_out(count: int, sites: dict[str, int]) -> dict[str, int]:
    """Mutants for each area in proportion to its sites; the greatest makes room for the small."""
    total, least = sum(sites.values()), min(FEWEST, count // 10)
    if not total:
        raise SystemExit(f"Nothing to mutate in {', '.join(sites)}.")
    shares = {
        area: min(number, max(least, round(count * number / total)))
        for area, number in sites.items()
    }
    greatest = max(sites, key=lambda area: sites[area])
    others = sum(shares.values()) - shares[greatest]
    shares[greatest] = min(sites[greatest], max(count - others, 0))
    return shares


def find_sites(house: Path, area: str) -> list[list[Mutant]]:
    """Each place of an area that can be got wrong, with the ways in which it can."""
    return [
        list(site)
        for path in _modules(house / "service" / area)
        for _, site in groupby(find_mutants(house, path), key=lambda one: one.change.start)
    ]


def find_mutants(house: Path, path: Path) -> Iterator[Mutant]:
    """Every mutant of one file."""
    text = path.read_text(encoding="utf-8")
    for change in find_changes(text):
        yield Mutant(path.relative_to(house).as_posix(), change, *change.show(text))


def _modules(place: Path) -> list[Path]:
    return [place] if place.is_file() else sorted(place.rglob("*.py"))


def find_again(house: Path, written: str) -> tuple[list[Mutant], list[str]]:
    """The mutants that a file of survivors names, and the lines whose code is there no more.

    A line may have moved within its file, and its file into another folder.
    """
    found, gone = [], []
    everywhere = [path for area in AREAS for path in _modules(house / "service" / area)]
    for line in filter(None, written.splitlines()):
        words = json.loads(line)
        path, _, number = words["place"].rpartition(":")
        alike = [
            mutant
            for module in everywhere
            if module.name == Path(path).name
            for mutant in find_mutants(house, module)
            if (mutant.before, mutant.after) == (words["before"], words["after"])
        ]
        if not alike:
            gone.append(line)
            continue
        found.append(
            min(alike, key=lambda one: (one.path != path, abs(one.change.line - int(number))))
        )
    return found, gone
