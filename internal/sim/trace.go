package sim

import "slices"

// trace keeps the points of a run in bounded memory. When it overflows, time
// is cut into equal slices and in each the points stay where some net has its
// least or its largest voltage; so no peak is lost, however short.
type trace struct {
	limit  int
	width  float64 // seconds in a slice
	time   []float64
	values [][]float64 // by net watched
}

// traceRoom is for how many points a trace has room at first.
const traceRoom = 256

func newTrace(nets, limit int, span float64) *trace {
	limit = max(limit, 8*(nets+1))
	slots := (limit - 2) / (2 * max(nets, 1))
	t := &trace{limit: limit, width: span / float64(slots), time: make([]float64, 0, traceRoom), values: make([][]float64, nets)}
	room := make([]float64, nets*traceRoom)
	for k := range t.values {
		t.values[k] = room[k*traceRoom : k*traceRoom : (k+1)*traceRoom]
	}
	return t
}

// add takes a point; at gives the voltage of every net watched.
func (t *trace) add(time float64, at func(k int) float64) {
	t.time = append(t.time, time)
	for k := range t.values {
		t.values[k] = append(t.values[k], at(k))
	}
	if len(t.time) >= 2*t.limit {
		t.thin()
	}
}

// thin leaves the extremes of every slice, and the first and the last point.
func (t *trace) thin() {
	var keep []int
	for first := 0; first < len(t.time); {
		slot := int(t.time[first] / t.width)
		end := first + 1
		for end < len(t.time) && int(t.time[end]/t.width) == slot {
			end++
		}
		keep = append(keep, t.extremes(first, end)...)
		first = end
	}
	if keep[0] != 0 {
		keep = append([]int{0}, keep...)
	}
	if last := len(t.time) - 1; keep[len(keep)-1] != last {
		keep = append(keep, last)
	}
	pick(&t.time, keep)
	for k := range t.values {
		pick(&t.values[k], keep)
	}
}

// extremes are the points of a slice where some net is least or largest.
func (t *trace) extremes(first, end int) []int {
	var keep []int
	for _, v := range t.values {
		low, high := first, first
		for i := first + 1; i < end; i++ {
			if v[i] < v[low] {
				low = i
			}
			if v[i] > v[high] {
				high = i
			}
		}
		keep = append(keep, low, high)
	}
	if keep == nil {
		keep = []int{first}
	}
	slices.Sort(keep)
	return slices.Compact(keep)
}

func pick(v *[]float64, keep []int) {
	for to, from := range keep {
		(*v)[to] = (*v)[from]
	}
	*v = (*v)[:len(keep)]
}

// cut drops the points after a time.
func (t *trace) cut(time float64) {
	n := len(t.time)
	for n > 0 && t.time[n-1] > time {
		n--
	}
	t.time = t.time[:n]
	for k := range t.values {
		t.values[k] = t.values[k][:n]
	}
}

// shift moves the points from a time on by some seconds. There must be room.
func (t *trace) shift(from, by float64) {
	for k := len(t.time) - 1; k > 0 && t.time[k] >= from; k-- {
		t.time[k] += by
	}
}
