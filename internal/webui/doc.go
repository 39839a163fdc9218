// Package webui holds the built front end of the bench.
//
// In: nothing. Out: the files of the page as a file system, with index.html at
// its root. The files are made by `npm run build` in ui/ and committed, so that
// a plain `go install` works; the tests rebuild them and fail on a difference.
// The page asks for nothing outside its own server.
package webui
