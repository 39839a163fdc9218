//go:build unix

package jobfile_test

import (
	"os"
	"os/signal"
	"strconv"
	"syscall"
)

// fileSizeLimit tells a child to what size its files may grow.
const fileSizeLimit = "FOILSIDE_TEST_FILE_SIZE"

const canLimit = true

// limitFileSize makes the system refuse longer files, as a full disk does.
func limitFileSize() {
	n, err := strconv.ParseUint(os.Getenv(fileSizeLimit), 10, 64)
	if err != nil {
		return
	}
	signal.Ignore(syscall.SIGXFSZ)
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: n, Max: n}); err != nil {
		panic(err)
	}
}
