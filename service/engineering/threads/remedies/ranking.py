"""Making a joint good: every remedy there is, the best first and the refused last."""

from collections.abc import Callable, Mapping

from service.engineering.errors import require
from service.engineering.threads.fit import FemaleEnd, MaleEnd, check_ends
from service.engineering.threads.remedies.job_sheet import check_table_of_times
from service.engineering.threads.remedies.new_parts import (
    propose_adapting,
    propose_bushing,
    propose_replacing,
)
from service.engineering.threads.remedies.recutting import propose_recutting
from service.engineering.threads.remedies.remedy import (
    Joint,
    Proposal,
    Remedy,
    rank_remedies,
    settle,
)
from service.engineering.threads.remedies.rethreading import (
    propose_opening_out,
    propose_plugging,
    propose_turning_down,
)

__all__ = ["Remedy", "find_remedies"]

PLANNERS: tuple[Callable[[Joint], tuple[Proposal, ...]], ...] = (
    propose_recutting,
    propose_turning_down,
    propose_opening_out,
    propose_bushing,
    propose_adapting,
    propose_plugging,
    propose_replacing,
)


def find_remedies(
    male: MaleEnd,
    female: FemaleEnd,
    *,
    pressure: float | None = None,
    steam_temperature: float | None = None,
    table_of_times: Mapping[str, float] | None = None,
) -> tuple[Remedy, ...]:
    """Plan every way to make a joint good.

    Parameters
    ----------
    male : MaleEnd
        The male end.
    female : FemaleEnd
        The female end.
    pressure : float | None
        Working pressure, absolute [Pa], above 0; None: not known.
    steam_temperature : float | None
        Saturation temperature at that pressure [K], 273.15 to 647; None: not known.
    table_of_times : mapping of str to float | None
        The workshop's own minutes for one piece by operation [min]; None: standard times.

    Returns
    -------
    tuple of Remedy
        Best first: safety, then what can be undone, then minutes; the refused last.

    Raises
    ------
    OutOfRange
        A dimension, pressure, temperature or time outside its range.
    Unsuitable
        An operation that the table of standard times has not.
    UnknownMaterial
        A metal that is not in the table.

    Source
    ------
    Common practice, from memory; each finding names its own.
    """
    require(pressure is None or pressure > 0, "pressure", "An absolute pressure is above 0.")
    check_ends(male, female)
    check_table_of_times(table_of_times)
    joint = Joint(male, female, pressure, steam_temperature, table_of_times)
    proposals = (proposal for plan in PLANNERS for proposal in plan(joint))
    return rank_remedies(settle(proposal, pressure=pressure) for proposal in proposals)
