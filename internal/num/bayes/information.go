package bayes

import "math"

// Information returns the expected information in bits that an observation
// gives about the hypotheses: the mutual information of hypothesis and
// outcome.
//
// Shapes: prior[h] with any positive sum; outcome[h][o] is the probability of
// outcome o under hypothesis h, each row summing to 1.
func Information(prior []float64, outcome [][]float64) float64 {
	if len(outcome) == 0 {
		return 0
	}
	mix := make([]float64, len(outcome[0]))
	var total, within float64
	for h, row := range outcome {
		if prior[h] <= 0 {
			continue
		}
		total += prior[h]
		within += prior[h] * Entropy(row)
		for o, p := range row {
			mix[o] += prior[h] * p
		}
	}
	if total <= 0 {
		return 0
	}
	return math.Max(0, Entropy(mix)-within/total)
}

// Affinity returns the Bhattacharyya coefficient Σ √(pₒ·qₒ) of two outcome
// distributions: 1 when they are the same, 0 when no outcome is common.
func Affinity(p, q []float64) float64 {
	var sum float64
	for o := range p {
		if p[o] > 0 && q[o] > 0 {
			sum += math.Sqrt(p[o] * q[o])
		}
	}
	return math.Min(sum, 1)
}

// Partition puts n hypotheses into groups of which no two members are told
// apart. Members are taken in order, each into the first group where it is
// alike to every member, so that a chain of near neighbours does not become
// one group. It returns the group of each hypothesis, groups numbered from 0
// in order of first appearance.
func Partition(n int, alike func(i, j int) bool) []int {
	group := make([]int, n)
	var members [][]int
	for i := range n {
		group[i] = -1
		for g, list := range members {
			if allAlike(list, i, alike) {
				group[i] = g
				members[g] = append(list, i)
				break
			}
		}
		if group[i] < 0 {
			group[i] = len(members)
			members = append(members, []int{i})
		}
	}
	return group
}

func allAlike(list []int, i int, alike func(i, j int) bool) bool {
	for _, j := range list {
		if !alike(j, i) {
			return false
		}
	}
	return true
}
