package copper

import (
	"math"

	"foilside/internal/num/raster"
)

// colour is a point in CIE L*a*b*.
type colour [3]float64

// look is how one sampled place looks: the mean colour around it and how
// much it varies there.
type look struct {
	mean   colour
	spread [6]float64 // inverse covariance: LL La Lb aa ab bb
	norm   float64    // logarithm of the density's factor
}

// Widths of the kernel around a sample's colour, in L*a*b* units, on top of
// the variation seen at the sample. Lightness is trusted least: shine and
// shade change it, hardly the hue. Between 7 and 12, and 2.5 and 5, the figures
// of TestRealPhotographs hardly moved.
const (
	widthL  = 7.0
	widthAB = 3.5
)

// newLook measures the colours within r of working pixel (x, y).
func newLook(lab [3]raster.Plane, x, y, r int) look {
	var sum colour
	var sq [6]float64
	n := 0.0
	for dy := -r; dy <= r; dy++ {
		for dx := -r; dx <= r; dx++ {
			px, py := x+dx, y+dy
			if dx*dx+dy*dy > r*r || px < 0 || py < 0 || px >= lab[0].W || py >= lab[0].H {
				continue
			}
			c := colour{float64(lab[0].At(px, py)), float64(lab[1].At(px, py)), float64(lab[2].At(px, py))}
			n++
			for i := range c {
				sum[i] += c[i]
			}
			addSquares(&sq, c, 1)
		}
	}
	for i := range sum {
		sum[i] /= n
	}
	for i := range sq {
		sq[i] /= n
	}
	addSquares(&sq, sum, -1)
	sq[0] += widthL * widthL
	sq[3] += widthAB * widthAB
	sq[5] += widthAB * widthAB
	return lookFrom(sum, sq)
}

func addSquares(sq *[6]float64, c colour, k float64) {
	sq[0] += k * c[0] * c[0]
	sq[1] += k * c[0] * c[1]
	sq[2] += k * c[0] * c[2]
	sq[3] += k * c[1] * c[1]
	sq[4] += k * c[1] * c[2]
	sq[5] += k * c[2] * c[2]
}

// lookFrom inverts the covariance s, which has positive diagonal added to it
// and so is positive definite.
func lookFrom(mean colour, s [6]float64) look {
	c00 := s[3]*s[5] - s[4]*s[4]
	c01 := s[2]*s[4] - s[1]*s[5]
	c02 := s[1]*s[4] - s[2]*s[3]
	det := s[0]*c00 + s[1]*c01 + s[2]*c02
	return look{mean: mean, norm: -0.5 * math.Log(det), spread: [6]float64{
		c00 / det, c01 / det, c02 / det,
		(s[0]*s[5] - s[2]*s[2]) / det, (s[1]*s[2] - s[0]*s[4]) / det, (s[0]*s[3] - s[1]*s[1]) / det}}
}

// density is the logarithm of the look's density at c, up to a constant.
func (k look) density(c colour) float64 {
	l, a, b := c[0]-k.mean[0], c[1]-k.mean[1], c[2]-k.mean[2]
	s := &k.spread
	return k.norm - 0.5*(s[0]*l*l+s[3]*a*a+s[5]*b*b+2*(s[1]*l*a+s[2]*l*b+s[4]*a*b))
}
