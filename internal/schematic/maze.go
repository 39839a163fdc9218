package schematic

// maze is the grid that wires are routed on. Each place knows which net runs
// out of it to each of its four sides.
type maze struct {
	w, h  int
	arm   [][4]int16 // net + 1 to that side; 0: nothing
	solid []bool     // symbol, text or mark: no wire of a route
	owner []int16    // net + 1 that alone may come here: the way out of a lead
	near  []bool     // beside a symbol or text: a wire is not welcome
}

func newMaze(w, h int) *maze {
	n := w * h
	return &maze{w: w, h: h, arm: make([][4]int16, n), solid: make([]bool, n), owner: make([]int16, n), near: make([]bool, n)}
}

func (m *maze) id(c cell) int { return c.y*m.w + c.x }

func (m *maze) cell(id int) cell { return cell{id % m.w, id / m.w} }

func (m *maze) inside(c cell) bool { return c.x >= 0 && c.y >= 0 && c.x < m.w && c.y < m.h }

// block makes the places of r solid and their surroundings unwelcome.
func (m *maze) block(r rect) {
	g := r.grow(1)
	for y := max(g.y0, 0); y <= min(g.y1, m.h-1); y++ {
		for x := max(g.x0, 0); x <= min(g.x1, m.w-1); x++ {
			id := y*m.w + x
			m.near[id] = true
			if x >= r.x0 && x <= r.x1 && y >= r.y0 && y <= r.y1 {
				m.solid[id] = true
			}
		}
	}
}

// step returns the place to the side.
func (m *maze) step(id int, s Side) int {
	switch s {
	case Up:
		return id - m.w
	case Down:
		return id + m.w
	case Left:
		return id - 1
	}
	return id + 1
}

// join draws a net's piece from a place to its neighbour.
func (m *maze) join(id int, s Side, net int) {
	m.arm[id][s] = int16(net + 1)
	m.arm[m.step(id, s)][s.opposite()] = int16(net + 1)
}

// arms counts the net's pieces that meet at a place.
func (m *maze) arms(id, net int) int {
	n := 0
	for _, a := range m.arm[id] {
		if a == int16(net+1) {
			n++
		}
	}
	return n
}

// crossable tells whether a wire of the net may run straight over the place
// in the direction: nothing is there, or one other wire goes straight across.
func (m *maze) crossable(id int, s Side, net int) (other int, ok bool) {
	a := &m.arm[id]
	along, back := a[s], a[s.opposite()]
	left, right := a[(s+1)&3], a[(s+3)&3]
	if along != 0 || back != 0 && back != int16(net+1) {
		return 0, false
	}
	if left == 0 && right == 0 {
		return -1, true
	}
	if left == right && left != int16(net+1) {
		return int(left) - 1, true
	}
	return 0, false
}

// empty tells whether no wire touches the place.
func (m *maze) empty(id int) bool { return m.arm[id] == [4]int16{} }

// erase takes up all pieces of a net but the ways out of its leads, which
// are drawn again by the caller.
func (m *maze) erase(net int) {
	for id := range m.arm {
		for s := range m.arm[id] {
			if m.arm[id][s] == int16(net+1) {
				m.arm[id][s] = 0
			}
		}
	}
}

// piece is one step of wire, from a place to the right or down.
type piece struct {
	id   int
	side Side
}

// pieces lists the steps of a net's wires.
func (m *maze) pieces(net int) []piece {
	var out []piece
	for id := range m.arm {
		for _, s := range [2]Side{Right, Down} {
			if m.arm[id][s] == int16(net+1) {
				out = append(out, piece{id, s})
			}
		}
	}
	return out
}

// price is what a net's wires cost as they lie.
func (m *maze) price(net int) int {
	me := int16(net + 1)
	sum := 0
	for id, a := range m.arm {
		n := m.arms(id, net)
		if n == 0 {
			continue
		}
		sum += n * stepCost / 2
		if m.near[id] {
			sum += n * nearCost / 2
		}
		straight := a[Up] == me && a[Down] == me || a[Left] == me && a[Right] == me
		switch {
		case n == 3:
			sum += dotCost
		case n == 2 && !straight:
			sum += bendCost
		case n == 2 && a != [4]int16{me, 0, me, 0} && a != [4]int16{0, me, 0, me}:
			sum += crossCost
		}
	}
	return sum
}
