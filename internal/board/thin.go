package board

import "foilside/internal/num/raster"

// thin wears a mask down to lines one pixel wide that keep its connections
// and its ends.
//
// Source: T. Y. Zhang and C. Y. Suen, "A fast parallel algorithm for thinning
// digital patterns", Communications of the ACM 27 (1984) 236–239.
func thin(m raster.Mask) raster.Mask {
	out := raster.Mask{W: m.W, H: m.H, Pix: append([]uint8(nil), m.Pix...)}
	var todo []int
	for i, v := range out.Pix {
		x, y := i%m.W, i/m.W
		if x == 0 || y == 0 || x == m.W-1 || y == m.H-1 {
			out.Pix[i] = 0 // the rule needs eight neighbours
		} else if v != 0 {
			out.Pix[i] = 1
			todo = append(todo, i)
		}
	}
	for changed := true; changed; {
		changed = false
		for pass := range 2 {
			var gone []int
			for _, i := range todo {
				if out.Pix[i] != 0 && wears(out, i, pass) {
					gone = append(gone, i)
				}
			}
			for _, i := range gone {
				out.Pix[i] = 0
				changed = true
			}
		}
		kept := todo[:0]
		for _, i := range todo {
			if out.Pix[i] != 0 {
				kept = append(kept, i)
			}
		}
		todo = kept
	}
	return out
}

// circle are the eight neighbours of pixel i, from above clockwise.
func circle(m raster.Mask, i int) [8]uint8 {
	p, w := m.Pix, m.W
	return [8]uint8{p[i-w], p[i-w+1], p[i+1], p[i+w+1], p[i+w], p[i+w-1], p[i-1], p[i-w-1]}
}

// wears is the rule of one of the two passes.
func wears(m raster.Mask, i, pass int) bool {
	n := circle(m, i)
	sum, turns := 0, 0
	for k := range 8 {
		sum += int(n[k])
		if n[k] == 0 && n[(k+1)%8] != 0 {
			turns++
		}
	}
	if sum < 2 || sum > 6 || turns != 1 {
		return false
	}
	if pass == 0 {
		return n[0]*n[2]*n[4] == 0 && n[2]*n[4]*n[6] == 0
	}
	return n[0]*n[2]*n[6] == 0 && n[0]*n[4]*n[6] == 0
}
