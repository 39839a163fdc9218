package job

import "strings"

// Locate returns the line and column, from 1, where the key that a path such
// as "parts.R1" leads to stands in a job's text.
func Locate(text []byte, path string) (line, column int, ok bool) {
	root, _ := parseYAML(text, "")
	for root != nil && path != "" {
		var step string
		step, path, _ = strings.Cut(path, ".")
		var next *node
		for _, p := range root.pairs {
			if p.key == step {
				next, line, column = p.value, p.line, p.col
			}
		}
		if next == nil {
			return 0, 0, false
		}
		root = next
	}
	return line, column, line > 0
}
