//go:build amd64 || arm64

package photo

import (
	"image"
	"io"

	"github.com/gen2brain/heic"
)

// The decoder runs in a WebAssembly runtime that has a compiler for these two
// processors only; its interpreter takes minutes for one photo, so others get
// a plain refusal (heic_other.go).

func heicConfig(r io.Reader) (image.Config, error) { return heic.DecodeConfig(r) }

func heicDecode(r io.Reader) (image.Image, error) { return heic.Decode(r) }
