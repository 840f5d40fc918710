"""The tables that hold what must not be lost; projections are in a module of their own."""

import sqlalchemy as sa

# The last migration this program knows; migrations are numbered, so that a newer book can be told.
SCHEMA = "0002"

METADATA = sa.MetaData()

ENTRY = sa.Table(
    "entry",
    METADATA,
    sa.Column("id", sa.String(36), primary_key=True),
    sa.Column("origin", sa.String(64), nullable=False),
    sa.Column("sequence", sa.BigInteger, nullable=False),
    sa.Column("job", sa.String(36), nullable=False),
    sa.Column("wall_ms", sa.BigInteger, nullable=False),
    sa.Column("counter", sa.BigInteger, nullable=False),
    sa.Column("hash", sa.String(64), nullable=False),
    sa.Column("stored", sa.LargeBinary, nullable=False),
    sa.UniqueConstraint("origin", "sequence", name="entry_origin_sequence"),
    sa.Index("entry_job", "job", "wall_ms", "counter"),
    sa.Index("entry_clock", "wall_ms", "counter"),
    sa.Index("entry_chain", "origin", "job", "sequence"),
)

# Facts about the book itself, such as the version of its projections.
ABOUT = sa.Table(
    "about",
    METADATA,
    sa.Column("name", sa.String(64), primary_key=True),
    sa.Column("value", sa.Text, nullable=False),
)

# Devices let in from the network; of their secret only the hash.
DEVICE = sa.Table(
    "device",
    METADATA,
    sa.Column("id", sa.String(36), primary_key=True),
    sa.Column("name", sa.String(80), nullable=False),
    sa.Column("secret_hash", sa.String(64), nullable=False),
    sa.Column("paired_ms", sa.BigInteger, nullable=False),
    sa.Column("seen_ms", sa.BigInteger, nullable=False),
    sa.UniqueConstraint("secret_hash", name="device_secret_hash"),
)
