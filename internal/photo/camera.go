package photo

import (
	"bytes"
	"math"

	"github.com/bep/imagemeta"
)

// Camera is what a file says about how it was taken. Zero means that it
// doesn't say.
type Camera struct {
	Orientation   int     // EXIF orientation as stored, 1 to 8
	FocalMM       float64 // focal length in mm
	Focal35MM     float64 // the same for a 35 mm film frame, 36 × 24 mm
	Make, Model   string
	PixelsSwapped bool // the upright photo has width and height exchanged against the file
}

// FocalPixels is the focal length in pixels of a photo of the given size, or 0
// where the file doesn't say. The 35 mm equivalent compares diagonals
// (CIPA DCG-001, from memory); a 35 mm frame's is 43.27 mm.
func (c Camera) FocalPixels(width, height int) float64 {
	frame := math.Hypot(36, 24)
	return c.Focal35MM / frame * math.Hypot(float64(width), float64(height))
}

// applied is the orientation that Decode still has to apply. In HEIC the
// rotation boxes rule and the decoder has obeyed them; the EXIF value there
// is a copy for information (ISO/IEC 23008-12 §6.5.10, from memory).
func (c Camera) applied(media string) int {
	if media == mediaHEIC {
		return 1
	}
	return c.Orientation
}

// readCamera reads the EXIF facts. A photo without or with broken EXIF is as
// good as any: nothing here is an error.
func readCamera(data []byte, media string) (c Camera) {
	defer func() {
		// The reader takes bytes from anywhere; whatever it makes of them must not stop the photo.
		if recover() != nil {
			c = Camera{}
		}
	}()
	// The error says that EXIF is missing or broken, which leaves the defaults.
	_, _ = imagemeta.Decode(imagemeta.Options{
		R: bytes.NewReader(data), ImageFormat: metaFormat(media), Sources: imagemeta.EXIF,
		ShouldHandleTag: func(t imagemeta.TagInfo) bool { return cameraTag(t) },
		HandleTag:       func(t imagemeta.TagInfo) error { c.take(t); return nil },
	})
	c.PixelsSwapped = media != mediaHEIC && c.Orientation >= 5
	return c
}

func cameraTag(t imagemeta.TagInfo) bool {
	switch t.Tag {
	case "Orientation", "Make", "Model":
		return t.Namespace == "IFD0" // the thumbnail's own directory says nothing about the photo
	case "FocalLength", "FocalLengthIn35mmFilm", "FocalLengthIn35mmFormat":
		return true
	}
	return false
}

func (c *Camera) take(t imagemeta.TagInfo) {
	switch t.Tag {
	case "Orientation":
		if o := int(number(t.Value)); o >= 1 && o <= 8 {
			c.Orientation = o
		}
	case "FocalLength":
		c.FocalMM = number(t.Value)
	case "FocalLengthIn35mmFilm", "FocalLengthIn35mmFormat":
		c.Focal35MM = number(t.Value)
	case "Make":
		c.Make, _ = t.Value.(string)
	case "Model":
		c.Model, _ = t.Value.(string)
	}
}

// number reads a tag value, which may be of any integer width or a ratio.
func number(v any) float64 {
	var x float64
	switch n := v.(type) {
	case uint8:
		x = float64(n)
	case uint16:
		x = float64(n)
	case uint32:
		x = float64(n)
	case float64:
		x = n
	case interface{ Float64() float64 }:
		x = n.Float64()
	}
	if math.IsNaN(x) || math.IsInf(x, 0) || x < 0 {
		return 0
	}
	return x
}

func metaFormat(media string) imagemeta.ImageFormat {
	switch media {
	case mediaJPEG:
		return imagemeta.JPEG
	case mediaPNG:
		return imagemeta.PNG
	case mediaWebP:
		return imagemeta.WebP
	case mediaTIFF:
		return imagemeta.TIFF
	}
	return imagemeta.HEIF
}
