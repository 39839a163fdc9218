package job_test

import (
	"testing"

	"foilside/internal/job"
	"foilside/internal/job/storetest"
)

func TestMemoryIsAStore(t *testing.T) {
	storetest.Run(t, storetest.Maker{New: func(_ *testing.T, s job.Snapshot, photos ...job.Blob) job.Store {
		return job.NewMemory(s, photos...)
	}})
}
