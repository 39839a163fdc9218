package lettering

import (
	"cmp"
	"encoding/binary"
	"errors"
	"fmt"
	"slices"
)

// errFont says that the embedded font is not as it was.
var errFont = errors.New("the built-in font can't be read, the program file is damaged")

// Subset makes a TrueType file of a weight with no more than the characters of
// the texts, to embed in a drawing. A character that the font lacks is left to
// the reader's own fonts.
//
// Errors:  an embedded font that can't be read: a damaged build.
func Subset(w Weight, texts []string) (out []byte, err error) {
	defer func() {
		if recover() != nil { // an offset beyond the file
			err = errFont
		}
	}()
	f, err := openTables(TTF(w))
	if err != nil {
		return nil, err
	}
	chars := f.characters(texts)
	glyphs := f.withComponents(chars)
	return f.write(chars, glyphs), nil
}

// tables is a TrueType font by its tables; the layout of each is that of the
// OpenType specification, ISO/IEC 14496-22.
type tables map[string][]byte

func openTables(ttf []byte) (tables, error) {
	if len(ttf) < 12 {
		return nil, errFont
	}
	out := tables{}
	for i := range int(binary.BigEndian.Uint16(ttf[4:])) {
		r := ttf[12+16*i:]
		at, n := binary.BigEndian.Uint32(r[8:]), binary.BigEndian.Uint32(r[12:])
		out[string(r[:4])] = ttf[at : at+n]
	}
	for _, name := range []string{"head", "hhea", "maxp", "hmtx", "loca", "glyf", "cmap", "OS/2"} {
		if out[name] == nil {
			return nil, fmt.Errorf("%w: the table %s is missing", errFont, name)
		}
	}
	return out, nil
}

func (f tables) u16(table string, at int) int { return int(binary.BigEndian.Uint16(f[table][at:])) }
func (f tables) u32(table string, at int) int { return int(binary.BigEndian.Uint32(f[table][at:])) }

// char is a character and its glyph in the whole font.
type char struct {
	code  rune
	glyph int
}

// characters lists those of the texts that the font has, in order.
func (f tables) characters(texts []string) []char {
	seen := map[rune]bool{}
	var out []char
	for _, t := range texts {
		for _, r := range t {
			if !seen[r] && r < 0xffff {
				seen[r] = true
				if g := f.glyphOf(r); g != 0 {
					out = append(out, char{r, g})
				}
			}
		}
	}
	slices.SortFunc(out, func(a, b char) int { return cmp.Compare(a.code, b.code) })
	return out
}

// glyphOf looks a character of the basic plane up in the map of format 4.
func (f tables) glyphOf(r rune) int {
	for i := range f.u16("cmap", 2) {
		at := f.u32("cmap", 4+8*i+4)
		if f.u16("cmap", at) != 4 {
			continue
		}
		n := f.u16("cmap", at+6) / 2
		ends, starts := at+14, at+16+2*n
		for k := range n {
			if int(r) > f.u16("cmap", ends+2*k) {
				continue
			}
			start := f.u16("cmap", starts+2*k)
			if int(r) < start {
				return 0
			}
			delta, offsetAt := f.u16("cmap", starts+2*n+2*k), starts+4*n+2*k
			offset := f.u16("cmap", offsetAt)
			if offset == 0 {
				return (int(r) + delta) & 0xffff
			}
			if g := f.u16("cmap", offsetAt+offset+2*(int(r)-start)); g != 0 {
				return (g + delta) & 0xffff
			}
			return 0
		}
	}
	return 0
}

// outline is the glyph's data; empty for a space.
func (f tables) outline(glyph int) []byte {
	if f.u16("head", 50) == 0 {
		return f["glyf"][2*f.u16("loca", 2*glyph) : 2*f.u16("loca", 2*glyph+2)]
	}
	return f["glyf"][f.u32("loca", 4*glyph):f.u32("loca", 4*glyph+4)]
}

// components calls visit with the place of every glyph number in a composite.
func components(outline []byte, visit func(at int)) {
	if len(outline) < 10 || int16(binary.BigEndian.Uint16(outline)) >= 0 {
		return
	}
	const (
		words, scale, more, scales, matrix = 1, 8, 32, 64, 128
	)
	for at := 10; ; {
		flags := binary.BigEndian.Uint16(outline[at:])
		visit(at + 2)
		at += 6
		if flags&words != 0 {
			at += 2
		}
		switch {
		case flags&scale != 0:
			at += 2
		case flags&scales != 0:
			at += 4
		case flags&matrix != 0:
			at += 8
		}
		if flags&more == 0 {
			return
		}
	}
}

// withComponents lists the glyphs to keep: the missing-character box, those of
// the characters, and what they are composed of.
func (f tables) withComponents(chars []char) []int {
	keep := []int{0}
	for _, c := range chars {
		if !slices.Contains(keep, c.glyph) {
			keep = append(keep, c.glyph)
		}
	}
	for i := 0; i < len(keep); i++ {
		o := f.outline(keep[i])
		components(o, func(at int) {
			if g := int(binary.BigEndian.Uint16(o[at:])); !slices.Contains(keep, g) {
				keep = append(keep, g)
			}
		})
	}
	return keep
}

// write puts the kept glyphs, numbered anew, into a file of their own.
func (f tables) write(chars []char, glyphs []int) []byte {
	be := binary.BigEndian
	var glyf, loca, hmtx []byte
	metrics := f.u16("hhea", 34)
	for _, g := range glyphs {
		loca = be.AppendUint32(loca, uint32(len(glyf)))
		o := slices.Clone(f.outline(g))
		components(o, func(at int) {
			be.PutUint16(o[at:], uint16(slices.Index(glyphs, int(be.Uint16(o[at:])))))
		})
		glyf = append(glyf, o...)
		for len(glyf)%4 != 0 {
			glyf = append(glyf, 0)
		}
		m := min(g, metrics-1)
		hmtx = append(hmtx, f["hmtx"][4*m:4*m+4]...)
	}
	loca = be.AppendUint32(loca, uint32(len(glyf)))
	head, hhea, maxp := slices.Clone(f["head"]), slices.Clone(f["hhea"]), slices.Clone(f["maxp"])
	be.PutUint16(head[50:], 1) // long offsets
	be.PutUint32(head[8:], 0)  // the sum is put in below
	be.PutUint16(hhea[34:], uint16(len(glyphs)))
	be.PutUint16(maxp[4:], uint16(len(glyphs)))
	post := append([]byte{0, 3, 0, 0}, make([]byte, 28)...)
	name := []byte{0, 0, 0, 0, 0, 6}
	return file(tables{"OS/2": f["OS/2"], "cmap": characterMap(chars, glyphs), "glyf": glyf, "head": head, "hhea": hhea,
		"hmtx": hmtx, "loca": loca, "maxp": maxp, "name": name, "post": post})
}

// characterMap writes a map of format 12: one group a character.
func characterMap(chars []char, glyphs []int) []byte {
	be := binary.BigEndian
	out := []byte{0, 0, 0, 1, 0, 3, 0, 10, 0, 0, 0, 12}
	out = append(out, 0, 12, 0, 0)
	out = be.AppendUint32(out, uint32(16+12*len(chars)))
	out = be.AppendUint32(out, 0)
	out = be.AppendUint32(out, uint32(len(chars)))
	for _, c := range chars {
		out = be.AppendUint32(out, uint32(c.code))
		out = be.AppendUint32(out, uint32(c.code))
		out = be.AppendUint32(out, uint32(slices.Index(glyphs, c.glyph)))
	}
	return out
}

// file puts tables together, with their sums.
func file(t tables) []byte {
	be := binary.BigEndian
	var names []string
	for n := range t {
		names = append(names, n)
	}
	slices.Sort(names)
	power, exponent := 1, 0
	for power*2 <= len(names) {
		power, exponent = power*2, exponent+1
	}
	out := []byte{0, 1, 0, 0}
	for _, v := range []int{len(names), 16 * power, exponent, 16 * (len(names) - power)} {
		out = be.AppendUint16(out, uint16(v))
	}
	at := 12 + 16*len(names)
	headAt := 0
	var body []byte
	for _, n := range names {
		if n == "head" {
			headAt = at + len(body)
		}
		out = append(out, n...)
		out = be.AppendUint32(out, sum(t[n]))
		out = be.AppendUint32(out, uint32(at+len(body)))
		out = be.AppendUint32(out, uint32(len(t[n])))
		body = append(body, t[n]...)
		for len(body)%4 != 0 {
			body = append(body, 0)
		}
	}
	out = append(out, body...)
	const whole = 0xb1b0afba // what the sum over a whole file is subtracted from
	be.PutUint32(out[headAt+8:], whole-sum(out))
	return out
}

// sum adds a table up in words of 32 bits.
func sum(table []byte) uint32 {
	s := uint32(0)
	for i := 0; i < len(table); i += 4 {
		var word [4]byte
		copy(word[:], table[i:])
		s += binary.BigEndian.Uint32(word[:])
	}
	return s
}
