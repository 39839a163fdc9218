//go:build !unix

package jobfile_test

// fileSizeLimit tells a child to what size its files may grow.
const fileSizeLimit = "FOILSIDE_TEST_FILE_SIZE"

const canLimit = false

func limitFileSize() {}
