"""Devices that were let in from the network."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    op.create_table(
        "device",
        sa.Column("id", sa.String(36), primary_key=True),
        sa.Column("name", sa.String(80), nullable=False),
        sa.Column("secret_hash", sa.String(64), nullable=False),
        sa.Column("paired_ms", sa.BigInteger, nullable=False),
        sa.Column("seen_ms", sa.BigInteger, nullable=False),
        sa.UniqueConstraint("secret_hash", name="device_secret_hash"),
    )
