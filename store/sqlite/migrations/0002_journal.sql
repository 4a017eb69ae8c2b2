-- The journal of each rig, settings, and the log by which other programs on
-- this database hear of changes.

CREATE TABLE entry (
    id       TEXT PRIMARY KEY,
    rig      TEXT NOT NULL REFERENCES rig (id) ON DELETE CASCADE,
    written  TEXT NOT NULL,
    kind     TEXT NOT NULL,
    revision INTEGER NOT NULL,
    step     TEXT NOT NULL,
    target   TEXT NOT NULL,
    text     TEXT NOT NULL,
    by       TEXT NOT NULL
) STRICT;

CREATE INDEX entry_by_rig ON entry (rig, written);

CREATE TABLE setting (
    key   TEXT PRIMARY KEY,
    value TEXT NOT NULL
) STRICT;

-- Only the newest rows are kept; see logged in the Go code.
CREATE TABLE change (
    seq      INTEGER PRIMARY KEY AUTOINCREMENT,
    what     TEXT NOT NULL,
    rig      TEXT NOT NULL,
    revision INTEGER NOT NULL
) STRICT;
