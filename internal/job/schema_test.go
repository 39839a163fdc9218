package job_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	invopop "github.com/invopop/jsonschema"
	santhosh "github.com/santhosh-tekuri/jsonschema/v6"
	yaml "go.yaml.in/yaml/v4"
	"pgregory.net/rapid"

	"foilside/internal/circuit"
	"foilside/internal/job"
)

const schemaFile = "../../docs/job.schema.json"

// generate makes the JSON Schema of a job's text from the Go types, their
// comments, and circuit's table of kinds.
func generate(t *testing.T) []byte {
	t.Helper()
	r := &invopop.Reflector{
		Anonymous: true, ExpandedStruct: true, RequiredFromJSONSchemaTags: true,
		KeyNamer: strings.ToLower, Mapper: special,
	}
	if err := r.AddGoComments("foilside/internal/job", "."); err != nil {
		t.Fatal(err)
	}
	for name, text := range r.CommentMap {
		r.CommentMap[name] = strings.Join(strings.Fields(text), " ")
	}
	s := r.Reflect(job.Document{})
	s.Title = "A Foilside job"
	for name, shared := range sharedSchemas() {
		s.Definitions[name] = shared
	}
	data, err := json.MarshalIndent(s, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	return append(data, '\n')
}

// special gives the schemas of the types that the text writes otherwise than
// Go does: maps by name, places, values.
func special(t reflect.Type) *invopop.Schema {
	switch t {
	case reflect.TypeFor[job.Place]():
		return place()
	case reflect.TypeFor[job.Photo]():
		return shared("Photo")
	case reflect.TypeFor[job.FurtherPhoto]():
		return furtherPhoto()
	case reflect.TypeFor[job.Stroke]():
		return object([]string{"mark", "width", "path"}, "mark", words("copper", "bare"), "width", &invopop.Schema{Type: "number"},
			"path", &invopop.Schema{Type: "array", Items: pixel(), MinItems: count(1)})
	case reflect.TypeFor[[]job.NamedNet]():
		return byName(pixel())
	case reflect.TypeFor[[]job.Part]():
		return byName(partSchema())
	case reflect.TypeFor[[]job.State]():
		setting := &invopop.Schema{AnyOf: []*invopop.Schema{words("on", "off", "open", "closed", "no", "nc"), {Type: "number", Minimum: "0", Maximum: "1"}}}
		return byName(byName(setting))
	case reflect.TypeFor[[]job.Standing]():
		return byName(standingSchema())
	case reflect.TypeFor[[]job.Meter]():
		return byName(meterSchema())
	case reflect.TypeFor[job.Mode]():
		return words(job.Modes()...)
	case reflect.TypeFor[job.Holes]():
		return words(string(job.PlatedHoles), string(job.PlainHoles))
	case reflect.TypeFor[job.Face]():
		return words("component", "foil")
	case reflect.TypeFor[job.Value]():
		return quantityText("what the meter showed: 4.31 V, overrange, joined or separate")
	case reflect.TypeFor[time.Time]():
		return &invopop.Schema{Type: "string", Format: "date-time"}
	case reflect.TypeFor[job.Pixel]():
		return pixel()
	}
	return nil
}

// standingSchema is a part's place on the drawing.
func standingSchema() *invopop.Schema {
	steps := &invopop.Schema{Type: "array", Items: &invopop.Schema{Type: "integer"}, MinItems: count(2), MaxItems: count(2), Description: "grid steps of 2.5 mm, x right, y down"}
	whole := func(doc string) *invopop.Schema {
		return &invopop.Schema{Type: "integer", Minimum: "0", Description: doc}
	}
	return object([]string{"at"}, "at", steps, "turn", &invopop.Schema{Enum: []any{0, 90, 180, 270}, Description: "degrees clockwise"},
		"figure", whole("which of the part's figures"), "caption", whole("which place for its texts"), "sheet", whole("which sheet of a larger circuit"),
		"mirror", words("yes", "no"), "pinned", words("yes", "no"))
}

// sharedSchemas are those that many places refer to.
func sharedSchemas() map[string]*invopop.Schema {
	return map[string]*invopop.Schema{
		"Pixel": {Type: "array", Items: &invopop.Schema{Type: "number"}, MinItems: count(2), MaxItems: count(2), Description: "[x, y] in pixels of the photo"},
		"Place": {OneOf: []*invopop.Schema{name("a net"),
			object([]string{"at"}, "at", pixel()), object([]string{"joint"}, "joint", pixel())},
			Description: "a net by name, or a place: at on the component-side photo, joint on the foil-side photo"},
		"Photo": {OneOf: []*invopop.Schema{name("a file beside the text"),
			object([]string{"file"}, "file", name("a file"), "sha256", digest())}},
		"Quantity": {AnyOf: []*invopop.Schema{{Type: "string", MinLength: count(1)}, {Type: "number"}},
			Description: "a number with prefix and unit, or a letter code of IEC 60062"},
	}
}

// furtherPhoto is one more photo of the foil side.
func furtherPhoto() *invopop.Schema {
	return &invopop.Schema{OneOf: []*invopop.Schema{name("a file beside the text"),
		object([]string{"file"}, "file", name("a file"), "sha256", digest(), "backlit", words("yes", "no"))}}
}

func digest() *invopop.Schema { return &invopop.Schema{Type: "string", Pattern: "^[0-9a-f]{64}$"} }

func shared(name string) *invopop.Schema { return &invopop.Schema{Ref: "#/$defs/" + name} }

func pixel() *invopop.Schema { return shared("Pixel") }

func place() *invopop.Schema { return shared("Place") }

func count(n uint64) *uint64 { return &n }

func name(doc string) *invopop.Schema {
	return &invopop.Schema{Type: "string", MinLength: count(1), Description: doc}
}

func words(all ...string) *invopop.Schema {
	s := &invopop.Schema{}
	for _, w := range all {
		s.Enum = append(s.Enum, w)
	}
	return s
}

// quantityText is a quantity; where the unit goes without saying, YAML makes a
// number of it.
func quantityText(doc string) *invopop.Schema {
	return &invopop.Schema{Ref: "#/$defs/Quantity", Description: doc}
}

func byName(of *invopop.Schema) *invopop.Schema {
	return &invopop.Schema{Type: "object", AdditionalProperties: of}
}

// object has the named properties, given as name, schema, name, schema, …
func object(required []string, properties ...any) *invopop.Schema {
	s := &invopop.Schema{Type: "object", Properties: invopop.NewProperties(), Required: required, AdditionalProperties: invopop.FalseSchema}
	for i := 0; i < len(properties); i += 2 {
		s.Properties.Set(properties[i].(string), properties[i+1].(*invopop.Schema))
	}
	return s
}

// partSchema asks of each kind what its row of the table says.
func partSchema() *invopop.Schema {
	s := &invopop.Schema{Type: "object", Properties: invopop.NewProperties(), Required: []string{"kind"}}
	var kinds []string
	for _, k := range circuit.Kinds() {
		kinds = append(kinds, string(k))
		is := &invopop.Schema{Properties: invopop.NewProperties()}
		is.Properties.Set("kind", &invopop.Schema{Const: string(k)})
		s.AllOf = append(s.AllOf, &invopop.Schema{If: is, Then: kindSchema(k)})
	}
	s.Properties.Set("kind", words(kinds...))
	return s
}

func kindSchema(k circuit.Kind) *invopop.Schema {
	info, _ := circuit.Lookup(k)
	free := &invopop.Schema{Type: "string"}
	s := object([]string{"kind"}, "kind", &invopop.Schema{Const: string(k)}, "type", free, "marking", free, "note", free)
	s.Description = info.Noun
	poles := false
	for _, p := range info.Params {
		s.Properties.Set(p.Name, paramSchema(p))
		poles = poles || p.Name == "poles"
	}
	if _, ok := info.Param("mutual conductance"); ok {
		s.Properties.Set("at", quantityText("the anode current at which the mutual conductance holds"))
	}
	if k == circuit.Transformer {
		pair := &invopop.Schema{Type: "array", Items: place(), MinItems: count(2), MaxItems: count(2), Description: "the dotted end first"}
		winding := object([]string{"leads"}, "leads", pair, "turns", &invopop.Schema{Type: "number"}, "resistance", quantityText("of the wire"))
		s.Properties.Set("windings", byName(winding))
		s.Properties.Set("inductance", byName(quantityText("with the other windings open")))
		s.Required = append(s.Required, "windings")
		return s
	}
	leads := byName(place())
	if info.AnyLead {
		leads.MinProperties = count(1)
	} else {
		leads = object(nil)
		for _, l := range info.Leads {
			leads.Properties.Set(string(l), place())
			leads.Required = append(leads.Required, string(l))
		}
		if poles {
			leads.AdditionalProperties = place()
		}
	}
	s.Properties.Set("leads", leads)
	s.Required = append(s.Required, "leads")
	return s
}

func paramSchema(p circuit.Param) *invopop.Schema {
	if len(p.Units) == 0 {
		s := words(p.Words...)
		s.Description = p.Doc
		return s
	}
	doc := p.Units[0].Word() + ", like " + p.Units[0].Sample()
	if p.Doc != "" {
		doc = p.Doc + ": " + doc
	}
	return quantityText(doc)
}

func meterSchema() *invopop.Schema {
	s := object(nil, "class", words(job.MeterClasses()...))
	for _, p := range job.MeterParams() {
		s.Properties.Set(p.Name, paramSchema(p))
	}
	return s
}

func TestTheSchemaIsThatOfTheTypes(t *testing.T) {
	got := generate(t)
	if *update {
		if err := os.WriteFile(schemaFile, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(schemaFile)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), string(got)); diff != "" {
		t.Errorf("the types have changed; write the schema anew with -update (-file +types):\n%s", diff)
	}
}

func compiled(t *testing.T) *santhosh.Schema {
	t.Helper()
	data, err := os.ReadFile(schemaFile)
	if err != nil {
		t.Fatal(err)
	}
	doc, err := santhosh.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	c := santhosh.NewCompiler()
	c.AssertFormat()
	if err := c.AddResource("job.schema.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("job.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// plainData is what an independent reader of YAML makes of a text, in the form
// that validators take.
func plainData(t testing.TB, text []byte) any {
	t.Helper()
	var v any
	if err := yaml.Unmarshal(text, &v); err != nil {
		t.Fatal(err)
	}
	return keyed(v)
}

func keyed(v any) any {
	switch v := v.(type) {
	case map[any]any:
		out := map[string]any{}
		for k, x := range v {
			out[fmt.Sprint(k)] = keyed(x)
		}
		return out
	case map[string]any:
		out := map[string]any{}
		for k, x := range v {
			out[k] = keyed(x)
		}
		return out
	case []any:
		out := make([]any, len(v))
		for i, x := range v {
			out[i] = keyed(x)
		}
		return out
	case time.Time:
		return v.Format(time.RFC3339Nano)
	}
	return v
}

// The schema takes the text of jobs as well as their JSON.
func TestTheSchemaTakesJobs(t *testing.T) {
	s := compiled(t)
	text, err := os.ReadFile("testdata/contract.yaml")
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Validate(plainData(t, text)); err != nil {
		t.Errorf("the contract's job as text: %v", err)
	}
	rapid.Check(t, func(t *rapid.T) {
		data, err := json.Marshal(genDocument(t))
		if err != nil {
			t.Fatal(err)
		}
		v, err := santhosh.UnmarshalJSON(bytes.NewReader(data))
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Validate(v); err != nil {
			t.Fatalf("%v\n%s", err, data)
		}
	})
}

func TestTheSchemaRefusesWhatIsNoJob(t *testing.T) {
	s := compiled(t)
	for name, text := range map[string]string{
		"unknown section":  "parts: {}\npartz: {}\n",
		"unknown kind":     "parts: {R1: {kind: bicycle, leads: {1: a, 2: b}}}\n",
		"no kind":          "parts: {R1: {leads: {1: a, 2: b}}}\n",
		"missing lead":     "parts: {Q1: {kind: npn, leads: {c: a, b: b}}}\n",
		"unknown lead":     "parts: {R1: {kind: resistor, leads: {1: a, 2: b, 3: c}}}\n",
		"unknown key":      "parts: {R1: {kind: resistor, vlaue: 4k7, leads: {1: a, 2: b}}}\n",
		"unknown word":     "parts: {Q1: {kind: npn, material: wood, leads: {c: a, b: b, e: c}}}\n",
		"lead in the air":  "parts: {R1: {kind: resistor, leads: {1: a, 2: {over: [1, 2]}}}}\n",
		"pixel of one":     "parts: {}\nalign: [{component: [1], foil: [1, 2]}]\n",
		"half a pair":      "parts: {}\nalign: [{component: [1, 2]}]\n",
		"unknown mode":     "parts: {}\nreadings: [{mode: smell, red: a, value: 1}]\n",
		"unknown setting":  "parts: {}\nstates: {off: {B1: sideways}}\n",
		"work at no time":  "parts: {}\nwork: [{time: yesterday, did: looked}]\n",
		"meter of a class": "parts: {}\nmeters: {m: {class: big}}\n",
	} {
		t.Run(name, func(t *testing.T) {
			if s.Validate(plainData(t, []byte(text))) == nil {
				t.Error("the schema takes it")
			}
			if _, problems := job.ReadText([]byte(text), ""); len(job.Errors(problems)) == 0 {
				t.Error("the reader takes it")
			}
		})
	}
}
