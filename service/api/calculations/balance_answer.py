"""Where a plant settles, and what to change, as it goes over the wire."""

from service.api.derive import part_of, schema_out
from service.api.fields import Words
from service.api.schemas.calculations import CalculationOut
from service.engineering.steam.network import Advice, Balance, CaseBalance, EngineBalance


class RunningEngineOut(
    schema_out(
        EngineBalance,
        "name pressure speed steam wanted_speed load_pressure stalls may_stall",
    )
):
    """Where one engine settles; `stalls` likely, `may_stall` with everything soft against it."""


class OpenOutletOut(schema_out(part_of(CaseBalance, "open_outlets"), "name pressure steam")):
    """What blows from one open outlet."""


class SoftInputOut(
    schema_out(part_of(CaseBalance, "soft_inputs"), "name speed_spread steam_spread engine")
):
    """What one soft input alone does: spans over the wanted speed and over the likely steam."""


class CaseOut(
    schema_out(
        CaseBalance,
        "name boiler_pressure block_pressure steam surplus heat_bound engines outlets=open_outlets"
        " soft_inputs",
        engines=RunningEngineOut,
        outlets=OpenOutletOut,
        soft_inputs=SoftInputOut,
    )
):
    """Where the plant settles in one case; soft inputs that make the spread, the widest first."""


class SteamBalanceOut(schema_out(Balance, "cases", cases=CaseOut), CalculationOut):
    """Where the plant settles, case by case."""


_PATH = part_of(Advice, "paths")


class PlaceOut(
    schema_out(
        part_of(_PATH, "places"),
        "stretch number kind diameter=element.diameter drop share smallest_diameter",
        kind=Words(required=True, attribute="element.kind"),
    )
):
    """One part on a way; `smallest_diameter` null: no bore of this part alone is enough."""


class PathOut(
    schema_out(
        _PATH,
        "case engine flow chest_pressure boiler_pressure drop allowed within costliest places",
        costliest=PlaceOut,
        places=PlaceOut,
    )
):
    """The way to one engine at its wanted speed; an `allowed` below 0: it is out of reach."""


class ChangesOut(schema_out(Advice, "paths", paths=PathOut), CalculationOut):
    """What to open out, way by way."""
