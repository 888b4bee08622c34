"""${message}

House rules: import alembic, sqlalchemy and service.records.columns only; name every constraint
through op.f(); a new NOT NULL column comes in two steps; schema and data never in one revision.
"""

import sqlalchemy as sa
from alembic import op

from service.records import columns

revision = ${repr(up_revision)}
down_revision = ${repr(down_revision)}
branch_labels = ${repr(branch_labels)}
depends_on = ${repr(depends_on)}


def upgrade() -> None:
    ${upgrades if upgrades else "pass"}


def downgrade() -> None:
    ${downgrades if downgrades else "pass"}
