-- A database of version 1, before there was a journal.
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

INSERT INTO rig VALUES
    ('aaaaaaaaaaaaaaaaaaaaaaaaaa', 2, '2026-01-01T10:00:00.000Z', NULL),
    ('bbbbbbbbbbbbbbbbbbbbbbbbbb', 1, '2026-01-02T10:00:00.000Z', '2026-01-03T10:00:00.000Z');
INSERT INTO revision VALUES
    ('aaaaaaaaaaaaaaaaaaaaaaaaaa', 1, 'cccccccccccccccccccccccccc', 0, '2026-01-01T10:00:00.000Z', 'Bench mule', '', 'page', 'a = 1' || char(10)),
    ('aaaaaaaaaaaaaaaaaaaaaaaaaa', 2, 'dddddddddddddddddddddddddd', 1, '2026-01-01T11:00:00.000Z', 'Bench mule', '', 'page', 'a = 2' || char(10)),
    ('bbbbbbbbbbbbbbbbbbbbbbbbbb', 1, 'eeeeeeeeeeeeeeeeeeeeeeeeee', 0, '2026-01-02T10:00:00.000Z', 'Shed truck', '', 'page', 'b = 1' || char(10));
PRAGMA application_id = 0x45764c6b;
PRAGMA user_version = 1;
