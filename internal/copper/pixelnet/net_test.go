package pixelnet_test

import (
	"encoding/json"
	"image"
	"math"
	"os"
	"testing"

	"foilside/internal/copper/pixelnet"
)

// answer is a small picture with what the network said of it where it was
// trained, in 32-bit floats by another library (training/copper/train.py).
type answer struct {
	W, H, Step int
	RGB        []int
	Pixels     []float64 // seven numbers for every Step-th pixel and row
	Joints     []float64 // three numbers for every cell
}

func TestSameAsWhereItWasTrained(t *testing.T) {
	text, err := os.ReadFile("testdata/answer.json")
	if err != nil {
		t.Fatal(err)
	}
	var a answer
	if err := json.Unmarshal(text, &a); err != nil {
		t.Fatal(err)
	}
	img := image.NewRGBA(image.Rect(0, 0, a.W, a.H))
	for i := range a.W * a.H {
		img.Pix[4*i], img.Pix[4*i+1], img.Pix[4*i+2], img.Pix[4*i+3] = uint8(a.RGB[3*i]), uint8(a.RGB[3*i+1]), uint8(a.RGB[3*i+2]), 255
	}
	net, err := pixelnet.Trained()
	if err != nil {
		t.Fatal(err)
	}
	s, err := net.Look(t.Context(), img)
	if err != nil {
		t.Fatal(err)
	}
	k := 0
	for y := 0; y < a.H; y += a.Step {
		for x := 0; x < a.W; x += a.Step {
			want := a.Pixels[7*k : 7*k+7]
			if got := float64(s.Metal.At(x, y)); math.Abs(got-want[6]) > near*(1+math.Abs(want[6])) {
				t.Errorf("log odds of metal at %d,%d: %v, want %v", x, y, got, want[6])
			}
			for c, p := range softmax(want[:6]) {
				if got := float64(s.Class[c].Pix[y*a.W+x]) / 255; math.Abs(got-p) > 0.03 {
					t.Errorf("class %d at %d,%d: %v, want %v", c, x, y, got, p)
				}
			}
			k++
		}
	}
	for i, v := range s.Joint.Pix {
		want := a.Joints[3*i : 3*i+3]
		for j, got := range []float64{float64(v), float64(s.DX.Pix[i]) / pixelnet.Cell, float64(s.DY.Pix[i]) / pixelnet.Cell} {
			if math.Abs(got-want[j]) > near*(1+math.Abs(want[j])) {
				t.Errorf("joint cell %d number %d: %v, want %v", i, j, got, want[j])
			}
		}
	}
}

// near is what weights of 11 binary digits leave over a few dozen layers.
const near = 0.03

func softmax(v []float64) []float64 {
	out := make([]float64, len(v))
	sum := 0.0
	for i, x := range v {
		out[i] = math.Exp(x)
		sum += out[i]
	}
	for i := range out {
		out[i] /= sum
	}
	return out
}
