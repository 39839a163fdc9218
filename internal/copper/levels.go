package copper

import "math"

// The tree runs on levels: log odds of copper in steps that a byte holds, so
// that it tells sure from surer at both ends, where probabilities crowd.
const (
	// cutLevel is the level of even odds, at which the tree is cut into nets.
	cutLevel = 128
	// certain is the level of a join that a person made: above every pixel.
	certain = 255
	// surest is the highest level that a pixel has by itself: below what a person
	// brushed.
	surest = brushedCopper - 1
	// levelTop is the log odds of the highest level, and levelStep that of one
	// step.
	levelTop  = 8.0
	levelStep = levelTop / (certain - cutLevel)
)

// oddsOf is the log odds of a level.
func oddsOf(level uint8) float64 { return (float64(level) - cutLevel) * levelStep }

// chance is the probability of log odds.
func chance(odds float64) float64 { return 1 / (1 + math.Exp(-odds)) }

// levelTable tabulates the level of a probability.
type levelTable [levelSteps + 1]uint8

// levelSteps is fine enough for the last level of all: its probability is
// 1/3000 below 1.
const levelSteps = 1 << 14

func newLevelTable() *levelTable {
	var t levelTable
	for i := range t {
		p := min(max(float64(i)/levelSteps, chance(-levelTop)), chance(levelTop))
		t[i] = min(uint8(math.Round(cutLevel+logit(p)/levelStep)), surest)
	}
	return &t
}

func (t *levelTable) at(p float32) uint8 { return t[int(p*levelSteps+0.5)] }
