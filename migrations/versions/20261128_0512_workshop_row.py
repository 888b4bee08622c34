"""the one row of the workshop, and the letterhead of reports that were issued without one"""

import datetime as dt
from typing import Any

import sqlalchemy as sa
from alembic import op

from service.records import columns

revision = "c4a70e95d318"
down_revision = "8b1f0c6d27a4"
branch_labels = None
depends_on = None

LETTERHEAD: dict[str, Any] = {
    "address": None, "email": None, "phone": None, "logo": None, "measure": "metric",
}  # fmt: skip
"""Reports were headed by a name alone, and said everything in metric."""

workshop = sa.table(
    "workshop",
    sa.column("id", sa.Integer()),
    sa.column("version", sa.Integer()),
    sa.column("created_at", columns.UtcDateTime()),
    sa.column("updated_at", columns.UtcDateTime()),
    sa.column("name", sa.String()),
    sa.column("measure", sa.String()),
    sa.column("currency", sa.String()),
    sa.column("tax_registered", sa.Boolean()),
    sa.column("shelf", sa.JSON()),
)
reports = sa.table(
    "reports", sa.column("id", sa.Integer()), sa.column("content", sa.JSON(none_as_null=True))
)


def upgrade() -> None:
    connection = op.get_bind()
    if connection.scalar(sa.select(sa.func.count()).select_from(workshop)) == 0:
        moment = dt.datetime.now(dt.UTC)
        op.bulk_insert(
            workshop,
            [
                {
                    "id": 1,
                    "version": 1,
                    "created_at": moment,
                    "updated_at": moment,
                    "name": "The workshop",
                    "measure": "metric",
                    "currency": "GBP",
                    "tax_registered": False,
                    "shelf": [],
                }
            ],
        )
    for row in _contents(connection):
        _write(connection, row.id, LETTERHEAD | row.content)


def downgrade() -> None:
    """The row stays: it goes with its table, and an owner's own name is not to be lost before."""
    connection = op.get_bind()
    for row in _contents(connection):
        kept = {name: value for name, value in row.content.items() if name not in LETTERHEAD}
        _write(connection, row.id, kept)


def _contents(connection: sa.Connection) -> list[Any]:
    issued = sa.select(reports).where(reports.c.content.is_not(None))
    return list(connection.execute(issued))


def _write(connection: sa.Connection, report_id: int, content: dict[str, Any]) -> None:
    connection.execute(sa.update(reports).where(reports.c.id == report_id).values(content=content))
