package bench

import (
	"context"
	"errors"
	"fmt"
	"path"
	"slices"
	"strings"

	"foilside/internal/align"
	"foilside/internal/copper"
	"foilside/internal/job"
	"foilside/internal/photo"
)

// FurtherPhoto is one more photograph of the foil side, laid on the main one.
type FurtherPhoto struct {
	job.FurtherPhoto
	placement
	Unusable error // why it isn't used, in words for the person; nil where it is
}

// placement is where a photo lies on the main one.
type placement struct {
	Placed        align.Alignment // from this photo's pixels to the main one's
	Width, Height int             // 0 where the photo can't be read
}

// Further are the more photographs of the foil side. One that can't be laid on
// the main photo is listed with the reason, and left out of the tracing.
func (b *Bench) Further(ctx context.Context) ([]FurtherPhoto, error) {
	further := b.document().Photos.Further
	if len(further) == 0 {
		return nil, nil
	}
	foil, err := b.Photo(ctx, job.FoilSide)
	if err != nil {
		return nil, err
	}
	out := make([]FurtherPhoto, len(further))
	for i, f := range further {
		at, err := b.place(ctx, f, foil)
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		out[i] = FurtherPhoto{f, at, err}
	}
	return out, nil
}

// place lays one photo on the face's main one.
func (b *Bench) place(ctx context.Context, f job.FurtherPhoto, foil *photo.Photo) (placement, error) {
	return remember(ctx, &b.memo, "further", key(f.SHA256, f.Backlit, foil.SHA256), func(ctx context.Context) (placement, error) {
		p, err := b.decoded(ctx, f.Photo)
		if err != nil {
			return placement{}, err
		}
		at, err := align.Further(ctx, p, foil, align.FurtherOptions{Backlit: f.Backlit, Progress: b.reporter("align")})
		return placement{at, p.Width(), p.Height()}, alignFault(err)
	})
}

// usable are the photographs that the tracing uses.
func usable(all []FurtherPhoto) []FurtherPhoto {
	return slices.DeleteFunc(slices.Clone(all), func(f FurtherPhoto) bool { return f.Unusable != nil })
}

// furtherLooks reads those photographs for the tracing.
func (b *Bench) furtherLooks(ctx context.Context, used []FurtherPhoto) ([]copper.Further, error) {
	var out []copper.Further
	for _, f := range used {
		p, err := b.decoded(ctx, f.Photo)
		if err != nil {
			return nil, err
		}
		out = append(out, copper.Further{Pixels: p.Pixels, FromMain: f.Placed.ToComponent, Backlit: f.Backlit})
	}
	return out, nil
}

// AddFurther takes one more photograph of the foil side into the job.
func (b *Bench) AddFurther(ctx context.Context, name string, data []byte, backlit bool) (job.Snapshot, error) {
	got, err := decode(ctx, data, name)
	if err != nil {
		return b.Snapshot(), err
	}
	photos := b.document().Photos
	if photos.Foil == nil {
		return b.Snapshot(), NotDone(errors.New("the job has no photograph of the foil side that this one could be laid on"),
			"add the photograph of the whole foil side first")
	}
	for _, p := range photos.All() {
		if p.SHA256 == got.SHA256 {
			return b.Snapshot(), BadInput(fmt.Errorf("this is the same file as %s, which the job has already", p.File),
				"choose a photograph that shows something nearer, or with light from behind")
		}
	}
	if job.UnsafeFileName(name) != "" {
		name = "foil-near" + extension(got.Media)
	}
	name = freeName(photos, name)
	blob := job.Blob{Name: name, MediaType: got.Media, Data: data}
	return b.Revise(ctx, "Add a further photograph of the foil side", func(d *job.Document) error {
		f := job.FurtherPhoto{Photo: job.Photo{File: name, SHA256: got.SHA256}, Backlit: backlit}
		d.Photos.Further = append(d.Photos.Further, f)
		return nil
	}, blob)
}

// freeName is a file name that no photo of the job has.
func freeName(photos job.Photos, name string) string {
	taken := func(name string) bool {
		return slices.ContainsFunc(photos.All(), func(p *job.Photo) bool { return strings.EqualFold(p.File, name) })
	}
	ext := path.Ext(name)
	stem := strings.TrimSuffix(name, ext)
	for n := 2; taken(name); n++ {
		name = fmt.Sprintf("%s-%d%s", stem, n, ext)
	}
	return name
}
