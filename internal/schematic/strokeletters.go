package schematic

// letterWide and letterHigh are the size of a letter inside a block, and
// letterStep the distance of two.
const (
	letterWide = 3.0
	letterHigh = 5.0
	letterStep = 4.6
)

// strokeLetter is a capital as lines on a field of 3 × 5, y down. Names inside
// a block are part of the symbol and drawn in its line weight; the text boxes
// of a drawing stay clear of symbols.
func strokeLetter(r rune) [][]float64 {
	switch r {
	case 'C':
		return [][]float64{{3, 1, 2, 0, 1, 0, 0, 1, 0, 4, 1, 5, 2, 5, 3, 4}}
	case 'D':
		return [][]float64{{0, 0, 0, 5, 1.8, 5, 3, 3.8, 3, 1.2, 1.8, 0, 0, 0}}
	case 'E':
		return [][]float64{{3, 0, 0, 0, 0, 5, 3, 5}, {0, 2.4, 2.4, 2.4}}
	case 'G':
		return [][]float64{{3, 1, 2, 0, 1, 0, 0, 1, 0, 4, 1, 5, 3, 5, 3, 2.8, 1.8, 2.8}}
	case 'H':
		return [][]float64{{0, 0, 0, 5}, {3, 0, 3, 5}, {0, 2.5, 3, 2.5}}
	case 'I':
		return [][]float64{{1.5, 0, 1.5, 5}}
	case 'N':
		return [][]float64{{0, 5, 0, 0, 3, 5, 3, 0}}
	case 'O':
		return [][]float64{{1, 0, 0, 1, 0, 4, 1, 5, 2, 5, 3, 4, 3, 1, 2, 0, 1, 0}}
	case 'R':
		return [][]float64{{0, 5, 0, 0, 2, 0, 3, 0.8, 3, 1.8, 2, 2.6, 0, 2.6}, {1.6, 2.6, 3, 5}}
	case 'S':
		return [][]float64{{3, 0.8, 2.2, 0, 0.8, 0, 0, 0.8, 0, 1.7, 3, 3.3, 3, 4.2, 2.2, 5, 0.8, 5, 0, 4.2}}
	case 'T':
		return [][]float64{{0, 0, 3, 0}, {1.5, 0, 1.5, 5}}
	case 'U':
		return [][]float64{{0, 0, 0, 4, 1, 5, 2, 5, 3, 4, 3, 0}}
	case 'V':
		return [][]float64{{0, 0, 1.5, 5, 3, 0}}
	}
	return nil
}

// word draws a name with its upper left corner at x, y.
func (p *pen) word(name string, x, y float64) {
	for _, r := range name {
		for _, run := range strokeLetter(r) {
			xy := make([]float64, len(run))
			for i := 0; i < len(run); i += 2 {
				xy[i], xy[i+1] = x+run[i], y+run[i+1]
			}
			p.line(xy...)
		}
		x += letterStep
	}
}

// wordWidth is how wide a name comes out.
func wordWidth(name string) float64 { return letterStep*float64(len(name)) - (letterStep - letterWide) }
