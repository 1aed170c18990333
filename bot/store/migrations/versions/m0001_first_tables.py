"""The first tables: people and chats, inbox and notes, the care log, its projections, the outbox."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

KEY = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
OPEN = sa.text("state = 'open'")
WAITING = sa.text("state = 'waiting'")
QUESTION = sa.text("question_state = 'open'")
APPEND_ONLY = ("care_log", "care_log_refs")


def upgrade() -> None:
    """Create everything in an empty database."""
    _create_people()
    _create_messages()
    _create_log()
    _create_projections()
    _create_outbox()
    _forbid_changes_to_the_log()


def _create_people() -> None:
    op.create_table(
        "collections",
        sa.Column("id", KEY, nullable=False),
        sa.Column("public_id", sa.Text(), nullable=False),
        sa.Column("settings", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_collections"),
        sa.UniqueConstraint("public_id", name="uq_collections_public_id"),
    )
    op.create_table(
        "people",
        sa.Column("id", KEY, nullable=False),
        sa.Column("public_id", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_people"),
        sa.UniqueConstraint("public_id", name="uq_people_public_id"),
    )
    op.create_table(
        "accounts",
        sa.Column("transport", sa.Text(), nullable=False),
        sa.Column("sender", sa.Text(), nullable=False),
        sa.Column("person_id", KEY, nullable=False),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name="fk_accounts_person_id"),
        sa.PrimaryKeyConstraint("transport", "sender", name="pk_accounts"),
    )
    op.create_index("ix_accounts_person_id", "accounts", ["person_id"])
    op.create_table(
        "members",
        sa.Column("collection_id", KEY, nullable=False),
        sa.Column("person_id", KEY, nullable=False),
        sa.Column("role", sa.Text(), nullable=False),
        sa.CheckConstraint("role IN ('owner', 'helper', 'guest')", name="role"),
        sa.ForeignKeyConstraint(["collection_id"], ["collections.id"], name="fk_members_collection_id"),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name="fk_members_person_id"),
        sa.PrimaryKeyConstraint("collection_id", "person_id", name="pk_members"),
    )
    op.create_index("ix_members_person_id", "members", ["person_id"])
    op.create_table(
        "chats",
        sa.Column("id", KEY, nullable=False),
        sa.Column("transport", sa.Text(), nullable=False),
        sa.Column("address", sa.Text(), nullable=False),
        sa.Column("person_id", KEY, nullable=False),
        sa.Column("collection_id", KEY, nullable=False),
        sa.Column("talk", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["collection_id"], ["collections.id"], name="fk_chats_collection_id"),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name="fk_chats_person_id"),
        sa.PrimaryKeyConstraint("id", name="pk_chats"),
        sa.UniqueConstraint("transport", "address", name="uq_chats_transport_address"),
    )
    op.create_index("ix_chats_collection_id", "chats", ["collection_id"])
    op.create_index("ix_chats_person_id", "chats", ["person_id"])


def _create_messages() -> None:
    op.create_table(
        "inbox",
        sa.Column("id", KEY, nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("update_key", sa.Text(), nullable=False),
        sa.Column("transport", sa.Text(), nullable=False),
        sa.Column("address", sa.Text(), nullable=False),
        sa.Column("sender", sa.Text(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("sent_at", sa.BigInteger(), nullable=False),
        sa.Column("message_key", sa.Text(), nullable=False),
        sa.Column("reply_to", sa.Text(), nullable=False),
        sa.Column("raw", sa.Text(), nullable=False),
        sa.Column("got_at", sa.BigInteger(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("done_at", sa.BigInteger(), nullable=True),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.Column("leased_by", sa.Text(), nullable=True),
        sa.Column("leased_until", sa.BigInteger(), nullable=True),
        sa.Column("error", sa.Text(), nullable=True),
        sa.CheckConstraint("state IN ('open', 'done', 'poison')", name="state"),
        sa.PrimaryKeyConstraint("id", name="pk_inbox"),
        sa.UniqueConstraint("source", "update_key", name="uq_inbox_source_update_key"),
    )
    op.create_index("ix_inbox_message", "inbox", ["transport", "address", "message_key"])
    op.create_index("ix_inbox_open", "inbox", ["transport", "address", "id"], sqlite_where=OPEN, postgresql_where=OPEN)
    op.create_index("ix_inbox_open_in_order", "inbox", ["id"], sqlite_where=OPEN, postgresql_where=OPEN)
    op.create_table(
        "notes",
        sa.Column("id", KEY, nullable=False),
        sa.Column("inbox_id", KEY, nullable=True),
        sa.Column("collection_id", KEY, nullable=False),
        sa.Column("person_id", KEY, nullable=False),
        sa.Column("chat_id", KEY, nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("sent_at", sa.BigInteger(), nullable=False),
        sa.Column("reading", sa.Text(), nullable=False),
        sa.Column("decision", sa.Text(), nullable=False),
        sa.Column("ask", sa.Text(), nullable=True),
        sa.Column("choices", sa.Text(), nullable=False),
        sa.Column("question_state", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["chat_id"], ["chats.id"], name="fk_notes_chat_id"),
        sa.ForeignKeyConstraint(["collection_id"], ["collections.id"], name="fk_notes_collection_id"),
        sa.ForeignKeyConstraint(["inbox_id"], ["inbox.id"], name="fk_notes_inbox_id"),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name="fk_notes_person_id"),
        sa.PrimaryKeyConstraint("id", name="pk_notes"),
        sa.UniqueConstraint("inbox_id", name="uq_notes_inbox_id"),
    )
    op.create_index("ix_notes_chat", "notes", ["chat_id", "id"])
    op.create_index("ix_notes_journal", "notes", ["collection_id", "sent_at"])
    op.create_index("ix_notes_open_question", "notes", ["chat_id"], unique=True, sqlite_where=QUESTION, postgresql_where=QUESTION)


def _create_log() -> None:
    op.create_table(
        "care_log",
        sa.Column("collection_id", KEY, nullable=False),
        sa.Column("sequence", sa.BigInteger(), autoincrement=False, nullable=False),
        sa.Column("identity", sa.Text(), nullable=False),
        sa.Column("note_id", KEY, nullable=True),
        sa.Column("person_id", KEY, nullable=True),
        sa.Column("happened_on", sa.Date(), nullable=False),
        sa.Column("happened_at", sa.Time(), nullable=True),
        sa.Column("recorded_at", sa.BigInteger(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("facts", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["collection_id"], ["collections.id"], name="fk_care_log_collection_id"),
        sa.ForeignKeyConstraint(["note_id"], ["notes.id"], name="fk_care_log_note_id"),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name="fk_care_log_person_id"),
        sa.PrimaryKeyConstraint("collection_id", "sequence", name="pk_care_log"),
        sa.UniqueConstraint("identity", name="uq_care_log_identity"),
        sqlite_with_rowid=False,
    )
    op.create_index("ix_care_log_note_id", "care_log", ["note_id"])
    op.create_table(
        "care_log_refs",
        sa.Column("collection_id", sa.BigInteger(), nullable=False),
        sa.Column("sequence", sa.BigInteger(), autoincrement=False, nullable=False),
        sa.Column("position", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("count", sa.BigInteger(), nullable=True),
        sa.ForeignKeyConstraint(
            ["collection_id", "sequence"],
            ["care_log.collection_id", "care_log.sequence"],
            name="fk_care_log_refs_collection_id_sequence",
        ),
        sa.PrimaryKeyConstraint("collection_id", "sequence", "position", name="pk_care_log_refs"),
        sqlite_with_rowid=False,
    )
    op.create_index("ix_care_log_refs_thing", "care_log_refs", ["collection_id", "kind", "key", "sequence"])


def _create_projections() -> None:
    op.create_table(
        "standing",
        sa.Column("collection_id", KEY, nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["collection_id"], ["collections.id"], name="fk_standing_collection_id"),
        sa.PrimaryKeyConstraint("collection_id", "kind", "key", name="pk_standing"),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "due",
        sa.Column("collection_id", KEY, nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("on", sa.Date(), nullable=False),
        sa.Column("until", sa.Date(), nullable=True),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("made_on", sa.Date(), nullable=False),
        sa.ForeignKeyConstraint(["collection_id"], ["collections.id"], name="fk_due_collection_id"),
        sa.PrimaryKeyConstraint("collection_id", "key", name="pk_due"),
        sqlite_with_rowid=False,
    )
    op.create_index("ix_due_on", "due", ["collection_id", "on", "key"])
    op.create_table(
        "projection",
        sa.Column("collection_id", KEY, nullable=False),
        sa.Column("sequence", sa.BigInteger(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["collection_id"], ["collections.id"], name="fk_projection_collection_id"),
        sa.PrimaryKeyConstraint("collection_id", name="pk_projection"),
    )


def _create_outbox() -> None:
    op.create_table(
        "outbox",
        sa.Column("id", KEY, nullable=False),
        sa.Column("dedup_key", sa.Text(), nullable=False),
        sa.Column("chat_id", KEY, nullable=False),
        sa.Column("note_id", KEY, nullable=True),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("buttons", sa.Text(), nullable=False),
        sa.Column("created_at", sa.BigInteger(), nullable=False),
        sa.Column("send_after", sa.BigInteger(), nullable=False),
        sa.Column("ready_at", sa.BigInteger(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.Column("sent_key", sa.Text(), nullable=True),
        sa.Column("sent_at", sa.BigInteger(), nullable=True),
        sa.Column("error", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["chat_id"], ["chats.id"], name="fk_outbox_chat_id"),
        sa.ForeignKeyConstraint(["note_id"], ["notes.id"], name="fk_outbox_note_id"),
        sa.CheckConstraint("state IN ('waiting', 'sent', 'failed')", name="state"),
        sa.PrimaryKeyConstraint("id", name="pk_outbox"),
        sa.UniqueConstraint("dedup_key", name="uq_outbox_dedup_key"),
    )
    op.create_index("ix_outbox_note_id", "outbox", ["note_id"])
    op.create_index("ix_outbox_sent_key", "outbox", ["chat_id", "sent_key"])
    op.create_index("ix_outbox_waiting", "outbox", ["ready_at"], sqlite_where=WAITING, postgresql_where=WAITING)
    op.create_index(
        "ix_outbox_waiting_in_chat", "outbox", ["chat_id", "send_after", "id"], sqlite_where=WAITING, postgresql_where=WAITING
    )


def _forbid_changes_to_the_log() -> None:
    if op.get_bind().dialect.name == "sqlite":
        for table in APPEND_ONLY:
            for change in ("update", "delete"):
                op.execute(
                    f"CREATE TRIGGER {table}_no_{change} BEFORE {change.upper()} ON {table} "
                    "BEGIN SELECT RAISE(ABORT, 'the care log is append-only'); END"
                )
        return
    op.execute(
        "CREATE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS "
        "$$ BEGIN RAISE EXCEPTION 'the care log is append-only' USING ERRCODE = 'integrity_constraint_violation'; END $$"
    )
    for table in APPEND_ONLY:
        op.execute(
            f"CREATE TRIGGER {table}_no_change BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} "
            "FOR EACH STATEMENT EXECUTE FUNCTION refuse_change()"
        )
