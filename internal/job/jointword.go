package job

import (
	"math"
	"strconv"
	"strings"
)

// JointWord reads a place on the foil photo that is written in one line, as
// the list of continuity checks writes it: joint 412, 318.
func JointWord(text string) (Pixel, bool) {
	rest, ok := strings.CutPrefix(strings.TrimSpace(text), "joint ")
	xs, ys, two := strings.Cut(rest, ",")
	x, errX := strconv.ParseFloat(strings.TrimSpace(xs), 64)
	y, errY := strconv.ParseFloat(strings.TrimSpace(ys), 64)
	if !ok || !two || errX != nil || errY != nil || math.IsNaN(x+y) || math.IsInf(x+y, 0) {
		return Pixel{}, false
	}
	return Pixel{x, y}, true
}
