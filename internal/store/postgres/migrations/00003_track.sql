-- +goose Up
-- What a board needs of each case, computed from its events and written with them.
CREATE TABLE case_track (
    case_id TEXT    PRIMARY KEY,
    seq     BIGINT  NOT NULL, -- place of the change in the ledger
    form    BIGINT  NOT NULL, -- of the facts: what another version wrote is computed anew
    facts   TEXT    NOT NULL
);
CREATE INDEX case_track_seq ON case_track (seq);

CREATE INDEX event_kind ON event (kind, seq);
