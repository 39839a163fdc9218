package jobfile

import (
	"context"
	"database/sql"
	"errors"

	"foilside/internal/job"
)

// Bounds on remembered results: the file shall stay a job, not a warehouse.
const (
	maxResult  = 4 << 20
	maxResults = 32 << 20
)

// The formats from which results are remembered, and the text that a job came
// from is kept.
const (
	resultFormat = 2
	textFormat   = 3
)

// Photo returns a photo by the SHA-256 of its bytes.
func (f *File) Photo(ctx context.Context, sha256 string) (job.Blob, error) {
	var b job.Blob
	err := f.db.QueryRowContext(ctx, "SELECT name, media_type, data FROM photo WHERE sha256 = ?", sha256).
		Scan(&b.Name, &b.MediaType, &b.Data)
	if errors.Is(err, sql.ErrNoRows) {
		return b, job.ErrNoPhoto
	}
	if err != nil {
		return b, explain(f.path, "reading a photo", err)
	}
	if b.SHA256() != sha256 {
		return b, f.changedPhoto(b)
	}
	return b, nil
}

func (f *File) changedPhoto(b job.Blob) error {
	return damaged(f.path, errors.New("the photo "+b.Name+" is not what was stored"))
}

// photos returns every photo in the file, those that only the history names
// too.
func (f *File) photos(ctx context.Context) ([]job.Blob, error) {
	rows, err := f.db.QueryContext(ctx, "SELECT sha256, name, media_type, data FROM photo ORDER BY rowid")
	if err != nil {
		return nil, explain(f.path, "reading photos", err)
	}
	defer rows.Close()
	var out []job.Blob
	for rows.Next() {
		var b job.Blob
		var sha string
		if err := rows.Scan(&sha, &b.Name, &b.MediaType, &b.Data); err != nil {
			return nil, explain(f.path, "reading photos", err)
		}
		if b.SHA256() != sha {
			return nil, f.changedPhoto(b)
		}
		out = append(out, b)
	}
	return out, explain(f.path, "reading photos", rows.Err())
}

// Remember keeps a stage's result, the oldest making room. Results too large
// to keep are let go.
func (f *File) Remember(ctx context.Context, key string, result []byte) error {
	if f.readOnly || len(result) > maxResult {
		return nil
	}
	return explain(f.path, "remembering a result", f.write(ctx, func(tx *sql.Tx) error {
		if _, err := tx.ExecContext(ctx, "INSERT OR REPLACE INTO result (key, data) VALUES (?, ?)", key, nonNil(result)); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, `DELETE FROM result WHERE seq IN (
			SELECT seq FROM (SELECT seq, sum(length(data)) OVER (ORDER BY seq DESC) AS upto FROM result) WHERE upto > ?)`, maxResults)
		return err
	}))
}

// Recall returns a remembered result.
func (f *File) Recall(ctx context.Context, key string) ([]byte, bool, error) {
	if f.format < resultFormat {
		return nil, false, nil
	}
	var data []byte
	err := f.db.QueryRowContext(ctx, "SELECT data FROM result WHERE key = ?", key).Scan(&data)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, false, nil
	}
	return data, err == nil, explain(f.path, "recalling a result", err)
}

// SaveCopy writes a whole copy of the job as it stands to a new file.
//
// Errors: *Error of kind ErrExists, ErrDiskFull, ErrReadOnly.
func (f *File) SaveCopy(ctx context.Context, path string) error {
	s, err := f.Load(ctx)
	if err != nil {
		return err
	}
	photos, err := f.photos(ctx)
	if err != nil {
		return err
	}
	text, err := f.sourceText(ctx)
	if err != nil {
		return err
	}
	return create(ctx, path, s, photos, text)
}

// sourceText is the text that the job was packed from, or nothing. The
// document has gone on since; its comments are still the person's.
func (f *File) sourceText(ctx context.Context) ([]byte, error) {
	if f.format < textFormat {
		return nil, nil
	}
	var text string
	err := f.db.QueryRowContext(ctx, "SELECT text FROM document").Scan(&text)
	return []byte(text), explain(f.path, "reading", err)
}
