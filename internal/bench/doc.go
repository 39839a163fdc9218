// Package bench holds the use cases: what the command line and the local
// server both call.
//
// In:  a job, opened from its file or folder, and commands on it.
// Out: results of the stages, computed when asked for and remembered under a
// hash of what they were computed from, so that an edit recomputes only what
// depends on it.
//
// A Bench is safe for use by several goroutines. Results are shared: nobody
// changes one. Errors that reach a person are *Fault.
package bench
