package jobfile

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"time"

	"foilside/internal/job"
)

// Save makes the change durable in one transaction.
func (f *File) Save(ctx context.Context, s job.Save) (int64, error) {
	revision := s.Revision + 1
	err := f.write(ctx, func(tx *sql.Tx) error {
		if err := checkSave(ctx, tx, s); err != nil {
			return err
		}
		if s.Step != nil {
			if err := putStep(ctx, tx, s.Done, *s.Step); err != nil {
				return err
			}
		}
		if err := putPhotos(ctx, tx, s.Photos); err != nil {
			return err
		}
		return putDocument(ctx, tx, s.Document, revision, s.Done)
	})
	if err != nil {
		return s.Revision, explain(f.path, "saving", err)
	}
	return revision, nil
}

// write runs a transaction that is kept whole or not at all.
func (f *File) write(ctx context.Context, do func(*sql.Tx) error) error {
	if f.readOnly {
		return &Error{Kind: ErrReadOnly, Path: f.path, What: "the job was opened only to look at", Next: "Open it to work on it."}
	}
	tx, err := f.db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	if err := do(tx); err != nil {
		return err
	}
	return tx.Commit()
}

func checkSave(ctx context.Context, tx *sql.Tx, s job.Save) error {
	var revision int64
	var steps int
	row := tx.QueryRowContext(ctx, "SELECT revision, (SELECT count(*) FROM history) FROM document")
	if err := row.Scan(&revision, &steps); err != nil {
		return err
	}
	return job.CheckSave(s, revision, steps, func(sha string) (bool, error) {
		var one int
		err := tx.QueryRowContext(ctx, "SELECT 1 FROM photo WHERE sha256 = ?", sha).Scan(&one)
		if errors.Is(err, sql.ErrNoRows) {
			return false, nil
		}
		return err == nil, err
	})
}

// putStep makes the step number n (from 1) the last one.
func putStep(ctx context.Context, tx *sql.Tx, n int, step job.Step) error {
	if _, err := tx.ExecContext(ctx, "DELETE FROM history WHERE step >= ?", n); err != nil {
		return err
	}
	command, err := json.Marshal(step.Command)
	if err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx, "INSERT INTO history (step, time, label, command) VALUES (?, ?, ?, ?)",
		n, step.Time.UTC().Format(time.RFC3339Nano), step.Command.Label, string(command))
	return err
}

func putPhotos(ctx context.Context, tx *sql.Tx, photos []job.Blob) error {
	for _, b := range photos {
		_, err := tx.ExecContext(ctx, "INSERT OR IGNORE INTO photo (sha256, name, media_type, data) VALUES (?, ?, ?, ?)",
			b.SHA256(), b.Name, b.MediaType, nonNil(b.Data))
		if err != nil {
			return err
		}
	}
	return nil
}

func putDocument(ctx context.Context, tx *sql.Tx, d job.Document, revision int64, done int) error {
	text, err := json.Marshal(d)
	if err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx, "UPDATE document SET revision = ?, done = ?, json = ?", revision, done, string(text))
	return err
}

// fill writes a whole state into a fresh file.
func (f *File) fill(ctx context.Context, s job.Snapshot, photos []job.Blob, text []byte) error {
	return f.write(ctx, func(tx *sql.Tx) error {
		for i, step := range s.History.Steps {
			if err := putStep(ctx, tx, i+1, step); err != nil {
				return err
			}
		}
		if err := putPhotos(ctx, tx, photos); err != nil {
			return err
		}
		if err := putDocument(ctx, tx, s.Document, s.Revision, s.History.Done); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, "UPDATE document SET text = ?", string(text))
		return err
	})
}

// nonNil keeps empty bytes from being stored as nothing.
func nonNil(data []byte) []byte {
	if data == nil {
		return []byte{}
	}
	return data
}
