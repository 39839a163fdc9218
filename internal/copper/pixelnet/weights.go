package pixelnet

import (
	_ "embed"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
)

// pixels.f16 holds the weights as training/copper/net.py writes them: their
// count as 32 bits, then 16-bit floats (IEEE 754 binary16), little-endian, in
// the order in which Read walks the layers.
//
//go:embed pixels.f16
var trained []byte

// Trained is the network with the weights that come with the program.
func Trained() (*Net, error) { return Read(trained) }

// Read reads a network's weights.
//
// Errors: the file is cut short or longer than the network.
func Read(data []byte) (*Net, error) {
	if len(data) < 4 {
		return nil, errors.New("pixel network: no weights")
	}
	n := int(binary.LittleEndian.Uint32(data))
	if len(data) != 4+2*n {
		return nil, fmt.Errorf("pixel network: %d bytes of weights, want %d", len(data), 4+2*n)
	}
	r := &reader{left: data[4:]}
	net := r.net()
	if r.short || len(r.left) != 0 {
		return nil, fmt.Errorf("pixel network: %d weights don't fit its layers", n)
	}
	return net, nil
}

type reader struct {
	left  []byte
	short bool
}

// take reads n weights.
func (r *reader) take(n int) []float32 {
	out := make([]float32, n)
	if len(r.left) < 2*n {
		r.short = true
		return out
	}
	for i := range out {
		out[i] = half(binary.LittleEndian.Uint16(r.left[2*i:]))
	}
	r.left = r.left[2*n:]
	return out
}

// half is the value of an IEEE 754 binary16 number.
func half(h uint16) float32 {
	sign, exp, frac := uint32(h>>15)<<31, uint32(h>>10&31), uint32(h&1023)
	switch exp {
	case 0:
		v := float32(frac) / (1 << 24)
		if sign != 0 {
			v = -v
		}
		return v
	case 31:
		return math.Float32frombits(sign | 0x7f800000 | frac<<13)
	}
	return math.Float32frombits(sign | (exp+112)<<23 | frac<<13)
}

func (r *reader) net() *Net {
	n := &Net{}
	n.stem = conv3{r.dense(9*12, at2, true)}
	n.down4, n.lay4 = r.separable(at2, at4, 3, 2), r.chain(2, at4, 3)
	n.down8, n.lay8 = r.separable(at4, at8, 3, 2), r.chain(3, at8, 3)
	n.down16, n.lay16 = r.separable(at8, at16, 3, 2), r.chain(4, at16, 5)
	n.down32, n.lay32 = r.separable(at16, at32, 3, 2), r.chain(3, at32, 5)
	n.whole = r.dense(at32, at32, false)
	n.up16, n.back16 = rise{r.dense(at32, at16, false)}, r.separable(at16, at16, 3, 1)
	n.up8, n.back8 = rise{r.dense(at16, at8, false)}, r.chain(2, at8, 3)
	n.up4, n.back4 = rise{r.dense(at8, at4, false)}, r.chain(2, at4, 3)
	n.up2, n.back2 = rise{r.dense(at4, at2, false)}, r.chain(2, at2, 3)
	n.pixels = r.dense(at2, 4*perPixel, false)
	n.joints = r.dense(at4, 3, false)
	return n
}

func (r *reader) dense(in, out int, rectify bool) dense {
	w := r.take(in * out)
	return newDense(in, out, w, r.take(out), rectify)
}

func (r *reader) separable(in, out, k, stride int) separable {
	l := separable{k: k, stride: stride, w: r.take(k * k * in), b: r.take(in), short: in == out && stride == 1}
	l.mix = r.dense(in, out, true)
	return l
}

func (r *reader) chain(n, c, k int) chain {
	out := make(chain, n)
	for i := range out {
		out[i] = r.separable(c, c, k, 1)
	}
	return out
}
