package main

import (
	"encoding/json"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// TestMain lets a script run this test binary as foilside.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"foilside": main})
}

// TestScripts runs the command line as a person would: testdata/script holds
// one story a file.
//
// `status N VERB …` runs foilside and wants that exit status; what it printed is
// in the files out and err. `json FILE PATH WANT` looks into a JSON answer.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){
			"status": runStatus,
			"json":   lookIntoJSON,
			"says":   says,
		},
	})
}

func runStatus(ts *testscript.TestScript, _ bool, args []string) {
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	err = ts.Exec("foilside", args[1:]...)
	got := 0
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		got = exit.ExitCode()
	} else {
		ts.Check(err)
	}
	out, errOut := ts.ReadFile("stdout"), ts.ReadFile("stderr")
	ts.Check(os.WriteFile(ts.MkAbs("out"), []byte(out), 0o600))
	ts.Check(os.WriteFile(ts.MkAbs("err"), []byte(errOut), 0o600))
	if got != want {
		ts.Fatalf("exit status %d, want %d\n%s%s", got, want, out, errOut)
	}
}

// says wants every further word in the file.
func says(ts *testscript.TestScript, neg bool, args []string) {
	text := ts.ReadFile(args[0])
	for _, want := range args[1:] {
		if strings.Contains(text, want) == neg {
			ts.Fatalf("%s: %q is there: %v\n%s", filepath.Base(args[0]), want, !neg == false, text)
		}
	}
}

// lookIntoJSON follows a path of keys and indices and compares what is there.
func lookIntoJSON(ts *testscript.TestScript, neg bool, args []string) {
	var v any
	ts.Check(json.Unmarshal([]byte(ts.ReadFile(args[0])), &v))
	for _, step := range strings.Split(args[1], ".") {
		switch x := v.(type) {
		case map[string]any:
			next, ok := x[step]
			if !ok {
				ts.Fatalf("there is no key %s at %s", step, args[1])
			}
			v = next
		case []any:
			i, err := strconv.Atoi(step)
			if err != nil || i >= len(x) {
				ts.Fatalf("there is no item %s at %s; the list has %d", step, args[1], len(x))
			}
			v = x[i]
		default:
			ts.Fatalf("%s leads nowhere", args[1])
		}
	}
	data, err := json.Marshal(v)
	ts.Check(err)
	if len(args) > 2 && (string(data) == args[2]) == neg {
		ts.Fatalf("%s is %s, want %s", args[1], data, args[2])
	}
}
