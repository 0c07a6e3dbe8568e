"""add the columns of groups that the intake by diet needs

Revision ID: 5d0e7a41c3b8
Revises: c2a41f0b9d17
"""

import sqlalchemy as sa
from alembic import op

revision = "5d0e7a41c3b8"
down_revision = "c2a41f0b9d17"
branch_labels = None
depends_on = None

NAMES = ("forage_ndf_frac", "adf_ndf_frac", "forage_ndfd48_frac")


def upgrade() -> None:
    with op.batch_alter_table("groups") as batch:
        for name in NAMES:
            batch.add_column(sa.Column(name, sa.Float(), nullable=True))


def downgrade() -> None:
    with op.batch_alter_table("groups") as batch:
        for name in NAMES:
            batch.drop_column(name)
