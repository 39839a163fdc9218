package photo

import (
	"context"
	"image"
	"math"

	"foilside/internal/num/raster"
)

// LabPlanes is a photo in CIE L*a*b* under the sRGB white (D65): L* 0 to 100,
// a* green to red, b* blue to yellow.
type LabPlanes struct {
	L, A, B raster.Plane
}

// Lab converts a photo.
//
// Accuracy: within 0.02 of the formula in each of L*, a*, b* (the cube root is
// read from a table).
// Source: IEC 61966-2-1:1999 (sRGB to XYZ), CIE 15:2004 §8.2.1 (L*a*b*). The
// white is the matrix's own, so a grey has a* = b* = 0.
func Lab(ctx context.Context, img *image.RGBA) (LabPlanes, error) {
	return EvenLab(ctx, img, Light{})
}

// EvenLab converts a photo with the light divided out, so that the same
// material has the same colour all over the board. The zero Light leaves the
// photo as it is.
func EvenLab(ctx context.Context, img *image.RGBA, light Light) (LabPlanes, error) {
	w, h := img.Rect.Dx(), img.Rect.Dy()
	out := LabPlanes{raster.NewPlane(w, h), raster.NewPlane(w, h), raster.NewPlane(w, h)}
	linear, root := linearTable(), newRootTable()
	raster.Rows(h, func(y0, y1 int) {
		gain := make([]float32, w)
		for y := y0; y < y1 && ctx.Err() == nil; y++ {
			light.gains(gain, y)
			row := img.Pix[y*img.Stride : y*img.Stride+4*w]
			labRow(out.L.Row(y), out.A.Row(y), out.B.Row(y), row, gain, linear, root)
		}
	})
	return out, ctx.Err()
}

func labRow(l, a, b []float32, row []uint8, gain []float32, linear *[256]float32, root *rootTable) {
	// Rows of the sRGB matrix divided by their sums, so that white gives 1, 1, 1.
	const (
		xr, xg, xb = 0.4124 / 0.9505, 0.3576 / 0.9505, 0.1805 / 0.9505
		zr, zg, zb = 0.0193 / 1.0890, 0.1192 / 1.0890, 0.9505 / 1.0890
	)
	for x := range l {
		px := row[4*x : 4*x+3 : 4*x+3]
		g := gain[x]
		red, green, blue := g*linear[px[0]], g*linear[px[1]], g*linear[px[2]]
		fx := root.at(xr*red + xg*green + xb*blue)
		fy := root.at(lumR*red + lumG*green + lumB*blue)
		fz := root.at(zr*red + zg*green + zb*blue)
		l[x] = 116*fy - 16
		a[x] = 500 * (fx - fy)
		b[x] = 200 * (fy - fz)
	}
}

// rootTable tabulates the CIE function (a cube root with a straight foot) over
// 0 to rootTop, read with linear interpolation; above, it is computed.
type rootTable [rootSteps + 2]float32

const (
	rootSteps = 4096
	// rootTop leaves room for light gains above 1.
	rootTop = 2.0
)

func newRootTable() *rootTable {
	var t rootTable
	for i := range t {
		t[i] = float32(cieRoot(float64(i) * rootTop / rootSteps))
	}
	return &t
}

func (t *rootTable) at(v float32) float32 {
	s := v * (rootSteps / rootTop)
	if s >= rootSteps {
		return float32(cieRoot(float64(v)))
	}
	i := int(s)
	return t[i] + (s-float32(i))*(t[i+1]-t[i])
}

// cieRoot is f(t) of CIE 15:2004 §8.2.1.
func cieRoot(t float64) float64 {
	const delta = 6.0 / 29
	if t > delta*delta*delta {
		return math.Cbrt(t)
	}
	return t/(3*delta*delta) + 4.0/29
}
