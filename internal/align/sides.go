package align

import (
	"math"

	"foilside/internal/num/geom"
	"foilside/internal/num/raster"
)

// fullest is the least share of its quad that a board's mask fills.
const fullest = 0.8

// quadRound lays four straight lines along the sides of a mask: the smallest
// turned rectangle round it first, then a robust line along the border near
// each side. straight is the share of the border that lies on the four lines,
// 0 where they make no plausible board.
func quadRound(m raster.Mask) (quad [4]geom.Point, straight float64) {
	border := borderOf(m)
	hull := geom.Hull(border)
	if len(hull) < 4 {
		return quad, 0
	}
	quad = geom.SmallestBox(hull)
	on := 0
	for range 3 {
		next, count, ok := straighten(quad, border)
		if !ok {
			return quad, 0
		}
		quad, on = next, count
	}
	if share := float64(m.Count()) / math.Abs(geom.Area(quad[:])); share < fullest || share > 1.1 {
		return quad, 0
	}
	return quad, float64(on) / float64(len(border))
}

// borderOf lists the outermost pixels of the mask.
func borderOf(m raster.Mask) []geom.Point {
	l := raster.Components(m, false)
	var longest raster.Outline
	for _, o := range raster.Contours(l, 1) {
		if math.Abs(o.Area()) > math.Abs(longest.Area()) {
			longest = o
		}
	}
	return densely(longest)
}

// densely adds points along an outline so that none are more than a pixel
// apart.
func densely(o []geom.Point) []geom.Point {
	var out []geom.Point
	for i, a := range o {
		b := o[(i+1)%len(o)]
		steps := max(1, int(math.Ceil(a.Dist(b))))
		for k := range steps {
			out = append(out, a.Add(b.Sub(a).Scale(float64(k)/float64(steps))))
		}
	}
	return out
}

// straighten fits a line to the border points along each side of the box and
// cuts the lines into new corners; on counts the points on the lines.
func straighten(box [4]geom.Point, border []geom.Point) (out [4]geom.Point, on int, ok bool) {
	var lines [4]line
	for i := range box {
		l, count, ok := sideLine(box[i], box[(i+1)%4], border)
		if !ok {
			return out, 0, false
		}
		lines[i] = l
		on += count
	}
	for i := range out {
		if out[i], ok = lines[(i+3)%4].meets(lines[i]); !ok {
			return out, 0, false
		}
	}
	return out, on, true
}

// line holds the points p with p·(x, y) = c, (x, y) of length 1.
type line struct{ x, y, c float64 }

func (l line) off(p geom.Point) float64 { return l.x*p.X + l.y*p.Y - l.c }

func (l line) meets(m line) (geom.Point, bool) {
	det := l.x*m.y - l.y*m.x
	if math.Abs(det) < 0.1 { // lines within 6° of parallel are no corner
		return geom.Point{}, false
	}
	return geom.Point{X: (l.c*m.y - m.c*l.y) / det, Y: (l.x*m.c - m.x*l.c) / det}, true
}

// Numbers of sideLine, lengths against the side's or in working pixels.
const (
	sideEnds  = 0.06 // left out at either end, where corners are cut or round
	sideBand  = 0.12 // border points this far off still belong to the side
	sideTries = 48   // border points of which every two give a line to try
	sideWidth = 1.5  // working pixels within which a point is on a line
)

// sideLine is the line along one side: of all lines through two of the border
// points near it, the one with most border points on it, so that a plug, a
// notch or a wire doesn't bend it.
func sideLine(a, b geom.Point, border []geom.Point) (l line, on int, ok bool) {
	length := a.Dist(b)
	if length < 8 {
		return line{}, 0, false
	}
	along := b.Sub(a).Scale(1 / length)
	side := line{-along.Y, along.X, 0}
	side.c = side.x*a.X + side.y*a.Y
	var near []geom.Point
	for _, p := range border {
		t := p.Sub(a).X*along.X + p.Sub(a).Y*along.Y
		if t > sideEnds*length && t < (1-sideEnds)*length && math.Abs(side.off(p)) < sideBand*length {
			near = append(near, p)
		}
	}
	if float64(len(near)) < 0.25*length {
		return line{}, 0, false
	}
	best := mostOn(near, 0.25*length)
	if float64(len(best)) < 0.25*length {
		return line{}, 0, false
	}
	return lineThrough(best), len(best), true
}

// mostOn lists the points on the line, through two of them at least apart,
// that has most points on it.
func mostOn(points []geom.Point, apart float64) []geom.Point {
	step := max(1, len(points)/sideTries)
	var best line
	most := 0
	for i := 0; i < len(points); i += step {
		for k := 0; k < i; k += step {
			if points[i].Dist(points[k]) < apart {
				continue
			}
			l := lineThrough([]geom.Point{points[i], points[k]})
			count := 0
			for _, p := range points {
				if math.Abs(l.off(p)) < sideWidth {
					count++
				}
			}
			if count > most {
				best, most = l, count
			}
		}
	}
	var on []geom.Point
	for _, p := range points {
		if most > 0 && math.Abs(best.off(p)) < sideWidth {
			on = append(on, p)
		}
	}
	return on
}

// lineThrough is the total least-squares line.
func lineThrough(points []geom.Point) line {
	c := mean(points)
	var xx, xy, yy float64
	for _, p := range points {
		d := p.Sub(c)
		xx += d.X * d.X
		xy += d.X * d.Y
		yy += d.Y * d.Y
	}
	angle := math.Atan2(2*xy, xx-yy) / 2
	l := line{x: -math.Sin(angle), y: math.Cos(angle)}
	l.c = l.x*c.X + l.y*c.Y
	return l
}
