package raster

import "encoding/binary"

// Dilated is yes within r pixels, along and across, of a pixel that is yes.
// The mask holds zeros and ones, and so does what comes out.
//
// Cost: eight pixels a step, and a number of steps that grows as the logarithm
// of r.
func (m Mask) Dilated(r int) Mask { return m.spread(r, false) }

// Eroded is yes where all is yes within r pixels along and across; beyond the
// border nothing speaks against it. Zeros and ones, as for Dilated.
func (m Mask) Eroded(r int) Mask { return m.spread(r, true) }

// Opened erodes, then dilates: spots of yes narrower than 2r+1 vanish.
func (m Mask) Opened(r int) Mask { return m.Eroded(r).Dilated(r) }

// Closed dilates, then erodes: spots of no narrower than 2r+1 vanish.
func (m Mask) Closed(r int) Mask { return m.Dilated(r).Eroded(r) }

// spread takes the OR over boxes, or the AND where all must be yes: of zeros
// and ones that is the complement of the OR of the complement.
func (m Mask) spread(r int, all bool) Mask {
	out := NewMask(m.W, m.H)
	if r <= 0 {
		copy(out.Pix, m.Pix)
		return out
	}
	flip := uint64(0)
	if all {
		flip = ones
	}
	along := NewMask(m.W, m.H)
	Rows(m.H, func(y0, y1 int) {
		line := newOrLine(m.W, r)
		for y := y0; y < y1; y++ {
			line.run(along.row(y), m.row(y), flip)
		}
	})
	Rows(m.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			row := out.row(y)
			for k := max(y-r, 0); k <= min(y+r, m.H-1); k++ {
				orInto(row, along.row(k))
			}
			flipAll(row, flip)
		}
	})
	return out
}

func (m Mask) row(y int) []uint8 { return m.Pix[y*m.W : (y+1)*m.W] }

// ones has a one in each of eight pixels.
const ones = 0x0101010101010101

// orLine is the working room of one line: it and what lies r beyond its ends,
// and room for whole words.
type orLine struct {
	r    int
	line []uint8
}

func newOrLine(n, r int) *orLine { return &orLine{r, make([]uint8, n+2*r+16)} }

// run writes the OR over 2r+1 neighbours of src to dst. Windows double in
// length until two of them, laid to overlap, make the whole.
func (o *orLine) run(dst, src []uint8, flip uint64) {
	clear(o.line)
	copy(o.line[o.r:], src)
	flipAll(o.line[o.r:o.r+len(src)], flip)
	w, have := 2*o.r+1, 1
	for have < w {
		step := min(have, w-have)
		orShifted(o.line, step)
		have += step
	}
	copy(dst, o.line)
}

// flipAll turns pixels over where flip has ones.
func flipAll(p []uint8, flip uint64) {
	if flip == 0 {
		return
	}
	for len(p) >= 8 {
		binary.LittleEndian.PutUint64(p, binary.LittleEndian.Uint64(p)^flip)
		p = p[8:]
	}
	for i := range p {
		p[i] ^= 1
	}
}

// orInto takes the pixels of p into to.
func orInto(to, p []uint8) {
	for len(to) >= 8 && len(p) >= 8 {
		binary.LittleEndian.PutUint64(to, binary.LittleEndian.Uint64(to)|binary.LittleEndian.Uint64(p))
		to, p = to[8:], p[8:]
	}
	for i := range to {
		to[i] |= p[i]
	}
}

// orShifted lets each pixel take in the one `by` further on, from the front, so
// that what it reads is not yet changed.
func orShifted(p []uint8, by int) {
	i := 0
	if by >= 8 {
		for ; i+by+8 <= len(p); i += 8 {
			v := binary.LittleEndian.Uint64(p[i:]) | binary.LittleEndian.Uint64(p[i+by:])
			binary.LittleEndian.PutUint64(p[i:], v)
		}
	} else {
		for shift := 8 * by; i+16 <= len(p); i += 8 {
			a, b := binary.LittleEndian.Uint64(p[i:]), binary.LittleEndian.Uint64(p[i+8:])
			binary.LittleEndian.PutUint64(p[i:], a|a>>shift|b<<(64-shift))
		}
	}
	for ; i+by < len(p); i++ {
		p[i] |= p[i+by]
	}
}
