package pixelnet

// The number of channels at 1/2, 1/4, 1/8, 1/16 and 1/32 of the picture.
const (
	at2  = 24
	at4  = 40
	at8  = 72
	at16 = 128
	at32 = 192
)

// Grain is what a picture's sides must be multiples of.
const Grain = 32

// perPixel are the numbers for each pixel: a score for each class, and the log
// odds of metal.
const perPixel = int(classes) + 1

// Net is the network with its weights. It doesn't change once read.
type Net struct {
	stem   conv3
	down4  separable
	lay4   chain
	down8  separable
	lay8   chain
	down16 separable
	lay16  chain
	down32 separable
	lay32  chain
	whole  dense
	up16   rise
	back16 separable
	up8    rise
	back8  chain
	up4    rise
	back4  chain
	up2    rise
	back2  chain
	pixels dense
	joints dense
}

// run gives the scores at 1/2 (four pixels' perPixel numbers at a time, number
// by number) and at 1/4 (joint, offset x, offset y).
func (n *Net) run(x tensor) (pixels, joints tensor) {
	x2 := n.stem.apply(x)
	x4 := n.lay4.apply(n.down4.apply(x2))
	x8 := n.lay8.apply(n.down8.apply(x4))
	x16 := n.lay16.apply(n.down16.apply(x8))
	x32 := n.lay32.apply(n.down32.apply(x16))
	n.addWhole(x32)
	y := n.back16.apply(n.up16.apply(x32, x16))
	y = n.back8.apply(n.up8.apply(y, x8))
	y4 := n.back4.apply(n.up4.apply(y, x4))
	y = n.back2.apply(n.up2.apply(y4, x2))
	return n.pixels.everywhere(y), n.joints.everywhere(y4)
}

// addWhole adds to every pixel what the mean over the picture says.
func (n *Net) addWhole(x tensor) {
	sums := make([]float64, x.c)
	for i, v := range x.v {
		sums[i%x.c] += float64(v)
	}
	mean := make([]float32, x.c)
	for c, s := range sums {
		mean[c] = float32(s / float64(x.w*x.h))
	}
	said := make([]float32, x.c)
	n.whole.apply(mean, said)
	for i := range x.v {
		x.v[i] += said[i%x.c]
	}
}
