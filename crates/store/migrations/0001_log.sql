-- The log. Nothing in it is ever changed or removed; what is current is worked out from it.
-- This file is final: a change of the tables is a new migration.

CREATE TABLE entry (
    site_id TEXT NOT NULL,
    still_id TEXT NOT NULL,
    run_id TEXT NOT NULL,
    number BIGINT NOT NULL,
    kind TEXT NOT NULL,
    payload_version BIGINT NOT NULL,
    measured_ms BIGINT NOT NULL,
    stored_ms BIGINT NOT NULL,
    payload TEXT NOT NULL,
    previous_digest TEXT NOT NULL,
    digest TEXT NOT NULL,
    PRIMARY KEY (run_id, number)
);

CREATE INDEX entry_by_kind ON entry (run_id, kind);

-- One line per run: how many entries it has and the digest of the last. The digest chain of the
-- first entries runs through all runs in the order of `ordinal`.
CREATE TABLE head (
    run_id TEXT NOT NULL PRIMARY KEY,
    ordinal BIGINT NOT NULL UNIQUE,
    entries BIGINT NOT NULL,
    digest TEXT NOT NULL,
    opening_digest TEXT NOT NULL
);

-- One line for the whole log: how many runs and entries, and the opening digest of the last run.
CREATE TABLE seal (
    id BIGINT NOT NULL PRIMARY KEY CHECK (id = 1),
    runs BIGINT NOT NULL,
    entries BIGINT NOT NULL,
    opening_digest TEXT NOT NULL
);

INSERT INTO seal (id, runs, entries, opening_digest) VALUES (1, 0, 0, '');

CREATE TRIGGER entry_is_not_changed BEFORE UPDATE ON entry
BEGIN SELECT RAISE(ABORT, 'an entry of the record is never changed: add a new one'); END;

CREATE TRIGGER entry_is_not_removed BEFORE DELETE ON entry
BEGIN SELECT RAISE(ABORT, 'an entry of the record is never removed: add a new one'); END;

CREATE TRIGGER entry_follows_the_last BEFORE INSERT ON entry
WHEN NEW.number <> 1 + COALESCE((SELECT MAX(number) FROM entry WHERE run_id = NEW.run_id), 0)
BEGIN SELECT RAISE(ABORT, 'an entry of the record follows the last one'); END;

CREATE TRIGGER head_only_grows BEFORE UPDATE ON head
WHEN NEW.run_id <> OLD.run_id OR NEW.ordinal <> OLD.ordinal OR NEW.entries <= OLD.entries
    OR NEW.opening_digest <> OLD.opening_digest
BEGIN SELECT RAISE(ABORT, 'a run of the record only grows'); END;

CREATE TRIGGER head_is_not_removed BEFORE DELETE ON head
BEGIN SELECT RAISE(ABORT, 'a run of the record is never removed'); END;

CREATE TRIGGER seal_only_grows BEFORE UPDATE ON seal
WHEN NEW.runs < OLD.runs OR NEW.entries < OLD.entries
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;

CREATE TRIGGER seal_is_not_removed BEFORE DELETE ON seal
BEGIN SELECT RAISE(ABORT, 'the seal of the record is never removed'); END;
