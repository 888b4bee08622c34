"""the workshop's record"""

import sqlalchemy as sa
from alembic import op

from service.records import columns

revision = "8b1f0c6d27a4"
down_revision = "e5e1588c36cc"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "workshop",
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("address", sa.Text(), nullable=True),
        sa.Column("email", sa.String(length=200), nullable=True),
        sa.Column("phone", sa.String(length=200), nullable=True),
        sa.Column("logo", sa.JSON(none_as_null=True), nullable=True),
        sa.Column(
            "measure",
            sa.Enum(
                "metric",
                "imperial",
                "us",
                name=op.f("ck_workshop_measure"),
                native_enum=False,
                create_constraint=True,
                length=32,
            ),
            nullable=False,
        ),
        sa.Column("currency", sa.String(length=3), nullable=False),
        sa.Column("tax_registered", sa.Boolean(), nullable=False),
        sa.Column("tax_number", sa.String(length=200), nullable=True),
        sa.Column("tax_rate", columns.ExactDecimal(5, 2), nullable=True),
        sa.Column("shelf", sa.JSON(), nullable=False),
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_at", columns.UtcDateTime(), nullable=False),
        sa.Column("updated_at", columns.UtcDateTime(), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_workshop_only_one")),
        sa.CheckConstraint("tax_rate >= 0", name=op.f("ck_workshop_tax_rate")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_workshop")),
        sqlite_autoincrement=True,
        sqlite_strict=True,
    )


def downgrade() -> None:
    op.drop_table("workshop")
