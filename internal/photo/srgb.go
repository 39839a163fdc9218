package photo

import "math"

// linearOf is the linear light of one sRGB value, both 0 to 1.
//
// Source: IEC 61966-2-1:1999, §5.2.
func linearOf(v float64) float64 {
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

// linearTable holds linearOf for the 256 stored values. Tables are built per
// call (256 powers, some 20 µs) since packages here keep no state.
func linearTable() *[256]float32 {
	var t [256]float32
	for i := range t {
		t[i] = float32(linearOf(float64(i) / 255))
	}
	return &t
}

// Luminance row of the sRGB matrix. Source: IEC 61966-2-1:1999, §5.2.
const (
	lumR = 0.2126
	lumG = 0.7152
	lumB = 0.0722
)
