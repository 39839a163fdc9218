package httpapi

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"

	"github.com/danielgtaylor/huma/v2"
)

// Kind tells the reasons for which a request fails apart.
type Kind string

// The kinds of failure. Each stands in the table below with its status.
const (
	KindBadInput    Kind = "bad-input"    // what was given has no meaning
	KindNotFound    Kind = "not-found"    // it names something that is not in the job
	KindNotYet      Kind = "not-yet"      // an earlier step is missing
	KindConflict    Kind = "conflict"     // the job has changed meanwhile
	KindUnsupported Kind = "unsupported"  // beyond what the program can do, and said so
	KindTooLarge    Kind = "too-large"    // an upload over the limit
	KindStorage     Kind = "storage"      // the job file can't be written
	KindStopped     Kind = "stopped"      // cancelled
	KindForeign     Kind = "foreign-page" // the guard
	KindNoToken     Kind = "no-token"     // the guard
	KindInternal    Kind = "internal"     // ours
)

// statusOf is the one table from a kind to its HTTP status.
func statusOf(k Kind) int {
	status, ok := map[Kind]int{
		KindBadInput:    http.StatusUnprocessableEntity,
		KindNotFound:    http.StatusNotFound,
		KindNotYet:      http.StatusConflict,
		KindConflict:    http.StatusPreconditionFailed,
		KindUnsupported: http.StatusNotImplemented,
		KindTooLarge:    http.StatusRequestEntityTooLarge,
		KindStorage:     http.StatusInsufficientStorage,
		KindStopped:     http.StatusServiceUnavailable,
		KindForeign:     http.StatusForbidden,
		KindNoToken:     http.StatusUnauthorized,
		KindInternal:    http.StatusInternalServerError,
	}[k]
	if !ok {
		return http.StatusInternalServerError
	}
	return status
}

// Problem is what a failed request answers: words for a person, by RFC 9457
// (problem details) with our kind and the advice added.
type Problem struct {
	Status int            `json:"status"`
	Kind   Kind           `json:"kind"`
	Detail string         `json:"detail" doc:"what is wrong, and where"`
	Next   string         `json:"next,omitempty" doc:"what to do about it"`
	Errors []ProblemField `json:"errors,omitempty" doc:"each bad field of the request"`
}

// ProblemField is one bad field of a request.
type ProblemField struct {
	Where string `json:"where"`
	Text  string `json:"text"`
}

// Error gives what is wrong and what to do.
func (p *Problem) Error() string {
	if p.Next == "" {
		return p.Detail
	}
	return p.Detail + "; " + p.Next
}

// GetStatus is the HTTP status, for huma.
func (p *Problem) GetStatus() int { return p.Status }

// ContentType is that of RFC 9457.
func (p *Problem) ContentType(string) string { return "application/problem+json" }

// kinded is an error that knows its kind by our words; benches give such.
type kinded interface{ Kind() string }

// advised is an error that has its advice on a line of its own.
type advised interface{ Next() string }

// problemOf turns any error into what the page shows. Errors without a kind
// keep their words: every error of the stages is written for a person.
func problemOf(err error) *Problem {
	var p *Problem
	if errors.As(err, &p) {
		return p
	}
	kind := kindOf(err)
	p = &Problem{Status: statusOf(kind), Kind: kind, Detail: err.Error()}
	var a advised
	if errors.As(err, &a) {
		p.Next = a.Next()
	}
	return p
}

func kindOf(err error) Kind {
	var k kinded
	var tooLarge *http.MaxBytesError
	switch {
	case errors.As(err, &k):
		return Kind(k.Kind())
	case errors.As(err, &tooLarge):
		return KindTooLarge
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return KindStopped
	}
	return KindBadInput
}

// ownProblem puts what huma says of a malformed request into our shape, so that
// the page meets one kind of error only.
func ownProblem(_ huma.Context, _ string, v any) (any, error) {
	m, ok := v.(*huma.ErrorModel)
	if !ok {
		return v, nil
	}
	kind := KindBadInput
	if m.Status == http.StatusRequestEntityTooLarge {
		kind = KindTooLarge
	}
	p := &Problem{Status: m.Status, Kind: kind, Detail: "the bench did not understand the request: " + m.Detail}
	for _, e := range m.Errors {
		p.Errors = append(p.Errors, ProblemField{Where: e.Location, Text: e.Message})
	}
	return p, nil
}

func writeProblem(w http.ResponseWriter, p Problem) {
	w.Header().Set("Content-Type", "application/problem+json")
	w.WriteHeader(p.Status)
	_ = json.NewEncoder(w).Encode(p) // the client may be gone; nobody is left to tell
}
