package jobfile

import (
	"context"
	"os"

	"foilside/internal/job"
)

// Open opens a job in either form: a file NAME.foilside, a text .yaml, or a
// folder with job.yaml in it.
//
// Errors: as OpenFile and OpenFolder.
func Open(ctx context.Context, path string, o Options) (job.Store, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, explain(path, "opening", err)
	}
	if info.IsDir() || isText(path) {
		return folderStore(OpenFolder(ctx, path, o))
	}
	f, err := OpenFile(ctx, path, o)
	if err != nil {
		return nil, err
	}
	return f, nil
}

// folderStore keeps a nil *Folder from becoming a store that is not nil.
func folderStore(f *Folder, err error) (job.Store, error) {
	if err != nil {
		return nil, err
	}
	return f, nil
}
