package photo

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"io"

	"golang.org/x/image/tiff"
	"golang.org/x/image/webp"
)

func formatName(media string) string {
	switch media {
	case mediaJPEG:
		return "JPEG"
	case mediaPNG:
		return "PNG"
	case mediaWebP:
		return "WebP"
	case mediaTIFF:
		return "TIFF"
	}
	return "HEIC"
}

// decodeConfig reads the dimensions only.
func decodeConfig(ctx context.Context, data []byte, media, name string) (image.Config, error) {
	return guarded(ctx, media, name, func(r io.Reader) (image.Config, error) {
		switch media {
		case mediaJPEG:
			return jpeg.DecodeConfig(r)
		case mediaPNG:
			return png.DecodeConfig(r)
		case mediaWebP:
			return webp.DecodeConfig(r)
		case mediaTIFF:
			return tiff.DecodeConfig(r)
		}
		return heicConfig(r)
	}, data)
}

// decodePixels reads the pixels as stored, not yet turned upright.
func decodePixels(ctx context.Context, data []byte, media, name string) (image.Image, error) {
	img, err := guarded(ctx, media, name, func(r io.Reader) (image.Image, error) {
		switch media {
		case mediaJPEG:
			return jpeg.Decode(r)
		case mediaPNG:
			return png.Decode(r)
		case mediaWebP:
			return webp.Decode(r)
		case mediaTIFF:
			return tiff.Decode(r)
		}
		return heicDecode(r)
	}, data)
	if err != nil {
		return nil, err
	}
	b := img.Bounds()
	if b.Dx() < MinSide || b.Dy() < MinSide || b.Dy() > MaxPixels/b.Dx() {
		return nil, damaged(name, media, fmt.Errorf("header and pixels disagree on the size (%v)", b))
	}
	return img, nil
}

// errNoHEIC is what the HEIC decoder answers on a processor it doesn't serve.
var errNoHEIC = errors.New("no HEIC decoder for this processor")

// guarded runs a decoder so that it stops when ctx ends and so that neither
// its errors nor its panics come out bare.
func guarded[T any](ctx context.Context, media, name string, decode func(io.Reader) (T, error), data []byte) (out T, err error) {
	if err := ctx.Err(); err != nil {
		return out, err
	}
	defer func() {
		if p := recover(); p != nil {
			err = damaged(name, media, fmt.Errorf("decoder gave up: %v", p))
		}
	}()
	out, err = decode(stoppable{bytes.NewReader(data), ctx})
	switch {
	case ctx.Err() != nil:
		return out, ctx.Err()
	case errors.Is(err, errNoHEIC):
		return out, &Refusal{Name: name, Reason: "HEIC can't be decoded on this processor",
			Advice: "open the job on the bench in a browser, which can, or convert the photo to JPEG", Err: err}
	case err != nil:
		return out, explain(err, media, name)
	}
	return out, nil
}

// explain tells a valid file of an unread variant from a damaged one.
func explain(err error, media, name string) *Refusal {
	var jpegVariant jpeg.UnsupportedError
	var pngVariant png.UnsupportedError
	var tiffVariant tiff.UnsupportedError
	if errors.As(err, &jpegVariant) || errors.As(err, &pngVariant) || errors.As(err, &tiffVariant) {
		return &Refusal{Name: name, Reason: fmt.Sprintf("this variant of %s is not read (%v)", formatName(media), err),
			Advice: "save it as an ordinary JPEG or PNG and give that", Err: err}
	}
	return damaged(name, media, err)
}

// stoppable is a reader that ends with its context. It hands on Seek and
// ReadAt, which the TIFF decoder would otherwise replace by a copy of the file.
type stoppable struct {
	*bytes.Reader
	ctx context.Context
}

// Read stops with the context's error once that has ended.
func (s stoppable) Read(p []byte) (int, error) {
	if err := s.ctx.Err(); err != nil {
		return 0, err
	}
	return s.Reader.Read(p)
}

// ReadAt stops with the context's error once that has ended.
func (s stoppable) ReadAt(p []byte, off int64) (int, error) {
	if err := s.ctx.Err(); err != nil {
		return 0, err
	}
	return s.Reader.ReadAt(p, off)
}
