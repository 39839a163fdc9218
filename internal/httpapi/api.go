package httpapi

import (
	"context"
	"net/http"
	"reflect"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humago"
)

// MaxUpload is the most bytes a photo may have. 60 megapixels as lossless TIFF
// stay below it.
const MaxUpload = 256 << 20

// maxCommand is the most bytes of one command.
const maxCommand = 1 << 20

type nothing struct{}

type answer[T any] struct{ Body T }

type commandInput struct{ Body Command }

type expectInput struct {
	Mode  string `query:"mode" enum:"volts-dc,volts-ac,ohms,continuity,junction,amps-dc" required:"true"`
	Red   string `query:"red" required:"true" minLength:"1"`
	Black string `query:"black"`
	State string `query:"state"`
	Meter string `query:"meter"`
}

func (in *expectInput) reading() Reading {
	return Reading{Mode: in.Mode, Red: in.Red, Black: in.Black, State: in.State, Meter: in.Meter}
}

type markingInput struct {
	Text string `query:"text" required:"true" minLength:"1" maxLength:"200"`
	Kind string `query:"kind"`
}

type netInput struct {
	ID string `query:"id" required:"true" pattern:"^N[0-9]{1,6}$"`
}

type checkingInput struct {
	Beyond []float64 `query:"beyond" maxItems:"400" doc:"x and y of every place on the foil photo that no probe gets to"`
}

// places are the numbers by twos.
func (in *checkingInput) places() []Point {
	var out []Point
	for i := 1; i < len(in.Beyond); i += 2 {
		out = append(out, Point{in.Beyond[i-1], in.Beyond[i]})
	}
	return out
}

type wavesInput struct {
	For     string   `query:"for" required:"true" minLength:"1" maxLength:"40"`
	Watch   []string `query:"watch,explode" required:"true" maxItems:"8"`
	State   string   `query:"state"`
	Settled bool     `query:"settled" doc:"begin at the operating point, else discharged"`
	Leaps   bool     `query:"leaps" doc:"go over cycles that hardly differ"`
	From    float64  `query:"from" doc:"s"`
	To      float64  `query:"to" doc:"s; not after from: the whole run"`
}

type quantityInput struct {
	Text string `query:"text" required:"true" minLength:"1" maxLength:"80"`
	Unit string `query:"unit"`
}

// newAPI registers the JSON part of the API on the mux and returns it, for the
// generator of the page's types.
func newAPI(mux *http.ServeMux, b Bench) huma.API {
	config := huma.DefaultConfig("Foilside bench", "1")
	config.DocsPath, config.SchemasPath, config.OpenAPIPath = "", "", ""
	config.CreateHooks = nil // no $schema with our address in every answer
	config.RejectUnknownQueryParameters = true
	config.Transformers = []huma.Transformer{ownProblem}
	api := humago.New(mux, config)
	registerDocument(api, b)
	registerResults(api, b)
	return api
}

func registerDocument(api huma.API, b Bench) {
	get(api, "/api/job", func(ctx context.Context, _ *nothing) (Job, error) { return b.Job(ctx) })
	get(api, "/api/log", func(ctx context.Context, _ *nothing) ([]LogEntry, error) { return b.Log(ctx) })
	post(api, "/api/command", func(ctx context.Context, in *commandInput) (Job, error) { return b.Do(ctx, in.Body) })
	post(api, "/api/undo", func(ctx context.Context, _ *nothing) (Job, error) { return b.Undo(ctx) })
	post(api, "/api/redo", func(ctx context.Context, _ *nothing) (Job, error) { return b.Redo(ctx) })
}

func registerResults(api huma.API, b Bench) {
	get(api, "/api/align", func(ctx context.Context, _ *nothing) (Alignment, error) { return b.Alignment(ctx) })
	get(api, "/api/further", func(ctx context.Context, _ *nothing) ([]Further, error) { return b.Further(ctx) })
	get(api, "/api/copper", func(ctx context.Context, _ *nothing) (Copper, error) { return b.Copper(ctx) })
	get(api, "/api/net", func(ctx context.Context, in *netInput) (NetLook, error) { return b.NetLook(ctx, in.ID) })
	get(api, "/api/buzz", func(ctx context.Context, in *checkingInput) (Checking, error) { return b.Checking(ctx, in.places()) })
	get(api, "/api/circuit", func(ctx context.Context, _ *nothing) (Circuit, error) { return b.Circuit(ctx) })
	get(api, "/api/stages", func(ctx context.Context, _ *nothing) (Stages, error) { return b.Stages(ctx) })
	get(api, "/api/next", func(ctx context.Context, _ *nothing) (Next, error) { return b.Next(ctx) })
	get(api, "/api/suspects", func(ctx context.Context, _ *nothing) (Suspects, error) { return b.Suspects(ctx) })
	get(api, "/api/charge", func(ctx context.Context, _ *nothing) (Charge, error) { return b.Charge(ctx) })
	get(api, "/api/kinds", func(ctx context.Context, _ *nothing) ([]KindInfo, error) { return b.Kinds(ctx) })
	get(api, "/api/marking", func(ctx context.Context, in *markingInput) (Marking, error) {
		return b.Marking(ctx, in.Text, in.Kind)
	})
	get(api, "/api/quantity", func(ctx context.Context, in *quantityInput) (Quantity, error) {
		return b.Quantity(ctx, in.Text, in.Unit)
	})
	get(api, "/api/demo-reading", func(ctx context.Context, in *expectInput) (DemoReading, error) {
		text, err := b.DemoReading(ctx, in.reading())
		return DemoReading{Value: text}, err
	})
	get(api, "/api/waves", func(ctx context.Context, in *wavesInput) (Waves, error) { return b.Waves(ctx, WaveWish(*in)) })
	get(api, "/api/expect", func(ctx context.Context, in *expectInput) (Expected, error) {
		return b.Expect(ctx, in.reading())
	})
}

func get[I, O any](api huma.API, path string, do func(context.Context, *I) (O, error)) {
	register(api, http.MethodGet, path, do)
}

func post[I, O any](api huma.API, path string, do func(context.Context, *I) (O, error)) {
	register(api, http.MethodPost, path, do)
}

func register[I, O any](api huma.API, method, path string, do func(context.Context, *I) (O, error)) {
	op := huma.Operation{OperationID: method + path, Method: method, Path: path, MaxBodyBytes: maxCommand}
	huma.Register(api, op, func(ctx context.Context, in *I) (*answer[O], error) {
		out, err := do(ctx, in)
		if err != nil {
			return nil, problemOf(err)
		}
		fillNil(reflect.ValueOf(&out).Elem())
		return &answer[O]{Body: out}, nil
	})
}
