-- +goose Up
-- What proves who somebody is. It may be changed and removed, so it is no event.
CREATE TABLE credential (
    person TEXT   NOT NULL,
    kind   TEXT   NOT NULL,
    hash   TEXT   NOT NULL,
    set_by TEXT   NOT NULL, -- another than the person: it must be changed before it is used
    at     BIGINT NOT NULL, -- milliseconds since 1970, UTC
    PRIMARY KEY (person, kind)
);

-- How often somebody was wrong, and until when they wait.
CREATE TABLE attempt (
    key      TEXT   PRIMARY KEY,
    failures BIGINT NOT NULL,
    at       BIGINT NOT NULL,
    until    BIGINT NOT NULL
);

CREATE TABLE session (
    token  TEXT   PRIMARY KEY, -- the hash of what the browser holds
    data   BLOB   NOT NULL,
    expiry BIGINT NOT NULL
);
CREATE INDEX session_expiry ON session (expiry);
