"""Entries, append only, and facts about the book."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    op.create_table(
        "entry",
        sa.Column("id", sa.String(36), primary_key=True),
        sa.Column("origin", sa.String(64), nullable=False),
        sa.Column("sequence", sa.BigInteger, nullable=False),
        sa.Column("job", sa.String(36), nullable=False),
        sa.Column("wall_ms", sa.BigInteger, nullable=False),
        sa.Column("counter", sa.BigInteger, nullable=False),
        sa.Column("hash", sa.String(64), nullable=False),
        sa.Column("stored", sa.LargeBinary, nullable=False),
        sa.UniqueConstraint("origin", "sequence", name="entry_origin_sequence"),
    )
    op.create_index("entry_job", "entry", ["job", "wall_ms", "counter"])
    op.create_index("entry_clock", "entry", ["wall_ms", "counter"])
    op.create_index("entry_chain", "entry", ["origin", "job", "sequence"])
    op.create_table(
        "about",
        sa.Column("name", sa.String(64), primary_key=True),
        sa.Column("value", sa.Text, nullable=False),
    )
    for statement in _APPEND_ONLY[op.get_bind().dialect.name]:
        op.execute(statement)


# No program, ours included, changes or removes an entry by mistake.
_APPEND_ONLY = {
    "sqlite": [
        f"CREATE TRIGGER entry_no_{change} BEFORE {change} ON entry "
        "BEGIN SELECT RAISE(ABORT, 'entries are never changed or removed'); END"
        for change in ("update", "delete")
    ],
    "postgresql": [
        "CREATE FUNCTION entry_is_append_only() RETURNS trigger LANGUAGE plpgsql AS "
        "$$ BEGIN RAISE EXCEPTION 'entries are never changed or removed'; END $$",
        "CREATE TRIGGER entry_append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON entry "
        "FOR EACH STATEMENT EXECUTE FUNCTION entry_is_append_only()",
    ],
}
