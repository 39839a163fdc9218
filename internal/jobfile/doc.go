// Package jobfile keeps a job on disk, in either of its two forms: one file
// NAME.foilside (SQLite, photos inside), or the text job.yaml with the photos
// beside it.
//
// In:  a path, and changes by the contract of job.Store.
// Out: a job.Store for either form (Open, Create), and one form made from the
// other (Pack, Unpack), nothing lost either way.
//
// Invariants: the one file is the whole job (rollback journal, no write-ahead
// log); a Save that returned is on the disk whatever happens to the process; a
// Save that failed left the last one standing; only one process writes to a
// job at a time, and a process that died does not block the next. Older formats
// are brought up on the first opening to write; newer ones are refused.
//
// It is the only importer of the SQLite driver. The format is described in
// docs/fileformat.md.
package jobfile
