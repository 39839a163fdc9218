// Package httpapi serves the bench page and its typed API on the loopback
// address.
//
// In: a Bench (the use cases, declared here because this package uses them)
// and the built page. Out: an http.Handler, and Serve to run it.
//
// What holds:
//   - it answers only to loopback names, only to its own page for anything that
//     changes the job, and only to a holder of the token of this start;
//   - it asks nothing of any other machine, and its content policy forbids the
//     page to;
//   - the wire shapes follow the contract: SI base units, lengths in
//     millimetres, never NaN; TypeScript types are generated from them;
//   - every failure is a Problem: what is wrong, and what to do; one table turns
//     its kind into a status. A panic becomes a Problem too, never a dead page.
package httpapi
