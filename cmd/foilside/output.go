package main

import (
	"encoding/json"
	"fmt"
	"os"
	"time"
)

// answer writes the verb's result: one JSON value with --json, words otherwise.
func (c *call) answer(value any, words func()) error {
	if !c.json {
		words()
		return nil
	}
	enc := json.NewEncoder(c.out)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(value); err != nil {
		return fmt.Errorf("write the answer: %w", err)
	}
	return nil
}

func (c *call) line(format string, args ...any) { fmt.Fprintf(c.out, format+"\n", args...) }

// note is for whoever watches: warnings and what was done.
func (c *call) note(format string, args ...any) { fmt.Fprintf(c.err, format+"\n", args...) }

// progress shows long work on standard error, on a terminal only, and not
// before half a second has passed.
func (c *call) progress() func(done float64, what string) {
	f, ok := c.err.(*os.File)
	if !ok || !isTerminal(f) {
		return nil
	}
	start := time.Now()
	return func(done float64, what string) {
		if time.Since(start) < 500*time.Millisecond {
			return
		}
		if done >= 1 {
			fmt.Fprint(f, "\r\033[K")
			return
		}
		fmt.Fprintf(f, "\r\033[K%3.0f %% %s", 100*done, what)
	}
}

func isTerminal(f *os.File) bool {
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}
