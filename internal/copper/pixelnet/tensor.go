package pixelnet

// tensor is a picture of c channels; the channels of a pixel lie together.
type tensor struct {
	w, h, c int
	v       []float32
}

func newTensor(w, h, c int) tensor { return tensor{w, h, c, make([]float32, w*h*c)} }

// row is the channels of all pixels of row y.
func (t tensor) row(y int) []float32 { return t.v[y*t.w*t.c : (y+1)*t.w*t.c] }
