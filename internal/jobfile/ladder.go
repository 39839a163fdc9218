package jobfile

import (
	"context"
	"database/sql"
	"fmt"
)

// applicationID marks the file as a job in SQLite's header: "FOIL".
const applicationID = 0x464f494c

// rung takes a file from one format to the next. Rungs are only ever added: a
// file of every older format climbs through all that follow.
type rung struct {
	why string
	sql string
}

// ladder lists the rungs; the format of a file is the number of rungs it has
// climbed.
func ladder() []rung {
	return []rung{
		{"the document, its history, and photos by content", `
CREATE TABLE document (
	id       INTEGER PRIMARY KEY CHECK (id = 1),
	revision INTEGER NOT NULL,
	done     INTEGER NOT NULL,
	json     TEXT NOT NULL
) STRICT;
CREATE TABLE history (
	step    INTEGER PRIMARY KEY,
	time    TEXT NOT NULL,
	label   TEXT NOT NULL,
	command TEXT NOT NULL
) STRICT;
CREATE TABLE photo (
	sha256     TEXT PRIMARY KEY,
	name       TEXT NOT NULL,
	media_type TEXT NOT NULL,
	data       BLOB NOT NULL
) STRICT;
INSERT INTO document VALUES (1, 0, 0, '{"parts":{}}');`},
		{"results remembered by what they were computed from", `
CREATE TABLE result (
	seq  INTEGER PRIMARY KEY,
	key  TEXT NOT NULL UNIQUE,
	data BLOB NOT NULL
) STRICT;`},
		{"the text that the job came from, for its comments", `
ALTER TABLE document ADD COLUMN text TEXT NOT NULL DEFAULT '';`},
	}
}

// climb brings the file from one format up to another in one transaction.
func climb(ctx context.Context, db *sql.DB, from, to int) error {
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	for _, r := range ladder()[from:to] {
		if _, err := tx.ExecContext(ctx, r.sql); err != nil {
			return fmt.Errorf("%s: %w", r.why, err)
		}
	}
	marks := fmt.Sprintf("PRAGMA application_id = %d; PRAGMA user_version = %d", applicationID, to)
	if _, err := tx.ExecContext(ctx, marks); err != nil {
		return err
	}
	return tx.Commit()
}

// newest is the format that this program writes.
func newest() int { return len(ladder()) }
