"""numbers of papers that were given out before a restore and are borne by no row"""

import sqlalchemy as sa
from alembic import op

revision = "d2f6b81a4c07"
down_revision = "c4a70e95d318"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "paper_numbers",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("paper", sa.String(length=20), nullable=False),
        sa.Column("series", sa.String(length=20), nullable=False),
        sa.Column("highest", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_paper_numbers")),
        sa.UniqueConstraint("paper", "series", name=op.f("uq_paper_numbers_paper_series")),
        sqlite_strict=True,
        sqlite_autoincrement=True,
    )


def downgrade() -> None:
    op.drop_table("paper_numbers")
