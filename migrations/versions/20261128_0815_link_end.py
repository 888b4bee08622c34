"""when a report's link runs out"""

import datetime as dt

import sqlalchemy as sa
from alembic import op

from service.records import columns

revision = "5d20c3be9f14"
down_revision = "d2f6b81a4c07"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("reports", sa.Column("link_expires_at", columns.UtcDateTime(), nullable=True))


def downgrade() -> None:
    """A link that had an end opens for good again, unless it has run out: that one is closed."""
    reports = sa.table(
        "reports", sa.column("link_hash", sa.String()),
        sa.column("link_expires_at", columns.UtcDateTime()),
    )  # fmt: skip
    passed = reports.c.link_expires_at <= sa.literal(dt.datetime.now(dt.UTC), columns.UtcDateTime())
    op.execute(sa.update(reports).where(passed).values(link_hash=None))
    op.drop_column("reports", "link_expires_at")
