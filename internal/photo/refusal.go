package photo

// Refusal is a photograph that can't be used: which, why, and what the person
// can do about it.
type Refusal struct {
	Name   string // the name the caller gave, as shown to the person
	Reason string // what is wrong
	Advice string // what to do next
	Err    error  // the decoder's own error, or nil
}

// Error says which photograph, why, and what to do next.
func (r *Refusal) Error() string {
	name := r.Name
	if name == "" {
		name = "photograph"
	}
	return name + ": " + r.Reason + "; " + r.Advice
}

// Unwrap gives the decoder's own error.
func (r *Refusal) Unwrap() error { return r.Err }

// Next is the advice alone, for a place that shows it on a line of its own.
func (r *Refusal) Next() string { return r.Advice }
