-- +goose Up
CREATE TABLE ledger_end (
    id   INTEGER PRIMARY KEY CHECK (id = 1),
    seq  INTEGER NOT NULL,
    hash TEXT    NOT NULL
) STRICT;
INSERT INTO ledger_end (id, seq, hash)
VALUES (1, 0, '0000000000000000000000000000000000000000000000000000000000000000');

CREATE TABLE event (
    seq     INTEGER PRIMARY KEY,
    case_id TEXT    NOT NULL,
    n       INTEGER NOT NULL,
    at      INTEGER NOT NULL, -- milliseconds since 1970, UTC
    actor   TEXT    NOT NULL,
    kind    TEXT    NOT NULL,
    body    TEXT    NOT NULL, -- one JSON object
    hash    TEXT    NOT NULL,
    UNIQUE (case_id, n)
) STRICT;

-- +goose StatementBegin
CREATE TRIGGER event_is_never_altered BEFORE UPDATE ON event
BEGIN SELECT RAISE(ABORT, 'the ledger is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER event_is_never_removed BEFORE DELETE ON event
BEGIN SELECT RAISE(ABORT, 'the ledger is append-only'); END;
-- +goose StatementEnd

CREATE TABLE case_now (
    case_id TEXT    PRIMARY KEY,
    n       INTEGER NOT NULL,
    at      INTEGER NOT NULL,
    find    TEXT    NOT NULL,
    state   TEXT    NOT NULL
) STRICT;
CREATE INDEX case_now_at ON case_now (at);

CREATE TABLE once (
    key    TEXT    PRIMARY KEY,
    at     INTEGER NOT NULL,
    answer TEXT    NOT NULL
) STRICT;
