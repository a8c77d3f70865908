-- +goose Up
CREATE TABLE ledger_end (
    id   INTEGER PRIMARY KEY CHECK (id = 1),
    seq  BIGINT  NOT NULL,
    hash TEXT    NOT NULL
);
INSERT INTO ledger_end (id, seq, hash)
VALUES (1, 0, '0000000000000000000000000000000000000000000000000000000000000000');

CREATE TABLE event (
    seq     BIGINT PRIMARY KEY,
    case_id TEXT   NOT NULL,
    n       BIGINT NOT NULL,
    at      BIGINT NOT NULL, -- milliseconds since 1970, UTC
    actor   TEXT   NOT NULL,
    kind    TEXT   NOT NULL,
    body    TEXT   NOT NULL, -- one JSON object, kept as text: its bytes are hashed
    hash    TEXT   NOT NULL,
    UNIQUE (case_id, n)
);

-- +goose StatementBegin
CREATE FUNCTION ledger_is_append_only() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'the ledger is append-only';
END $$;
-- +goose StatementEnd
CREATE TRIGGER event_is_never_altered BEFORE UPDATE OR DELETE ON event
FOR EACH ROW EXECUTE FUNCTION ledger_is_append_only();

CREATE TABLE case_now (
    case_id TEXT   PRIMARY KEY,
    n       BIGINT NOT NULL,
    at      BIGINT NOT NULL,
    find    TEXT   NOT NULL,
    state   TEXT   NOT NULL
);
CREATE INDEX case_now_at ON case_now (at);

CREATE TABLE once (
    key    TEXT   PRIMARY KEY,
    at     BIGINT NOT NULL,
    answer TEXT   NOT NULL
);
