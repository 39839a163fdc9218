package photo

// Plane is one number a pixel, row by row: the value at (x, y) is Pix[y*W+x].
type Plane struct {
	W, H int
	Pix  []float32 // W*H
}

// NewPlane returns a plane of zeros.
func NewPlane(w, h int) Plane { return Plane{W: w, H: h, Pix: make([]float32, w*h)} }

// At is the value at (x, y), which must lie inside.
func (p Plane) At(x, y int) float32 { return p.Pix[y*p.W+x] }

// Row is row y, sharing memory with the plane.
func (p Plane) Row(y int) []float32 { return p.Pix[y*p.W : (y+1)*p.W] }
