//go:build !amd64 && !arm64

package photo

import (
	"image"
	"io"
)

func heicConfig(io.Reader) (image.Config, error) { return image.Config{}, errNoHEIC }

func heicDecode(io.Reader) (image.Image, error) { return nil, errNoHEIC }
