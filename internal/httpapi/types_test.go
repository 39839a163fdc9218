package httpapi

import (
	"flag"
	"fmt"
	"maps"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/danielgtaylor/huma/v2"
)

var update = flag.Bool("update", false, "write the generated files anew")

// TestGeneratedTypes holds the page's types to the wire shapes: they are
// generated from the same schemas that check requests.
func TestGeneratedTypes(t *testing.T) {
	path := filepath.Join("..", "..", "ui", "src", "api", "types.ts")
	want := typesOf(newAPI(http.NewServeMux(), &fake{}))
	if *update {
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != want {
		t.Errorf("ui/src/api/types.ts is stale; run `go test ./internal/httpapi -run TestGeneratedTypes -update`")
	}
}

// typesOf writes one TypeScript interface for each schema of the API.
func typesOf(api huma.API) string {
	var b strings.Builder
	b.WriteString("// Generated from internal/httpapi by its tests; do not edit.\n\n")
	schemas := api.OpenAPI().Components.Schemas
	schemas.Schema(typeOf[Event](), true, "Event")
	schemas.Schema(typeOf[Problem](), true, "Problem")
	all := schemas.Map()
	for _, name := range slices.Sorted(maps.Keys(all)) {
		if strings.HasPrefix(name, "Error") { // huma's own; ownProblem replaces it
			continue
		}
		writeInterface(&b, name, all[name])
	}
	return b.String()
}

func writeInterface(b *strings.Builder, name string, s *huma.Schema) {
	fmt.Fprintf(b, "export interface %s {\n", name)
	for _, field := range slices.Sorted(maps.Keys(s.Properties)) {
		p := s.Properties[field]
		if p.Description != "" {
			fmt.Fprintf(b, "  /** %s */\n", p.Description)
		}
		optional := "?"
		if slices.Contains(s.Required, field) {
			optional = ""
		}
		fmt.Fprintf(b, "  %s%s: %s;\n", field, optional, tsType(p))
	}
	b.WriteString("}\n\n")
}

func tsType(s *huma.Schema) string {
	switch {
	case s.Ref != "":
		return s.Ref[strings.LastIndex(s.Ref, "/")+1:]
	case len(s.Enum) > 0:
		var words []string
		for _, e := range s.Enum {
			words = append(words, fmt.Sprintf("'%v'", e))
		}
		return strings.Join(words, " | ")
	}
	base := map[string]string{"string": "string", "integer": "number", "number": "number", "boolean": "boolean"}[s.Type]
	if s.Type == "array" {
		base = tsArray(s)
	}
	if base == "" {
		return "unknown"
	}
	if s.Nullable && s.Type != "array" {
		base += " | null"
	}
	return base
}

// tsArray writes an array of fixed length as a tuple.
func tsArray(s *huma.Schema) string {
	item := tsType(s.Items)
	if s.MinItems != nil && s.MaxItems != nil && *s.MinItems == *s.MaxItems {
		return "[" + strings.Join(slices.Repeat([]string{item}, *s.MinItems), ", ") + "]"
	}
	if strings.Contains(item, " ") {
		item = "(" + item + ")"
	}
	return item + "[]"
}
