"""create tables

Revision ID: 7f03477bea8e
Revises:
"""

import sqlalchemy as sa
from alembic import op

revision = "7f03477bea8e"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "accounts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("email", sa.String(length=254), nullable=True),
        sa.Column("password_hash", sa.String(length=255), nullable=True),
        sa.Column("language", sa.String(length=2), server_default="en", nullable=False),
        sa.Column("units", sa.String(length=6), server_default="us", nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("closed_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("version", sa.Integer(), server_default=sa.text("1"), nullable=False),
        sa.CheckConstraint("language in ('en', 'es')", name=op.f("ck_accounts_language")),
        sa.CheckConstraint("units in ('us', 'metric')", name=op.f("ck_accounts_units")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_accounts")),
        sa.UniqueConstraint("email", name=op.f("uq_accounts_email")),
    )
    op.create_table(
        "failed_attempts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("who", sa.String(length=254), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_failed_attempts")),
    )
    with op.batch_alter_table("failed_attempts", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_failed_attempts_at"), ["at"], unique=False)
        batch_op.create_index(batch_op.f("ix_failed_attempts_who"), ["who"], unique=False)

    op.create_table(
        "farms",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("place", sa.String(length=200), nullable=True),
        sa.Column("latitude", sa.Double(), nullable=True),
        sa.Column("longitude", sa.Double(), nullable=True),
        sa.Column("time_zone", sa.String(length=64), server_default="UTC", nullable=False),
        sa.Column("cuts_count", sa.Integer(), server_default="4", nullable=False),
        sa.Column("seq", sa.Integer(), server_default=sa.text("0"), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("version", sa.Integer(), server_default=sa.text("1"), nullable=False),
        sa.CheckConstraint("cuts_count between 1 and 8", name=op.f("ck_farms_cuts_count")),
        sa.CheckConstraint("latitude is null or latitude between -90 and 90", name=op.f("ck_farms_latitude")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_farms")),
    )
    op.create_table(
        "setup_links",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("used_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_setup_links")),
        sa.UniqueConstraint("token_hash", name=op.f("uq_setup_links_token_hash")),
    )
    op.create_table(
        "api_tokens",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("account_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("used_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("revoked_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["account_id"], ["accounts.id"], name=op.f("fk_api_tokens_account_id_accounts")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_api_tokens")),
        sa.UniqueConstraint("token_hash", name=op.f("uq_api_tokens_token_hash")),
    )
    with op.batch_alter_table("api_tokens", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_api_tokens_account_id"), ["account_id"], unique=False)

    op.create_table(
        "changes",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("account_id", sa.Integer(), nullable=True),
        sa.Column("by", sa.String(length=80), nullable=False),
        sa.Column("verb", sa.String(length=16), nullable=False),
        sa.Column("noun", sa.String(length=24), nullable=False),
        sa.Column("row_id", sa.Integer(), nullable=True),
        sa.Column("name", sa.String(length=200), server_default="", nullable=False),
        sa.Column("fields", sa.JSON(), nullable=False),
        sa.Column("parts", sa.JSON(), nullable=False),
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["account_id"], ["accounts.id"], name=op.f("fk_changes_account_id_accounts")),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_changes_farm_id_farms"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_changes")),
    )
    with op.batch_alter_table("changes", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_changes_farm_id"), ["farm_id"], unique=False)
        batch_op.create_index("ix_changes_noun_row", ["noun", "row_id"], unique=False)
        batch_op.create_index("uq_changes_farm_seq", ["farm_id", "seq"], unique=True)

    op.create_table(
        "checklists",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("year", sa.Integer(), nullable=False),
        sa.Column("cutting", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), server_default=sa.text("1"), nullable=False),
        sa.ForeignKeyConstraint(
            ["farm_id"], ["farms.id"], name=op.f("fk_checklists_farm_id_farms"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_checklists")),
    )
    with op.batch_alter_table("checklists", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_checklists_farm_id"), ["farm_id"], unique=False)
        batch_op.create_index("uq_checklists_farm_year_cutting", ["farm_id", "year", "cutting"], unique=True)

    op.create_table(
        "crew_links",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("code_hash", sa.String(length=64), nullable=False),
        sa.Column("created_by", sa.Integer(), nullable=True),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("revoked_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["created_by"], ["accounts.id"], name=op.f("fk_crew_links_created_by_accounts")),
        sa.ForeignKeyConstraint(
            ["farm_id"], ["farms.id"], name=op.f("fk_crew_links_farm_id_farms"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_crew_links")),
        sa.UniqueConstraint("code_hash", name=op.f("uq_crew_links_code_hash")),
    )
    with op.batch_alter_table("crew_links", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_crew_links_farm_id"), ["farm_id"], unique=False)

    op.create_table(
        "cutting_shares",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("share_frac", sa.Double(), nullable=False),
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.CheckConstraint("share_frac > 0 and share_frac <= 1", name=op.f("ck_cutting_shares_share")),
        sa.ForeignKeyConstraint(
            ["farm_id"], ["farms.id"], name=op.f("fk_cutting_shares_farm_id_farms"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_cutting_shares")),
    )
    with op.batch_alter_table("cutting_shares", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_cutting_shares_farm_id"), ["farm_id"], unique=False)
        batch_op.create_index("uq_cutting_shares_farm_number", ["farm_id", "number"], unique=True)

    op.create_table(
        "cuttings",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("year", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("starts_on", sa.Date(), nullable=True),
        sa.Column("sealed_on", sa.Date(), nullable=True),
        sa.Column("note", sa.String(length=2000), nullable=True),
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), server_default=sa.text("1"), nullable=False),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_cuttings_farm_id_farms"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_cuttings")),
    )
    with op.batch_alter_table("cuttings", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_cuttings_farm_id"), ["farm_id"], unique=False)
        batch_op.create_index("uq_cuttings_farm_year_number", ["farm_id", "year", "number"], unique=True)

    op.create_table(
        "decisions",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("question", sa.String(length=300), nullable=False),
        sa.Column("answer", sa.String(length=300), nullable=True),
        sa.Column("why", sa.String(length=2000), nullable=True),
        sa.Column("decided_by_id", sa.Integer(), nullable=True),
        sa.Column("decided_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("removed_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), server_default=sa.text("1"), nullable=False),
        sa.ForeignKeyConstraint(["decided_by_id"], ["accounts.id"], name=op.f("fk_decisions_decided_by_id_accounts")),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_decisions_farm_id_farms"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_decisions")),
    )
    with op.batch_alter_table("decisions", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_decisions_farm_id"), ["farm_id"], unique=False)

    op.create_table(
        "farm_values",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(length=64), nullable=False),
        sa.Column("number", sa.Double(), nullable=True),
        sa.Column("choice", sa.String(length=64), nullable=True),
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["farm_id"], ["farms.id"], name=op.f("fk_farm_values_farm_id_farms"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_farm_values")),
    )
    with op.batch_alter_table("farm_values", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_farm_values_farm_id"), ["farm_id"], unique=False)
        batch_op.create_index("uq_farm_values_farm_key", ["farm_id", "key"], unique=True)

    op.create_table(
        "feeds",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("kind", sa.String(length=16), nullable=False),
        sa.Column("dm_frac", sa.Double(), nullable=True),
        sa.Column("storage_life_d", sa.Double(), nullable=True),
        sa.Column("price_usd_kg_dm", sa.Double(), nullable=True),
        sa.Column("removed_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), server_default=sa.text("1"), nullable=False),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_feeds_farm_id_farms"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_feeds")),
    )
    with op.batch_alter_table("feeds", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_feeds_farm_id"), ["farm_id"], unique=False)

    op.create_table(
        "fields",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("area_ha", sa.Double(), nullable=False),
        sa.Column("latitude", sa.Double(), nullable=True),
        sa.Column("longitude", sa.Double(), nullable=True),
        sa.Column("drainage_note", sa.String(length=2000), nullable=True),
        sa.Column("haul_km", sa.Double(), nullable=True),
        sa.Column("position", sa.Integer(), server_default=sa.text("0"), nullable=False),
        sa.Column("removed_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), server_default=sa.text("1"), nullable=False),
        sa.CheckConstraint("area_ha > 0", name=op.f("ck_fields_area")),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_fields_farm_id_farms"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_fields")),
    )
    with op.batch_alter_table("fields", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_fields_farm_id"), ["farm_id"], unique=False)

    op.create_table(
        "groups",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("use_class", sa.String(length=10), nullable=False),
        sa.Column("head_count", sa.Integer(), nullable=False),
        sa.Column("intake_method", sa.String(length=24), server_default="measured", nullable=False),
        sa.Column("intake_kg", sa.Double(), nullable=True),
        sa.Column("body_weight_kg", sa.Double(), nullable=True),
        sa.Column("mature_weight_kg", sa.Double(), nullable=True),
        sa.Column("milk_kg", sa.Double(), nullable=True),
        sa.Column("fat_frac", sa.Double(), nullable=True),
        sa.Column("protein_frac", sa.Double(), nullable=True),
        sa.Column("lactose_frac", sa.Double(), nullable=True),
        sa.Column("days_in_milk_d", sa.Double(), nullable=True),
        sa.Column("multiparous_frac", sa.Double(), nullable=True),
        sa.Column("condition_score", sa.Double(), nullable=True),
        sa.Column("days_to_calving_d", sa.Double(), nullable=True),
        sa.Column("diet_ndf_frac", sa.Double(), nullable=True),
        sa.Column("ndf_ceiling_frac", sa.Double(), nullable=True),
        sa.Column("note", sa.String(length=2000), nullable=True),
        sa.Column("position", sa.Integer(), server_default=sa.text("0"), nullable=False),
        sa.Column("removed_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), server_default=sa.text("1"), nullable=False),
        sa.CheckConstraint("use_class in ('milking', 'growing', 'dry')", name=op.f("ck_groups_use_class")),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_groups_farm_id_farms"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_groups")),
    )
    with op.batch_alter_table("groups", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_groups_farm_id"), ["farm_id"], unique=False)

    op.create_table(
        "invitations",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("email", sa.String(length=254), nullable=False),
        sa.Column("role", sa.String(length=16), nullable=False),
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("invited_by", sa.Integer(), nullable=True),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("used_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "role in ('owner', 'nutritionist', 'agronomist', 'crew', 'consultant', 'viewer')",
            name=op.f("ck_invitations_role"),
        ),
        sa.ForeignKeyConstraint(
            ["farm_id"], ["farms.id"], name=op.f("fk_invitations_farm_id_farms"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(["invited_by"], ["accounts.id"], name=op.f("fk_invitations_invited_by_accounts")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_invitations")),
        sa.UniqueConstraint("token_hash", name=op.f("uq_invitations_token_hash")),
    )
    with op.batch_alter_table("invitations", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_invitations_farm_id"), ["farm_id"], unique=False)

    op.create_table(
        "machines",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("kind", sa.String(length=16), nullable=False),
        sa.Column("weight_kg", sa.Double(), nullable=True),
        sa.Column("share_frac", sa.Double(), nullable=True),
        sa.Column("rate_kg_h", sa.Double(), nullable=True),
        sa.Column("width_m", sa.Double(), nullable=True),
        sa.Column("is_custom", sa.Boolean(), server_default=sa.false(), nullable=False),
        sa.Column("removed_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), server_default=sa.text("1"), nullable=False),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_machines_farm_id_farms"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_machines")),
    )
    with op.batch_alter_table("machines", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_machines_farm_id"), ["farm_id"], unique=False)

    op.create_table(
        "memberships",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("account_id", sa.Integer(), nullable=False),
        sa.Column("role", sa.String(length=16), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "role in ('owner', 'nutritionist', 'agronomist', 'crew', 'consultant', 'viewer')",
            name=op.f("ck_memberships_role"),
        ),
        sa.ForeignKeyConstraint(["account_id"], ["accounts.id"], name=op.f("fk_memberships_account_id_accounts")),
        sa.ForeignKeyConstraint(
            ["farm_id"], ["farms.id"], name=op.f("fk_memberships_farm_id_farms"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_memberships")),
    )
    with op.batch_alter_table("memberships", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_memberships_account_id"), ["account_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_memberships_farm_id"), ["farm_id"], unique=False)
        batch_op.create_index("uq_memberships_farm_account", ["farm_id", "account_id"], unique=True)

    op.create_table(
        "sendings",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(length=80), nullable=False),
        sa.Column("account_id", sa.Integer(), nullable=True),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["account_id"], ["accounts.id"], name=op.f("fk_sendings_account_id_accounts")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sendings")),
        sa.UniqueConstraint("key", name=op.f("uq_sendings_key")),
    )
    with op.batch_alter_table("sendings", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_sendings_at"), ["at"], unique=False)

    op.create_table(
        "snapshots",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=32), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("day_on", sa.Date(), nullable=False),
        sa.Column("body", sa.JSON(), nullable=False),
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_snapshots_farm_id_farms"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_snapshots")),
    )
    with op.batch_alter_table("snapshots", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_snapshots_farm_id"), ["farm_id"], unique=False)
        batch_op.create_index("uq_snapshots_farm_name", ["farm_id", "name"], unique=True)

    op.create_table(
        "stations",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column("code", sa.String(length=40), nullable=True),
        sa.Column("latitude", sa.Double(), nullable=True),
        sa.Column("longitude", sa.Double(), nullable=True),
        sa.Column("elevation_m", sa.Double(), nullable=True),
        sa.Column("source", sa.String(length=200), server_default="", nullable=False),
        sa.Column("is_primary", sa.Boolean(), server_default=sa.true(), nullable=False),
        sa.Column("removed_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), server_default=sa.text("1"), nullable=False),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_stations_farm_id_farms"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_stations")),
    )
    with op.batch_alter_table("stations", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_stations_farm_id"), ["farm_id"], unique=False)

    op.create_table(
        "structures",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("kind", sa.String(length=10), nullable=False),
        sa.Column("length_m", sa.Double(), nullable=True),
        sa.Column("width_m", sa.Double(), nullable=True),
        sa.Column("top_width_m", sa.Double(), nullable=True),
        sa.Column("wall_height_m", sa.Double(), nullable=True),
        sa.Column("peak_height_m", sa.Double(), nullable=True),
        sa.Column("ramps_count", sa.Integer(), nullable=True),
        sa.Column("side_slope", sa.Double(), nullable=True),
        sa.Column("end_slope", sa.Double(), nullable=True),
        sa.Column("diameter_m", sa.Double(), nullable=True),
        sa.Column("bale_width_m", sa.Double(), nullable=True),
        sa.Column("bale_length_m", sa.Double(), nullable=True),
        sa.Column("bale_depth_m", sa.Double(), nullable=True),
        sa.Column("bale_is_round", sa.Boolean(), server_default=sa.true(), nullable=False),
        sa.Column("is_oxygen_limiting", sa.Boolean(), server_default=sa.false(), nullable=False),
        sa.Column("fills_next", sa.Boolean(), server_default=sa.false(), nullable=False),
        sa.Column("note", sa.String(length=2000), nullable=True),
        sa.Column("position", sa.Integer(), server_default=sa.text("0"), nullable=False),
        sa.Column("removed_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), server_default=sa.text("1"), nullable=False),
        sa.CheckConstraint("kind in ('bunker', 'pile', 'bag', 'tower', 'stack')", name=op.f("ck_structures_kind")),
        sa.ForeignKeyConstraint(
            ["farm_id"], ["farms.id"], name=op.f("fk_structures_farm_id_farms"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_structures")),
    )
    with op.batch_alter_table("structures", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_structures_farm_id"), ["farm_id"], unique=False)

    op.create_table(
        "uploads",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("account_id", sa.Integer(), nullable=True),
        sa.Column("purpose", sa.String(length=16), nullable=False),
        sa.Column("filename", sa.String(length=200), nullable=False),
        sa.Column("body", sa.LargeBinary(), nullable=False),
        sa.Column("answers", sa.JSON(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("taken_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["account_id"], ["accounts.id"], name=op.f("fk_uploads_account_id_accounts")),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_uploads_farm_id_farms"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_uploads")),
    )
    with op.batch_alter_table("uploads", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_uploads_farm_id"), ["farm_id"], unique=False)

    op.create_table(
        "days",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("station_id", sa.Integer(), nullable=False),
        sa.Column("day_on", sa.Date(), nullable=False),
        sa.Column("high_c", sa.Double(), nullable=True),
        sa.Column("low_c", sa.Double(), nullable=True),
        sa.Column("precip_mm", sa.Double(), nullable=True),
        sa.Column("kind", sa.String(length=10), server_default="observed", nullable=False),
        sa.ForeignKeyConstraint(
            ["station_id"], ["stations.id"], name=op.f("fk_days_station_id_stations"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_days")),
    )
    with op.batch_alter_table("days", schema=None) as batch_op:
        batch_op.create_index("uq_days_station_day", ["station_id", "day_on"], unique=True)

    op.create_table(
        "head_changes",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("group_id", sa.Integer(), nullable=False),
        sa.Column("from_on", sa.Date(), nullable=False),
        sa.Column("head_count", sa.Integer(), nullable=False),
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["farm_id"], ["farms.id"], name=op.f("fk_head_changes_farm_id_farms"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["group_id"], ["groups.id"], name=op.f("fk_head_changes_group_id_groups"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_head_changes")),
    )
    with op.batch_alter_table("head_changes", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_head_changes_farm_id"), ["farm_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_head_changes_group_id"), ["group_id"], unique=False)
        batch_op.create_index("uq_head_changes_group_day", ["group_id", "from_on"], unique=True)

    op.create_table(
        "inclusions",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("group_id", sa.Integer(), nullable=False),
        sa.Column("feed_id", sa.Integer(), nullable=False),
        sa.Column("from_on", sa.Date(), nullable=False),
        sa.Column("share_frac", sa.Double(), nullable=False),
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.CheckConstraint("share_frac >= 0 and share_frac <= 1", name=op.f("ck_inclusions_share")),
        sa.ForeignKeyConstraint(
            ["farm_id"], ["farms.id"], name=op.f("fk_inclusions_farm_id_farms"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(["feed_id"], ["feeds.id"], name=op.f("fk_inclusions_feed_id_feeds")),
        sa.ForeignKeyConstraint(
            ["group_id"], ["groups.id"], name=op.f("fk_inclusions_group_id_groups"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_inclusions")),
    )
    with op.batch_alter_table("inclusions", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_inclusions_farm_id"), ["farm_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_inclusions_feed_id"), ["feed_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_inclusions_group_id"), ["group_id"], unique=False)
        batch_op.create_index("uq_inclusions_group_feed_day", ["group_id", "feed_id", "from_on"], unique=True)

    op.create_table(
        "items",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("checklist_id", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(length=40), nullable=True),
        sa.Column("title", sa.String(length=200), nullable=False),
        sa.Column("place", sa.String(length=80), nullable=True),
        sa.Column("role", sa.String(length=16), nullable=True),
        sa.Column("owner", sa.String(length=80), nullable=True),
        sa.Column("days_before", sa.Integer(), nullable=True),
        sa.Column("due_on", sa.Date(), nullable=True),
        sa.Column("need", sa.Double(), nullable=True),
        sa.Column("have", sa.Double(), nullable=True),
        sa.Column("kind", sa.String(length=16), nullable=True),
        sa.Column("note", sa.String(length=2000), nullable=True),
        sa.Column("blocked_by_id", sa.Integer(), nullable=True),
        sa.Column("position", sa.Integer(), server_default=sa.text("0"), nullable=False),
        sa.Column("done_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("done_by_id", sa.Integer(), nullable=True),
        sa.Column("removed_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), server_default=sa.text("1"), nullable=False),
        sa.ForeignKeyConstraint(
            ["blocked_by_id"], ["items.id"], name=op.f("fk_items_blocked_by_id_items"), ondelete="SET NULL"
        ),
        sa.ForeignKeyConstraint(
            ["checklist_id"], ["checklists.id"], name=op.f("fk_items_checklist_id_checklists"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(["done_by_id"], ["accounts.id"], name=op.f("fk_items_done_by_id_accounts")),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_items_farm_id_farms"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_items")),
    )
    with op.batch_alter_table("items", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_items_checklist_id"), ["checklist_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_items_farm_id"), ["farm_id"], unique=False)

    op.create_table(
        "lots",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("feed_id", sa.Integer(), nullable=False),
        sa.Column("structure_id", sa.Integer(), nullable=True),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("year", sa.Integer(), nullable=True),
        sa.Column("cutting", sa.Integer(), nullable=True),
        sa.Column("use_class", sa.String(length=10), nullable=True),
        sa.Column("sealed_on", sa.Date(), nullable=True),
        sa.Column("opened_on", sa.Date(), nullable=True),
        sa.Column("dm_frac", sa.Double(), nullable=True),
        sa.Column("density_kg_m3", sa.Double(), nullable=True),
        sa.Column("remaining_loss_frac", sa.Double(), nullable=True),
        sa.Column("feedout_loss_frac", sa.Double(), nullable=True),
        sa.Column("note", sa.String(length=2000), nullable=True),
        sa.Column("position", sa.Integer(), server_default=sa.text("0"), nullable=False),
        sa.Column("used_up_on", sa.Date(), nullable=True),
        sa.Column("removed_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), server_default=sa.text("1"), nullable=False),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_lots_farm_id_farms"), ondelete="CASCADE"),
        sa.ForeignKeyConstraint(["feed_id"], ["feeds.id"], name=op.f("fk_lots_feed_id_feeds")),
        sa.ForeignKeyConstraint(["structure_id"], ["structures.id"], name=op.f("fk_lots_structure_id_structures")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_lots")),
    )
    with op.batch_alter_table("lots", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_lots_farm_id"), ["farm_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_lots_feed_id"), ["feed_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_lots_structure_id"), ["structure_id"], unique=False)

    op.create_table(
        "scoutings",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("field_id", sa.Integer(), nullable=False),
        sa.Column("scouted_on", sa.Date(), nullable=False),
        sa.Column("cutting", sa.Integer(), server_default=sa.text("1"), nullable=False),
        sa.Column("grass_frac", sa.Double(), nullable=True),
        sa.Column("grass_ndf_frac", sa.Double(), nullable=True),
        sa.Column("is_frosted", sa.Boolean(), server_default=sa.false(), nullable=False),
        sa.Column("is_lodged", sa.Boolean(), server_default=sa.false(), nullable=False),
        sa.Column("is_dry", sa.Boolean(), server_default=sa.false(), nullable=False),
        sa.Column("has_new_shoots", sa.Boolean(), server_default=sa.false(), nullable=False),
        sa.Column("note", sa.String(length=2000), nullable=True),
        sa.Column("corrects_id", sa.Integer(), nullable=True),
        sa.Column("is_withdrawn", sa.Boolean(), server_default=sa.false(), nullable=False),
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("noted_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("account_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["account_id"], ["accounts.id"], name=op.f("fk_scoutings_account_id_accounts")),
        sa.ForeignKeyConstraint(["corrects_id"], ["scoutings.id"], name=op.f("fk_scoutings_corrects_id_scoutings")),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_scoutings_farm_id_farms"), ondelete="CASCADE"),
        sa.ForeignKeyConstraint(
            ["field_id"], ["fields.id"], name=op.f("fk_scoutings_field_id_fields"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_scoutings")),
    )
    with op.batch_alter_table("scoutings", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_scoutings_farm_id"), ["farm_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_scoutings_field_id"), ["field_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_scoutings_scouted_on"), ["scouted_on"], unique=False)

    op.create_table(
        "sign_ins",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("account_id", sa.Integer(), nullable=False),
        sa.Column("farm_id", sa.Integer(), nullable=True),
        sa.Column("crew_link_id", sa.Integer(), nullable=True),
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("device", sa.String(length=80), server_default="", nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("seen_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("revoked_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["account_id"], ["accounts.id"], name=op.f("fk_sign_ins_account_id_accounts")),
        sa.ForeignKeyConstraint(
            ["crew_link_id"], ["crew_links.id"], name=op.f("fk_sign_ins_crew_link_id_crew_links"), ondelete="SET NULL"
        ),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_sign_ins_farm_id_farms"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sign_ins")),
        sa.UniqueConstraint("token_hash", name=op.f("uq_sign_ins_token_hash")),
    )
    with op.batch_alter_table("sign_ins", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_sign_ins_account_id"), ["account_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_sign_ins_farm_id"), ["farm_id"], unique=False)

    op.create_table(
        "stands",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("field_id", sa.Integer(), nullable=False),
        sa.Column("seeded_on", sa.Date(), nullable=True),
        sa.Column("is_reduced_lignin", sa.Boolean(), server_default=sa.false(), nullable=False),
        sa.Column("season_yield_kg_ha", sa.Double(), nullable=True),
        sa.Column("note", sa.String(length=2000), nullable=True),
        sa.Column("ended_on", sa.Date(), nullable=True),
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), server_default=sa.text("1"), nullable=False),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_stands_farm_id_farms"), ondelete="CASCADE"),
        sa.ForeignKeyConstraint(
            ["field_id"], ["fields.id"], name=op.f("fk_stands_field_id_fields"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_stands")),
    )
    with op.batch_alter_table("stands", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_stands_farm_id"), ["farm_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_stands_field_id"), ["field_id"], unique=False)

    op.create_table(
        "supplies",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("feed_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("on_hand_af_kg", sa.Double(), server_default=sa.text("0"), nullable=False),
        sa.Column("counted_on", sa.Date(), nullable=True),
        sa.Column("dm_frac", sa.Double(), nullable=True),
        sa.Column("ndf_frac", sa.Double(), nullable=True),
        sa.Column("cp_frac", sa.Double(), nullable=True),
        sa.Column("price_usd_kg_af", sa.Double(), nullable=True),
        sa.Column("note", sa.String(length=2000), nullable=True),
        sa.Column("removed_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), server_default=sa.text("1"), nullable=False),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_supplies_farm_id_farms"), ondelete="CASCADE"),
        sa.ForeignKeyConstraint(["feed_id"], ["feeds.id"], name=op.f("fk_supplies_feed_id_feeds")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_supplies")),
    )
    with op.batch_alter_table("supplies", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_supplies_farm_id"), ["farm_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_supplies_feed_id"), ["feed_id"], unique=False)

    op.create_table(
        "deliveries",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("supply_id", sa.Integer(), nullable=False),
        sa.Column("due_on", sa.Date(), nullable=False),
        sa.Column("mass_af_kg", sa.Double(), nullable=False),
        sa.Column("received_on", sa.Date(), nullable=True),
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), server_default=sa.text("1"), nullable=False),
        sa.ForeignKeyConstraint(
            ["farm_id"], ["farms.id"], name=op.f("fk_deliveries_farm_id_farms"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["supply_id"], ["supplies.id"], name=op.f("fk_deliveries_supply_id_supplies"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_deliveries")),
    )
    with op.batch_alter_table("deliveries", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_deliveries_farm_id"), ["farm_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_deliveries_supply_id"), ["supply_id"], unique=False)

    op.create_table(
        "feedouts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("lot_id", sa.Integer(), nullable=False),
        sa.Column("from_on", sa.Date(), nullable=False),
        sa.Column("to_on", sa.Date(), nullable=False),
        sa.Column("mass_af_kg", sa.Double(), nullable=False),
        sa.Column("thrown_af_kg", sa.Double(), server_default=sa.text("0"), nullable=False),
        sa.Column("dm_frac", sa.Double(), nullable=True),
        sa.Column("note", sa.String(length=2000), nullable=True),
        sa.Column("corrects_id", sa.Integer(), nullable=True),
        sa.Column("is_withdrawn", sa.Boolean(), server_default=sa.false(), nullable=False),
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("noted_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("account_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["account_id"], ["accounts.id"], name=op.f("fk_feedouts_account_id_accounts")),
        sa.ForeignKeyConstraint(["corrects_id"], ["feedouts.id"], name=op.f("fk_feedouts_corrects_id_feedouts")),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_feedouts_farm_id_farms"), ondelete="CASCADE"),
        sa.ForeignKeyConstraint(["lot_id"], ["lots.id"], name=op.f("fk_feedouts_lot_id_lots"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_feedouts")),
    )
    with op.batch_alter_table("feedouts", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_feedouts_farm_id"), ["farm_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_feedouts_lot_id"), ["lot_id"], unique=False)

    op.create_table(
        "loads",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("lot_id", sa.Integer(), nullable=False),
        sa.Column("field_id", sa.Integer(), nullable=True),
        sa.Column("loaded_on", sa.Date(), nullable=False),
        sa.Column("mass_af_kg", sa.Double(), nullable=False),
        sa.Column("dm_frac", sa.Double(), nullable=True),
        sa.Column("note", sa.String(length=2000), nullable=True),
        sa.Column("corrects_id", sa.Integer(), nullable=True),
        sa.Column("is_withdrawn", sa.Boolean(), server_default=sa.false(), nullable=False),
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("noted_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("account_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["account_id"], ["accounts.id"], name=op.f("fk_loads_account_id_accounts")),
        sa.ForeignKeyConstraint(["corrects_id"], ["loads.id"], name=op.f("fk_loads_corrects_id_loads")),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_loads_farm_id_farms"), ondelete="CASCADE"),
        sa.ForeignKeyConstraint(["field_id"], ["fields.id"], name=op.f("fk_loads_field_id_fields")),
        sa.ForeignKeyConstraint(["lot_id"], ["lots.id"], name=op.f("fk_loads_lot_id_lots"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_loads")),
    )
    with op.batch_alter_table("loads", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_loads_farm_id"), ["farm_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_loads_lot_id"), ["lot_id"], unique=False)

    op.create_table(
        "lot_measurements",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("lot_id", sa.Integer(), nullable=False),
        sa.Column("measured_on", sa.Date(), nullable=False),
        sa.Column("method", sa.String(length=10), nullable=False),
        sa.Column("length_m", sa.Double(), nullable=True),
        sa.Column("width_m", sa.Double(), nullable=True),
        sa.Column("height_m", sa.Double(), nullable=True),
        sa.Column("volume_m3", sa.Double(), nullable=True),
        sa.Column("bales_count", sa.Integer(), nullable=True),
        sa.Column("bale_weight_kg", sa.Double(), nullable=True),
        sa.Column("mass_af_kg", sa.Double(), nullable=True),
        sa.Column("mass_dm_kg", sa.Double(), nullable=True),
        sa.Column("dm_frac", sa.Double(), nullable=True),
        sa.Column("density_kg_m3", sa.Double(), nullable=True),
        sa.Column("note", sa.String(length=2000), nullable=True),
        sa.Column("corrects_id", sa.Integer(), nullable=True),
        sa.Column("is_withdrawn", sa.Boolean(), server_default=sa.false(), nullable=False),
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("noted_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("account_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["account_id"], ["accounts.id"], name=op.f("fk_lot_measurements_account_id_accounts")),
        sa.ForeignKeyConstraint(
            ["corrects_id"], ["lot_measurements.id"], name=op.f("fk_lot_measurements_corrects_id_lot_measurements")
        ),
        sa.ForeignKeyConstraint(
            ["farm_id"], ["farms.id"], name=op.f("fk_lot_measurements_farm_id_farms"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["lot_id"], ["lots.id"], name=op.f("fk_lot_measurements_lot_id_lots"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_lot_measurements")),
    )
    with op.batch_alter_table("lot_measurements", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_lot_measurements_farm_id"), ["farm_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_lot_measurements_lot_id"), ["lot_id"], unique=False)

    op.create_table(
        "samples",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("lot_id", sa.Integer(), nullable=True),
        sa.Column("field_id", sa.Integer(), nullable=True),
        sa.Column("sampled_on", sa.Date(), nullable=False),
        sa.Column("received_on", sa.Date(), nullable=True),
        sa.Column("lab", sa.String(length=80), nullable=True),
        sa.Column("lab_ref", sa.String(length=80), nullable=True),
        sa.Column("note", sa.String(length=2000), nullable=True),
        sa.Column("removed_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), server_default=sa.text("1"), nullable=False),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_samples_farm_id_farms"), ondelete="CASCADE"),
        sa.ForeignKeyConstraint(
            ["field_id"], ["fields.id"], name=op.f("fk_samples_field_id_fields"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(["lot_id"], ["lots.id"], name=op.f("fk_samples_lot_id_lots"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_samples")),
    )
    with op.batch_alter_table("samples", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_samples_farm_id"), ["farm_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_samples_field_id"), ["field_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_samples_lot_id"), ["lot_id"], unique=False)

    op.create_table(
        "scouting_spots",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("scouting_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("height_cm", sa.Double(), nullable=False),
        sa.Column("stage", sa.String(length=12), nullable=False),
        sa.Column("latitude", sa.Double(), nullable=True),
        sa.Column("longitude", sa.Double(), nullable=True),
        sa.CheckConstraint("stage in ('vegetative', 'bud', 'flower')", name=op.f("ck_scouting_spots_stage")),
        sa.CheckConstraint("height_cm > 0", name=op.f("ck_scouting_spots_height")),
        sa.ForeignKeyConstraint(
            ["scouting_id"], ["scoutings.id"], name=op.f("fk_scouting_spots_scouting_id_scoutings"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_scouting_spots")),
    )
    with op.batch_alter_table("scouting_spots", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_scouting_spots_scouting_id"), ["scouting_id"], unique=False)

    op.create_table(
        "stand_counts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("stand_id", sa.Integer(), nullable=False),
        sa.Column("counted_on", sa.Date(), nullable=False),
        sa.Column("stems_per_m2", sa.Double(), nullable=True),
        sa.Column("root_score", sa.Double(), nullable=True),
        sa.Column("spots_count", sa.Integer(), nullable=True),
        sa.Column("note", sa.String(length=2000), nullable=True),
        sa.Column("corrects_id", sa.Integer(), nullable=True),
        sa.Column("is_withdrawn", sa.Boolean(), server_default=sa.false(), nullable=False),
        sa.Column("farm_id", sa.Integer(), nullable=False),
        sa.Column("noted_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("account_id", sa.Integer(), nullable=True),
        sa.CheckConstraint("stems_per_m2 is null or stems_per_m2 >= 0", name=op.f("ck_stand_counts_stems")),
        sa.ForeignKeyConstraint(["account_id"], ["accounts.id"], name=op.f("fk_stand_counts_account_id_accounts")),
        sa.ForeignKeyConstraint(
            ["corrects_id"], ["stand_counts.id"], name=op.f("fk_stand_counts_corrects_id_stand_counts")
        ),
        sa.ForeignKeyConstraint(
            ["farm_id"], ["farms.id"], name=op.f("fk_stand_counts_farm_id_farms"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["stand_id"], ["stands.id"], name=op.f("fk_stand_counts_stand_id_stands"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_stand_counts")),
    )
    with op.batch_alter_table("stand_counts", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_stand_counts_farm_id"), ["farm_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_stand_counts_stand_id"), ["stand_id"], unique=False)

    op.create_table(
        "stand_species",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("stand_id", sa.Integer(), nullable=False),
        sa.Column("species", sa.String(length=32), nullable=False),
        sa.Column("share_frac", sa.Double(), nullable=False),
        sa.CheckConstraint("share_frac > 0 and share_frac <= 1", name=op.f("ck_stand_species_share")),
        sa.ForeignKeyConstraint(
            ["stand_id"], ["stands.id"], name=op.f("fk_stand_species_stand_id_stands"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_stand_species")),
    )
    with op.batch_alter_table("stand_species", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_stand_species_stand_id"), ["stand_id"], unique=False)
        batch_op.create_index("uq_stand_species_stand_species", ["stand_id", "species"], unique=True)

    op.create_table(
        "sample_values",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("sample_id", sa.Integer(), nullable=False),
        sa.Column("analyte", sa.String(length=16), nullable=False),
        sa.Column("hours", sa.Integer(), server_default=sa.text("0"), nullable=False),
        sa.Column("value", sa.Double(), nullable=False),
        sa.Column("method", sa.String(length=8), server_default="", nullable=False),
        sa.Column("typed_value", sa.String(length=40), server_default="", nullable=False),
        sa.Column("typed_unit", sa.String(length=16), server_default="", nullable=False),
        sa.Column("typed_basis", sa.String(length=8), server_default="", nullable=False),
        sa.ForeignKeyConstraint(
            ["sample_id"], ["samples.id"], name=op.f("fk_sample_values_sample_id_samples"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sample_values")),
    )
    with op.batch_alter_table("sample_values", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_sample_values_sample_id"), ["sample_id"], unique=False)
        batch_op.create_index("uq_sample_values_sample_analyte", ["sample_id", "analyte", "hours"], unique=True)


def downgrade() -> None:
    with op.batch_alter_table("sample_values", schema=None) as batch_op:
        batch_op.drop_index("uq_sample_values_sample_analyte")
        batch_op.drop_index(batch_op.f("ix_sample_values_sample_id"))

    op.drop_table("sample_values")
    with op.batch_alter_table("stand_species", schema=None) as batch_op:
        batch_op.drop_index("uq_stand_species_stand_species")
        batch_op.drop_index(batch_op.f("ix_stand_species_stand_id"))

    op.drop_table("stand_species")
    with op.batch_alter_table("stand_counts", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_stand_counts_stand_id"))
        batch_op.drop_index(batch_op.f("ix_stand_counts_farm_id"))

    op.drop_table("stand_counts")
    with op.batch_alter_table("scouting_spots", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_scouting_spots_scouting_id"))

    op.drop_table("scouting_spots")
    with op.batch_alter_table("samples", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_samples_lot_id"))
        batch_op.drop_index(batch_op.f("ix_samples_field_id"))
        batch_op.drop_index(batch_op.f("ix_samples_farm_id"))

    op.drop_table("samples")
    with op.batch_alter_table("lot_measurements", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_lot_measurements_lot_id"))
        batch_op.drop_index(batch_op.f("ix_lot_measurements_farm_id"))

    op.drop_table("lot_measurements")
    with op.batch_alter_table("loads", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_loads_lot_id"))
        batch_op.drop_index(batch_op.f("ix_loads_farm_id"))

    op.drop_table("loads")
    with op.batch_alter_table("feedouts", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_feedouts_lot_id"))
        batch_op.drop_index(batch_op.f("ix_feedouts_farm_id"))

    op.drop_table("feedouts")
    with op.batch_alter_table("deliveries", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_deliveries_supply_id"))
        batch_op.drop_index(batch_op.f("ix_deliveries_farm_id"))

    op.drop_table("deliveries")
    with op.batch_alter_table("supplies", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_supplies_feed_id"))
        batch_op.drop_index(batch_op.f("ix_supplies_farm_id"))

    op.drop_table("supplies")
    with op.batch_alter_table("stands", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_stands_field_id"))
        batch_op.drop_index(batch_op.f("ix_stands_farm_id"))

    op.drop_table("stands")
    with op.batch_alter_table("sign_ins", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_sign_ins_farm_id"))
        batch_op.drop_index(batch_op.f("ix_sign_ins_account_id"))

    op.drop_table("sign_ins")
    with op.batch_alter_table("scoutings", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_scoutings_scouted_on"))
        batch_op.drop_index(batch_op.f("ix_scoutings_field_id"))
        batch_op.drop_index(batch_op.f("ix_scoutings_farm_id"))

    op.drop_table("scoutings")
    with op.batch_alter_table("lots", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_lots_structure_id"))
        batch_op.drop_index(batch_op.f("ix_lots_feed_id"))
        batch_op.drop_index(batch_op.f("ix_lots_farm_id"))

    op.drop_table("lots")
    with op.batch_alter_table("items", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_items_farm_id"))
        batch_op.drop_index(batch_op.f("ix_items_checklist_id"))

    op.drop_table("items")
    with op.batch_alter_table("inclusions", schema=None) as batch_op:
        batch_op.drop_index("uq_inclusions_group_feed_day")
        batch_op.drop_index(batch_op.f("ix_inclusions_group_id"))
        batch_op.drop_index(batch_op.f("ix_inclusions_feed_id"))
        batch_op.drop_index(batch_op.f("ix_inclusions_farm_id"))

    op.drop_table("inclusions")
    with op.batch_alter_table("head_changes", schema=None) as batch_op:
        batch_op.drop_index("uq_head_changes_group_day")
        batch_op.drop_index(batch_op.f("ix_head_changes_group_id"))
        batch_op.drop_index(batch_op.f("ix_head_changes_farm_id"))

    op.drop_table("head_changes")
    with op.batch_alter_table("days", schema=None) as batch_op:
        batch_op.drop_index("uq_days_station_day")

    op.drop_table("days")
    with op.batch_alter_table("uploads", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_uploads_farm_id"))

    op.drop_table("uploads")
    with op.batch_alter_table("structures", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_structures_farm_id"))

    op.drop_table("structures")
    with op.batch_alter_table("stations", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_stations_farm_id"))

    op.drop_table("stations")
    with op.batch_alter_table("snapshots", schema=None) as batch_op:
        batch_op.drop_index("uq_snapshots_farm_name")
        batch_op.drop_index(batch_op.f("ix_snapshots_farm_id"))

    op.drop_table("snapshots")
    with op.batch_alter_table("sendings", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_sendings_at"))

    op.drop_table("sendings")
    with op.batch_alter_table("memberships", schema=None) as batch_op:
        batch_op.drop_index("uq_memberships_farm_account")
        batch_op.drop_index(batch_op.f("ix_memberships_farm_id"))
        batch_op.drop_index(batch_op.f("ix_memberships_account_id"))

    op.drop_table("memberships")
    with op.batch_alter_table("machines", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_machines_farm_id"))

    op.drop_table("machines")
    with op.batch_alter_table("invitations", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_invitations_farm_id"))

    op.drop_table("invitations")
    with op.batch_alter_table("groups", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_groups_farm_id"))

    op.drop_table("groups")
    with op.batch_alter_table("fields", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_fields_farm_id"))

    op.drop_table("fields")
    with op.batch_alter_table("feeds", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_feeds_farm_id"))

    op.drop_table("feeds")
    with op.batch_alter_table("farm_values", schema=None) as batch_op:
        batch_op.drop_index("uq_farm_values_farm_key")
        batch_op.drop_index(batch_op.f("ix_farm_values_farm_id"))

    op.drop_table("farm_values")
    with op.batch_alter_table("decisions", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_decisions_farm_id"))

    op.drop_table("decisions")
    with op.batch_alter_table("cuttings", schema=None) as batch_op:
        batch_op.drop_index("uq_cuttings_farm_year_number")
        batch_op.drop_index(batch_op.f("ix_cuttings_farm_id"))

    op.drop_table("cuttings")
    with op.batch_alter_table("cutting_shares", schema=None) as batch_op:
        batch_op.drop_index("uq_cutting_shares_farm_number")
        batch_op.drop_index(batch_op.f("ix_cutting_shares_farm_id"))

    op.drop_table("cutting_shares")
    with op.batch_alter_table("crew_links", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_crew_links_farm_id"))

    op.drop_table("crew_links")
    with op.batch_alter_table("checklists", schema=None) as batch_op:
        batch_op.drop_index("uq_checklists_farm_year_cutting")
        batch_op.drop_index(batch_op.f("ix_checklists_farm_id"))

    op.drop_table("checklists")
    with op.batch_alter_table("changes", schema=None) as batch_op:
        batch_op.drop_index("uq_changes_farm_seq")
        batch_op.drop_index("ix_changes_noun_row")
        batch_op.drop_index(batch_op.f("ix_changes_farm_id"))

    op.drop_table("changes")
    with op.batch_alter_table("api_tokens", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_api_tokens_account_id"))

    op.drop_table("api_tokens")
    op.drop_table("setup_links")
    op.drop_table("farms")
    with op.batch_alter_table("failed_attempts", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_failed_attempts_who"))
        batch_op.drop_index(batch_op.f("ix_failed_attempts_at"))

    op.drop_table("failed_attempts")
    op.drop_table("accounts")
