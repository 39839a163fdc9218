package copper

import (
	"math"

	"foilside/internal/num/raster"
)

const (
	// backlitSteps is in how many steps of brightness a backlit photo is read.
	backlitSteps = 64
	// backlitMost bounds the log odds that it may claim: a part on the other
	// face is as dark as copper.
	backlitMost = 2.0
	// backlitTrust is how many pixels of a brightness must be seen before it
	// says much.
	backlitTrust = 200.0
)

// backlight is how bright each working pixel is with light from behind.
type backlight struct {
	bright raster.Plane // 0 to 255
	covers raster.Mask
}

func newBacklight(f laid) backlight {
	b := backlight{raster.NewPlane(f.covers.W, f.covers.H), f.covers}
	for i := range b.bright.Pix {
		b.bright.Pix[i] = (f.rgb[0].Pix[i] + f.rgb[1].Pix[i] + f.rgb[2].Pix[i]) / 3
	}
	b.bright = raster.Gaussian(b.bright, denoise)
	return b
}

// odds is what each brightness says for copper, learned from the pixels inside
// either kind as q has them so far: the ratio of its shares among copper and
// among bare board.
func (b backlight) odds(q raster.Plane, inside raster.Mask) [backlitSteps]float32 {
	var count [2][backlitSteps]float64
	var all [2]float64
	for i, in := range inside.Pix {
		if in == 0 || b.covers.Pix[i] == 0 {
			continue
		}
		kind := 0
		if q.Pix[i] > 0.5 {
			kind = 1
		}
		count[kind][b.step(i)]++
		all[kind]++
	}
	var out [backlitSteps]float32
	if all[0] == 0 || all[1] == 0 {
		return out
	}
	for s := range out {
		seen := count[0][s] + count[1][s]
		even := backlitTrust / backlitSteps
		copper, bare := (count[1][s]+even)/all[1], (count[0][s]+even)/all[0]
		u := math.Log(copper/bare) * seen / (seen + backlitTrust)
		out[s] = float32(min(max(u, -backlitMost), backlitMost))
	}
	return out
}

func (b backlight) step(i int) int {
	return clampInt(int(b.bright.Pix[i]*backlitSteps/256), backlitSteps)
}

// addTo puts what the light says onto log odds.
func (b backlight) addTo(u, q raster.Plane, inside raster.Mask) {
	says := b.odds(q, inside)
	for i, c := range b.covers.Pix {
		if c != 0 {
			u.Pix[i] += says[b.step(i)]
		}
	}
}
