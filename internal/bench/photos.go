package bench

import (
	"context"
	"errors"
	"fmt"

	"foilside/internal/job"
	"foilside/internal/photo"
)

// Photo returns the photograph of a face, upright.
//
// Errors: *Fault where the job has none, or its bytes are no photograph.
func (b *Bench) Photo(ctx context.Context, face job.Face) (*photo.Photo, error) {
	p := b.document().Photos.Of(face)
	if p == nil {
		return nil, NotDone(fmt.Errorf("the job has no photograph of the %s side", face),
			"add one: in a folder name it under photos in job.yaml, on the bench choose it on the Faces page")
	}
	return b.decoded(ctx, *p)
}

// decoded is a photograph of the job, upright.
func (b *Bench) decoded(ctx context.Context, p job.Photo) (*photo.Photo, error) {
	return remember(ctx, &b.memo, "photo", key(p.SHA256, p.File), func(ctx context.Context) (*photo.Photo, error) {
		blob, err := b.session.Store().Photo(ctx, p.SHA256)
		if err != nil {
			return nil, BadInput(fmt.Errorf("photograph %s: %w", p.File, err), "put the file beside the job text, or add the photograph anew")
		}
		return decode(ctx, blob.Data, p.File)
	})
}

// decode reads a photograph and turns its refusal into a fault with advice.
func decode(ctx context.Context, data []byte, name string) (*photo.Photo, error) {
	got, err := photo.Decode(ctx, data, name)
	var refused *photo.Refusal
	if errors.As(err, &refused) {
		return nil, BadInput(err, refused.Next())
	}
	return got, err
}

// SetPhoto puts a photograph of a face into the job. It is decoded first, so
// that what can't be read is refused before it is taken.
func (b *Bench) SetPhoto(ctx context.Context, face job.Face, name string, data []byte) (job.Snapshot, error) {
	if face != job.ComponentSide && face != job.FoilSide {
		return b.Snapshot(), badf("%q is no face; it is component or foil", face)
	}
	got, err := decode(ctx, data, name)
	if err != nil {
		return b.Snapshot(), err
	}
	if job.UnsafeFileName(name) != "" {
		name = string(face) + extension(got.Media)
	}
	if err := b.notTheOtherFace(face, got.SHA256); err != nil {
		return b.Snapshot(), err
	}
	blob := job.Blob{Name: name, MediaType: got.Media, Data: data}
	return b.Revise(ctx, "Add the photograph of the "+string(face)+" side", func(d *job.Document) error {
		p := &job.Photo{File: name, SHA256: got.SHA256}
		other := d.Photos.Of(otherFace(face))
		if other != nil && other.File == name {
			p.File = string(face) + "-" + name
		}
		if face == job.ComponentSide {
			d.Photos.Component = p
		} else {
			d.Photos.Foil = p
		}
		return nil
	}, blob)
}

func (b *Bench) notTheOtherFace(face job.Face, sha string) error {
	if other := b.document().Photos.Of(otherFace(face)); other != nil && other.SHA256 == sha {
		return BadInput(fmt.Errorf("this is the same file as the photograph of the %s side", otherFace(face)),
			"choose the photograph that shows the other face of the board")
	}
	return nil
}

func otherFace(f job.Face) job.Face {
	if f == job.FoilSide {
		return job.ComponentSide
	}
	return job.FoilSide
}

func extension(media string) string {
	switch media {
	case "image/png":
		return ".png"
	case "image/webp":
		return ".webp"
	case "image/tiff":
		return ".tiff"
	case "image/heic":
		return ".heic"
	}
	return ".jpg"
}

// shownPixels is the most pixels of a working copy: browsers on small devices
// refuse larger ones.
const shownPixels = 12_000_000

// WorkingCopy is the upright photograph as JPEG, at most 12 megapixels, and
// how many photo pixels make one of its pixels along a side.
func (b *Bench) WorkingCopy(ctx context.Context, face job.Face) (jpeg []byte, scale int, err error) {
	p, err := b.Photo(ctx, face)
	if err != nil {
		return nil, 0, err
	}
	type copied struct {
		jpeg  []byte
		scale int
	}
	c, err := remember(ctx, &b.memo, "working copy", p.SHA256, func(ctx context.Context) (copied, error) {
		small, n, err := photo.Working(ctx, p.Pixels, shownPixels)
		if err != nil {
			return copied{}, err
		}
		data, err := photo.JPEG(small, 90)
		return copied{data, n}, err
	})
	return c.jpeg, c.scale, err
}
