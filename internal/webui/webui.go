package webui

import (
	"embed"
	"io/fs"
)

//go:embed all:dist
var built embed.FS

// Files returns the built page.
func Files() (fs.FS, error) { return fs.Sub(built, "dist") }
