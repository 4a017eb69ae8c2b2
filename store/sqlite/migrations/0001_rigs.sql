-- Rigs and their revisions.
-- Times are text in UTC, as 2006-01-02T15:04:05.000Z.

CREATE TABLE rig (
    id      TEXT PRIMARY KEY,
    current INTEGER NOT NULL,  -- number of the current revision
    created TEXT NOT NULL,
    deleted TEXT               -- NULL unless the rig was put aside
) STRICT;

CREATE TABLE revision (
    rig    TEXT NOT NULL REFERENCES rig (id) ON DELETE CASCADE,
    number INTEGER NOT NULL,
    id     TEXT NOT NULL UNIQUE,
    parent INTEGER NOT NULL,   -- number of the revision it was made from, or 0
    saved  TEXT NOT NULL,
    name   TEXT NOT NULL,
    note   TEXT NOT NULL,
    by     TEXT NOT NULL,
    text   TEXT NOT NULL,      -- the rig file; last, so that lists need not read it
    UNIQUE (rig, number)
) STRICT;
