// Package lettering is the typeface of every drawing and sheet: DejaVu Sans,
// plain and bold, carried inside the program, and how wide a text is in it.
//
// In:  a text, a weight, a size.
// Out: its width in the unit of the size, or the font file's bytes.
//
// The drawing measures with it where the page prints with it, so a box that
// was kept free for a text holds that text on screen, on paper and in a PNG.
// The fonts are Debian's fonts-dejavu-core; fonts/LICENCE.txt is their licence.
package lettering
