package align

import (
	"image"
	"math"

	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
)

// face is one photo with what its outline tells of how the camera looked at
// the board. Levelled places are pixels of the same photo as a camera square
// to the board would have taken it: there circles on the board are circles, so
// that a circle's centre found there is the centre on the board, and not the
// centre of the ellipse that the photo shows.
//
// Source: an ellipse's centre is not the picture of the circle's centre,
// Heikkilä & Silvén, Proc. CVPR 1997, §2.2.
type face struct {
	img   *image.RGBA
	size  Size
	quad  [4]geom.Point // of the board, photo pixels
	level geom.Projective
	back  geom.Projective
}

// focal is the focal length taken for a camera, against the photo's longer
// side. A wrong one tells a wrong tilt and so a wrong shape of circles: with a
// tilt of 15° and half the true length, 3 %, which moves no full circle's
// centre.
const focal = 1.3

func newFace(img *image.RGBA, o outline) face {
	f := face{img: img, size: Size{img.Rect.Dx(), img.Rect.Dy()}, quad: o.quad,
		level: geom.Identity(), back: geom.Identity()}
	if !o.seen {
		return f
	}
	if m, ok := levelling(o.quad, f.size); ok {
		if inv, err := m.Inverse(); err == nil {
			f.level, f.back = m, inv
		}
	}
	return f
}

// levelling turns the camera so that it looks square at the plane of the
// rectangle that the photo shows as quad; the scale at its middle stays.
//
// Source: the plane's normal is the vanishing line seen through the camera,
// Hartley & Zisserman, Multiple View Geometry, 2nd ed., §8.6.
func levelling(quad [4]geom.Point, size Size) (geom.Projective, bool) {
	rect := [4]geom.Point{{}, {X: 1}, {X: 1, Y: 1}, {Y: 1}}
	toRect, ok := geom.FourPoint(quad, rect)
	if !ok {
		return geom.Projective{}, false
	}
	f, c := focal*float64(max(size.Width, size.Height)), size.centre()
	camera := geom.Projective{f, 0, c.X, 0, f, c.Y, 0, 0, 1}
	inv, err := camera.Inverse()
	if err != nil {
		return geom.Projective{}, false
	}
	line := toRect.Mul(camera) // its last row is the vanishing line as the camera sees it
	n := [3]float64{line[6], line[7], line[8]}
	turned, ok := turnUp(n)
	if !ok {
		return geom.Projective{}, false
	}
	m := camera.Mul(turned).Mul(inv)
	mid := mean(quad[:])
	j := m.Jacobian(mid)
	scale := math.Sqrt(math.Abs(j[0]*j[3] - j[1]*j[2]))
	at := m.Apply(mid)
	if !(scale > 0.1 && scale < 10) || !at.Finite() {
		return geom.Projective{}, false
	}
	k := 1 / scale
	return geom.Projective{k, 0, mid.X - k*at.X, 0, k, mid.Y - k*at.Y, 0, 0, 1}.Mul(m), true
}

// steepest is the least cosine of a tilt that is undone: 60°.
const steepest = 0.5

// turnUp is the smallest rotation that brings a plane's normal onto the
// camera's axis; false where it is steeper than any use.
func turnUp(n [3]float64) (geom.Projective, bool) {
	size := math.Sqrt(n[0]*n[0] + n[1]*n[1] + n[2]*n[2])
	if n[2] < 0 {
		size = -size
	}
	x, y, z := n[0]/size, n[1]/size, n[2]/size
	if !(z > steepest) {
		return geom.Projective{}, false
	}
	k := 1 / (1 + z)
	return geom.Projective{1 - k*x*x, -k * x * y, -x, -k * x * y, 1 - k*y*y, -y, x, y, z}, true
}

// brightness is the photo's luma at a pixel, 0 to 255, straight between
// pixels and moved into the photo where it lies outside.
func (f *face) brightness(p geom.Point) float32 {
	w, h := f.size.Width, f.size.Height
	x := math.Min(math.Max(p.X, 0), float64(w-1))
	y := math.Min(math.Max(p.Y, 0), float64(h-1))
	x0, y0 := int(x), int(y)
	x1, y1 := min(x0+1, w-1), min(y0+1, h-1)
	fx, fy := float32(x-float64(x0)), float32(y-float64(y0))
	top := f.luma(x0, y0)*(1-fx) + f.luma(x1, y0)*fx
	bottom := f.luma(x0, y1)*(1-fx) + f.luma(x1, y1)*fx
	return top*(1-fy) + bottom*fy
}

// luma weighs the stored values of a pixel (ITU-R BT.601).
func (f *face) luma(x, y int) float32 {
	p := f.img.Pix[y*f.img.Stride+4*x:]
	return 0.299*float32(p[0]) + 0.587*float32(p[1]) + 0.114*float32(p[2])
}

// patch is a square of the levelled photo round a place.
type patch struct {
	plane  raster.Plane
	corner geom.Point // levelled place of the patch's first pixel
	step   float64    // levelled pixels from one pixel of the patch to the next
}

// inside is a levelled place in the patch's own pixels; outside is its inverse.
func (p patch) inside(at geom.Point) geom.Point  { return at.Sub(p.corner).Scale(1 / p.step) }
func (p patch) outside(at geom.Point) geom.Point { return at.Scale(p.step).Add(p.corner) }

// patch samples the photo round a levelled place, half a side each way, at
// every step-th pixel. A step of more than one pixel averages over it, with
// four samples a pixel of the patch.
func (f *face) patch(at geom.Point, half, step float64) patch {
	n := 2*int(math.Ceil(half/step)) + 1
	side := float64(n/2) * step
	p := patch{raster.NewPlane(n, n), geom.Point{X: math.Round(at.X) - side, Y: math.Round(at.Y) - side}, step}
	for y := range n {
		row := p.plane.Row(y)
		for x := range row {
			c := p.corner.Add(geom.Point{X: float64(x), Y: float64(y)}.Scale(step))
			if step < 1.5 {
				row[x] = f.brightness(f.back.Apply(c))
				continue
			}
			sum := float32(0)
			for _, d := range [4]geom.Point{{X: -0.25, Y: -0.25}, {X: 0.25, Y: -0.25}, {X: -0.25, Y: 0.25}, {X: 0.25, Y: 0.25}} {
				sum += f.brightness(f.back.Apply(c.Add(d.Scale(step))))
			}
			row[x] = sum / 4
		}
	}
	return p
}
