package photo

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"image"
)

// Limits on what Decode accepts.
const (
	// MaxPixels is the most pixels a photograph may have. 60 megapixels are
	// 240 MB as RGBA; the decoders hold about twice that at their peak.
	MaxPixels = 60_000_000
	// MinSide is the least width and height: below it no joint can be seen.
	MinSide = 64
)

// Photo is a photograph as the program uses it.
type Photo struct {
	Name     string      // as given to Decode
	Media    string      // media type of Original, such as "image/jpeg"
	Original []byte      // the file's bytes, untouched
	SHA256   string      // of Original, in hexadecimal
	Pixels   *image.RGBA // upright, opaque, bounds from (0, 0)
	Camera   Camera      // what the file says about how it was taken
}

// Width of the upright photo in pixels.
func (p *Photo) Width() int { return p.Pixels.Rect.Dx() }

// Height of the upright photo in pixels.
func (p *Photo) Height() int { return p.Pixels.Rect.Dy() }

// Decode reads a photograph and sets it upright. The name serves messages
// only; what kind of file it is, its bytes say.
//
// Errors: *Refusal for everything about the file, with advice; ctx.Err() where
// ctx ends first. HEIC can't be interrupted inside its decoder.
func Decode(ctx context.Context, data []byte, name string) (*Photo, error) {
	media, err := recognise(data, name)
	if err != nil {
		return nil, err
	}
	if err := checkSize(ctx, data, media, name); err != nil {
		return nil, err
	}
	camera := readCamera(data, media)
	decoded, err := decodePixels(ctx, data, media, name)
	if err != nil {
		return nil, err
	}
	upright, err := turnUpright(ctx, opaque(decoded), camera.applied(media))
	if err != nil {
		return nil, err
	}
	sum := sha256.Sum256(data)
	return &Photo{Name: name, Media: media, Original: data, SHA256: hex.EncodeToString(sum[:]),
		Pixels: upright, Camera: camera}, ctx.Err()
}

// recognise names the media type, or says why the bytes are no photograph.
func recognise(data []byte, name string) (string, error) {
	const formats = "give a JPEG, PNG, WebP, TIFF or HEIC photograph"
	if len(data) == 0 {
		return "", &Refusal{Name: name, Reason: "the file is empty (0 bytes)",
			Advice: "copy it again from the camera or phone, and look whether it opens there"}
	}
	media := MediaType(data)
	if media == "" {
		return "", &Refusal{Name: name, Reason: "this is no photograph: its contents are " + describe(data), Advice: formats}
	}
	return media, nil
}

// describe says in plain words what a file that is no photograph seems to be.
func describe(data []byte) string {
	head := data[:min(len(data), 512)]
	for _, b := range head {
		if b < 0x20 && b != '\n' && b != '\r' && b != '\t' {
			return "of a kind that Foilside doesn't read"
		}
	}
	return "plain text, whatever its name ends with"
}

// checkSize looks at the dimensions before any pixel is decoded, so that a
// small file can't ask for gigabytes.
func checkSize(ctx context.Context, data []byte, media, name string) error {
	config, err := decodeConfig(ctx, data, media, name)
	if err != nil {
		return err
	}
	w, h := config.Width, config.Height
	switch {
	case w <= 0 || h <= 0:
		return damaged(name, media, nil)
	case w < MinSide || h < MinSide:
		return &Refusal{Name: name, Reason: fmt.Sprintf("the photo is only %d × %d pixels; a side needs at least %d", w, h, MinSide),
			Advice: "give the photograph itself, not its thumbnail; 1500 pixels across the board or more are good"}
	case h > MaxPixels/w:
		return &Refusal{Name: name, Reason: fmt.Sprintf("the photo is %d × %d pixels, which is more than 60 megapixels", w, h),
			Advice: "make it smaller (half the width and height keeps all that is needed) and give that"}
	}
	return nil
}

func damaged(name, media string, err error) *Refusal {
	return &Refusal{Name: name, Reason: "the " + formatName(media) + " data is damaged or cut short",
		Advice: "copy the file again from the camera or phone; if it doesn't open there either, take the photo anew", Err: err}
}
