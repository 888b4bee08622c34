"""Everything that can be calculated, in the order in which people read of it."""

from service.api.calculations.adapters import ADAPTER
from service.api.calculations.balances import BALANCE
from service.api.calculations.blocks import BLOCK
from service.api.calculations.boilers import BLOWDOWN, BOILER_SUPPLY, PIPE_LOSS
from service.api.calculations.engines import STEAM_DEMAND
from service.api.calculations.joints import FITTING_CHECK, INDEXING
from service.api.calculations.overlays import ENGAGEMENT, THREAD_OVERLAY
from service.api.calculations.passages import PASSAGE
from service.api.calculations.quantities import QUANTITY
from service.api.calculations.safety_valves import SAFETY_VALVE
from service.api.calculations.shells import HYDRAULIC_TEST, SHELL
from service.api.calculations.threads import IDENTIFY, THREAD

CALCULATIONS = (
    QUANTITY,
    THREAD,
    IDENTIFY,
    FITTING_CHECK,
    THREAD_OVERLAY,
    ENGAGEMENT,
    INDEXING,
    ADAPTER,
    STEAM_DEMAND,
    BALANCE,
    PASSAGE,
    PIPE_LOSS,
    BOILER_SUPPLY,
    SHELL,
    HYDRAULIC_TEST,
    BLOWDOWN,
    SAFETY_VALVE,
    BLOCK,
)
