"""Plants as a graph: items have ports, and joints join a male port to a female one.

Quantities are kept as the person wrote them ("7/32 in"): exact, and shown back as typed.
"""

from enum import StrEnum
from typing import Any, ClassVar

import sqlalchemy as sa
from sqlalchemy.orm import Mapped, mapped_column, relationship

from service.records.columns import Long, Short, enum_column
from service.records.database import Base, Versioned


class ItemKind(StrEnum):
    """What an item is; boilers, engines and safety valves carry data of their own."""

    BOILER = "boiler"
    BURNER = "burner"
    ENGINE = "engine"
    DISTRIBUTION_BLOCK = "distribution_block"
    STOP_VALVE = "stop_valve"
    SAFETY_VALVE = "safety_valve"
    CHECK_VALVE = "check_valve"
    BLOWDOWN_VALVE = "blowdown_valve"
    WATER_GAUGE = "water_gauge"
    PRESSURE_GAUGE = "pressure_gauge"
    WHISTLE = "whistle"
    LUBRICATOR = "lubricator"
    FEED_PUMP = "feed_pump"
    SEPARATOR = "separator"
    PIPE = "pipe"
    UNION = "union"
    NIPPLE = "nipple"
    BUSH = "bush"
    ADAPTER = "adapter"
    PLUG = "plug"
    FITTING = "fitting"

    @property
    def section(self) -> str | None:
        """Name of the data that only this kind of item has, if it has any."""
        return self.value if self in _WITH_DATA else None


_WITH_DATA = {ItemKind.BOILER, ItemKind.ENGINE, ItemKind.SAFETY_VALVE}


class Gender(StrEnum):
    """Which half of a screwed joint a port is."""

    MALE = "male"
    FEMALE = "female"


class Plant(Versioned, Base):
    """One plant of a commission and the conditions it is to work under."""

    __tablename__ = "plants"

    commission_id: Mapped[int] = mapped_column(sa.ForeignKey("commissions.id"), index=True)
    name: Mapped[Short]
    working_pressure: Mapped[str] = mapped_column(sa.String(60))
    back_pressure: Mapped[str | None] = mapped_column(sa.String(60))
    feed_temperature: Mapped[str | None] = mapped_column(sa.String(60))
    notes: Mapped[Long | None]


class Item(Versioned, Base):
    """One thing in the plant; `part_id` says which supplied part it is, when it is one."""

    __tablename__ = "items"
    __table_args__ = (sa.UniqueConstraint("plant_id", "name"), Base.__table_args__)

    plant_id: Mapped[int] = mapped_column(sa.ForeignKey("plants.id"), index=True)
    part_id: Mapped[int | None] = mapped_column(sa.ForeignKey("parts.id"), index=True)
    kind: Mapped[ItemKind] = mapped_column(enum_column(ItemKind))
    name: Mapped[Short]
    data: Mapped[dict[str, Any]] = mapped_column(sa.JSON)

    ports: Mapped[list["Port"]] = relationship(
        back_populates="item", order_by="Port.id", cascade="all, delete-orphan", lazy="selectin"
    )

    also_recorded: ClassVar = ("port_entries",)

    @property
    def port_entries(self) -> list[dict[str, Any]]:
        """The ports as they were entered; setting them keeps a port's identity by its name."""
        return [{"name": port.name, "gender": port.gender, **port.data} for port in self.ports]

    @port_entries.setter
    def port_entries(self, entries: list[dict[str, Any]]) -> None:
        present = {port.name: port for port in self.ports}
        ports = []
        for entry in entries:
            sizes = dict(entry)
            name, gender = sizes.pop("name"), sizes.pop("gender")
            port = present.get(name) or Port(name=name)
            port.gender, port.data = gender, sizes
            ports.append(port)
        self.ports = ports


class Port(Base):
    """One screwed end or tapped hole of an item."""

    __tablename__ = "ports"
    __table_args__ = (sa.UniqueConstraint("item_id", "name"), Base.__table_args__)

    id: Mapped[int] = mapped_column(primary_key=True)
    item_id: Mapped[int] = mapped_column(sa.ForeignKey("items.id"))
    name: Mapped[str] = mapped_column(sa.String(60))
    gender: Mapped[Gender] = mapped_column(enum_column(Gender))
    data: Mapped[dict[str, Any]] = mapped_column(sa.JSON)

    item: Mapped[Item] = relationship(back_populates="ports", lazy="raise_on_sql")


class Joint(Versioned, Base):
    """A male port screwed into a female port of the same plant; a port joins once."""

    __tablename__ = "joints"

    plant_id: Mapped[int] = mapped_column(sa.ForeignKey("plants.id"), index=True)
    male_port_id: Mapped[int] = mapped_column(sa.ForeignKey("ports.id"), unique=True)
    female_port_id: Mapped[int] = mapped_column(sa.ForeignKey("ports.id"), unique=True)
    points_wanted: Mapped[str | None] = mapped_column(sa.String(60))
    points_found: Mapped[str | None] = mapped_column(sa.String(60))
    notes: Mapped[Long | None]
