// Package photo turns the bytes of a photograph into upright pixels, and
// pixels into the planes that the later stages measure on.
//
// In:  the bytes of a JPEG, PNG, WebP, TIFF or HEIC file, told apart by what
// they contain and never by the file's name.
//
// Out: a *Photo, which keeps the original bytes, and its upright Pixels:
// *image.RGBA with bounds starting at (0, 0), Stride 4·width and every alpha
// 255 (what was transparent stands on white). The EXIF orientation is applied
// here, once; nothing after this package ever sees it.
//
// What the other rooms use:
//
//	Decode(ctx, data, name)       bytes → *Photo, or a *Refusal that says what to do
//	Shrink(ctx, img, n)           box average over n×n pixels; Working picks n for a pixel budget
//	PixelAt, ShrunkPixel          from working copy pixels back to photo pixels
//	JPEG(img, quality)            preview
//	Lab(ctx, img)                 CIE L*a*b* as three float32 planes
//	FindLight(ctx, img, opts)     smooth estimate of how the light falls on the board
//	EvenLab(ctx, img, light)      CIE L*a*b* with that light divided out
//
// Invariants: nothing here keeps state between calls, reads a clock or
// touches the disk; a decoder that panics is turned into a *Refusal; no
// function changes the image it is given; planes hold finite numbers only.
package photo
