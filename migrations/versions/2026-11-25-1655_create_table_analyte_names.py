"""create table analyte_names

Revision ID: c2a41f0b9d17
Revises: 7f03477bea8e
"""

import sqlalchemy as sa
from alembic import op

revision = "c2a41f0b9d17"
down_revision = "7f03477bea8e"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "analyte_names",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("analyte", sa.String(length=16), nullable=False),
        sa.Column("unit", sa.String(length=16), server_default="", nullable=False),
        sa.Column("basis", sa.String(length=8), server_default="", nullable=False),
        sa.Column("removed_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), server_default=sa.text("1"), nullable=False),
        sa.ForeignKeyConstraint(
            ["farm_id"], ["farms.id"], name=op.f("fk_analyte_names_farm_id_farms"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_analyte_names")),
    )
    with op.batch_alter_table("analyte_names") as batch:
        batch.create_index(batch.f("ix_analyte_names_farm_id"), ["farm_id"], unique=False)
        batch.create_index("uq_analyte_names_farm_name", ["farm_id", "name"], unique=True)


def downgrade() -> None:
    op.drop_table("analyte_names")
