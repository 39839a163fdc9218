package schematic

// node is a place and the direction it was reached in.
type node struct {
	cost int32
	key  int32 // place*4 + direction
}

func (n node) before(m node) bool { return n.cost < m.cost || n.cost == m.cost && n.key < m.key }

// nodeHeap gives the cheapest node first. It stands here instead of
// container/heap since that boxes every node, which trebles the time of the
// router.
type nodeHeap []node

func (h *nodeHeap) push(n node) {
	s := append(*h, n)
	i := len(s) - 1
	for i > 0 {
		up := (i - 1) / 2
		if !n.before(s[up]) {
			break
		}
		s[i] = s[up]
		i = up
	}
	s[i] = n
	*h = s
}

func (h *nodeHeap) pop() node {
	s := *h
	top, n := s[0], s[len(s)-1]
	s = s[:len(s)-1]
	i := 0
	for {
		down := 2*i + 1
		if down >= len(s) {
			break
		}
		if down+1 < len(s) && s[down+1].before(s[down]) {
			down++
		}
		if !s[down].before(n) {
			break
		}
		s[i] = s[down]
		i = down
	}
	if len(s) > 0 {
		s[i] = n
	}
	*h = s
	return top
}
