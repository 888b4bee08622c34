"""The families of threads: each a row of `thread_families.csv`, and nothing of it in code."""

from dataclasses import dataclass
from functools import cache
from math import radians
from typing import Annotated, Literal, cast, get_args

from service.engineering.data_files import Row, need_number, read_table, require_columns
from service.engineering.errors import OutOfRange
from service.engineering.threads.catalogue.forms import FORMS, Form, form_of_angle

SizeCount = Literal["in", "mm", "number", "number or in"]
PitchCount = Literal["tpi", "mm"]
DrillSystem = Literal["in", "mm", "either"]
LimitsLength = Literal["", "diameter", "9 pitches"]


@dataclass(frozen=True, slots=True)
class Family:
    """A family of threads: one form, one custom of naming, one system of limits."""

    key: str
    name: str
    form: Form
    words: tuple[str, ...]  # what names it beside a size, in small letters
    classes: tuple[str, ...]  # classes of tolerance that may end a designation
    size: SizeCount  # what the first number of a designation counts
    pitch: PitchCount  # what the second number counts
    size_alone: bool  # whether a size alone means this family, of those of one word
    drills: DrillSystem  # the system of drills that its standard gives
    limits: str  # its system of limits of size
    limits_length: LimitsLength
    """Length of engagement for which the Unified system reckons; blank for the other systems."""
    bushes: bool  # whether its fine threads are cut on the outside of a bush
    commonness: float  # how much likelier than others in a box of steam fittings: judgement, near 1
    description: str
    source: str

    @property
    def included_angle(self) -> Annotated[float, "rad"]:
        return self.form.included_angle


@cache
def families() -> tuple[Family, ...]:
    """The thread families, in the order of the table.

    Returns: key, name, form, words and constants of each.
    Source: Each row of `thread_families.csv` names its own.
    """
    return tuple(_read_family(row) for row in read_table("thread_families.csv"))


def find_family(key: str) -> Family | None:
    """Look a family up by its key.

    key: such as `ME` or `metric fine`.
    Returns: the family; None for a thread of the workshop's own, or one that was only measured.
    Source: As `families`.
    """
    return next((family for family in families() if family.key == key), None)


def read_form(row: Row) -> Form:
    """A standard form by name, or the form of an included angle in degrees."""
    if row["form"] in FORMS:
        return FORMS[row["form"]]
    return form_of_angle(radians(need_number(row, "form")))


def _read_family(row: Row) -> Family:
    require_columns(row, ("key", "name", "form", "words", "limits", "description", "source"))
    return Family(
        key=row["key"],
        name=row["name"],
        form=read_form(row),
        words=_listed(row["words"]),
        classes=_listed(row["classes"]),
        size=cast(SizeCount, _one_of(row, "size", get_args(SizeCount))),
        pitch=cast(PitchCount, _one_of(row, "pitch", get_args(PitchCount))),
        size_alone=_one_of(row, "size_alone", ("", "yes")) == "yes",
        drills=cast(DrillSystem, _one_of(row, "drills", get_args(DrillSystem))),
        limits=row["limits"],
        limits_length=cast(LimitsLength, _one_of(row, "limits_length", get_args(LimitsLength))),
        bushes=_one_of(row, "bushes", ("", "yes")) == "yes",
        commonness=need_number(row, "commonness"),
        description=row["description"],
        source=row["source"],
    )


def _listed(cell: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in cell.split(";") if part.strip())


def _one_of(row: Row, column: str, legal: tuple[str, ...]) -> str:
    if row[column] not in legal:
        told = ", ".join(word or "blank" for word in legal)
        raise OutOfRange(f"{row['key']}: {column} is one of {told}.", field=column)
    return row[column]
