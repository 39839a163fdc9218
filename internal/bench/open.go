package bench

import (
	"context"
	"errors"
	"strings"
	"time"

	"foilside/internal/circuit"
	"foilside/internal/job"
	"foilside/internal/jobfile"
)

// Open opens the bench on a job: a file NAME.foilside, a folder with job.yaml,
// or the text itself. With Options.ReadOnly the job may be open elsewhere.
func Open(ctx context.Context, path string, opts Options) (*Bench, error) {
	store, err := jobfile.Open(ctx, path, jobfile.Options{ReadOnly: opts.ReadOnly})
	if err != nil {
		return nil, storeFault(err)
	}
	b, err := New(ctx, store, opts)
	if err != nil {
		return nil, errors.Join(err, store.Close())
	}
	return b, nil
}

// Create makes a new job file and opens the bench on it.
func Create(ctx context.Context, path string, d job.Document, photos []job.Blob, opts Options) (*Bench, error) {
	if !strings.HasSuffix(path, jobfile.Extension) {
		path += jobfile.Extension
	}
	f, err := jobfile.CreateFile(ctx, path, job.Snapshot{Document: d}, photos)
	if err != nil {
		return nil, storeFault(err)
	}
	b, err := New(ctx, f, opts)
	if err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return b, nil
}

// Pack makes a job file of a folder with a job's text and photographs.
func Pack(ctx context.Context, from, to string) error { return storeFault(jobfile.Pack(ctx, from, to)) }

// Unpack writes a job file as a folder.
func Unpack(ctx context.Context, from, to string) error {
	return storeFault(jobfile.Unpack(ctx, from, to))
}

// storeFault tells a job that can't be taken as it is from a disk that failed.
func storeFault(err error) error {
	if err == nil || cancelled(err) {
		return err
	}
	var e *jobfile.Error
	if errors.As(err, &e) {
		what := errors.New(strings.SplitN(e.Error(), "\n", 2)[0])
		f := &Fault{Input: true, Err: faultOf{what, err}}
		if e.Next != "" {
			f.Next = []string{e.Next}
		}
		if errors.Is(err, jobfile.ErrDiskFull) || errors.Is(err, jobfile.ErrInUse) {
			f.Input = false
		}
		return f
	}
	var invalid *job.InvalidError
	if errors.As(err, &invalid) {
		first, rest, _ := strings.Cut(invalid.Error(), "\n")
		f := &Fault{Input: true, Err: faultOf{errors.New(first), err}}
		if rest != "" {
			f.Next = strings.Split(rest, "\n")
		}
		return f
	}
	return BadInput(err)
}

// faultOf is an error that reads as one line and still is its cause.
type faultOf struct{ line, cause error }

func (f faultOf) Error() string { return f.line.Error() }
func (f faultOf) Unwrap() error { return f.cause }

// LogReading records a reading that was taken, with the time.
func (b *Bench) LogReading(ctx context.Context, q Query, value, note string) (job.Reading, error) {
	mode, err := modeNamed(q.Mode)
	if err != nil {
		return job.Reading{}, err
	}
	v, err := job.ParseValue(job.Mode(mode), value)
	if err != nil {
		return job.Reading{}, BadInput(err)
	}
	r := job.Reading{Mode: job.Mode(mode), State: q.State, Meter: q.Meter, Value: v, Note: note, Time: b.now()}
	if r.Red, err = b.probe(ctx, q.Red); err != nil {
		return r, err
	}
	if q.Black != "" {
		black, err := b.probe(ctx, q.Black)
		if err != nil {
			return r, err
		}
		r.Black = &black
	}
	_, err = b.Revise(ctx, "Record a reading", func(d *job.Document) error {
		d.Readings = append(d.Readings, r)
		return nil
	})
	return r, err
}

// probe is where a meter's lead was held, checked against the circuit.
func (b *Bench) probe(ctx context.Context, word string) (job.Place, error) {
	if at, ok := job.JointWord(word); ok {
		return job.Place{Joint: &at}, nil
	}
	built, err := b.Circuit(ctx)
	if err != nil {
		return job.Place{}, err
	}
	at, err := place(built.Circuit, word)
	if err != nil {
		return job.Place{}, err
	}
	return job.Place{Net: circuit.NetID(at.String())}, nil
}

// LogSymptom records what was seen or heard.
func (b *Bench) LogSymptom(ctx context.Context, s job.Symptom) (job.Symptom, error) {
	s.Time = b.now()
	_, err := b.Revise(ctx, "Record a symptom", func(d *job.Document) error {
		d.Symptoms = append(d.Symptoms, s)
		return nil
	})
	return s, err
}

// LogWork records a piece of work.
func (b *Bench) LogWork(ctx context.Context, w job.Work) (job.Work, error) {
	w.Time = b.now()
	_, err := b.Revise(ctx, "Record work done", func(d *job.Document) error {
		d.Work = append(d.Work, w)
		return nil
	})
	return w, err
}

func (b *Bench) now() time.Time { return b.opts.Now().UTC().Truncate(time.Second) }
