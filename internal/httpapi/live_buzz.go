package httpapi

import (
	"context"

	"foilside/internal/board"
	"foilside/internal/circuit"
	"foilside/internal/num/geom"
)

// Checking tells of the continuity checks of the copper.
func (l *live) Checking(ctx context.Context, beyond []Point) (Checking, error) {
	found, err := l.bench.Checking(ctx, each(beyond, func(p Point) geom.Point { return geom.Point{X: p[0], Y: p[1]} }))
	if err != nil {
		return Checking{}, fault(err)
	}
	out := Checking{List: each(found.Checks, checkWire), Right: found.Now.Right, WrongNets: found.Now.WrongNets, Enough: found.Now.Enough,
		VerifyNeighbours: found.VerifyNeighbours, Unsettled: found.Unsettled,
		Problems: each(found.Problems, func(p circuit.Problem) string { return p.Text })}
	if found.Next != nil {
		check := checkWire(*found.Next)
		out.Check = &check
	}
	return out, nil
}

func checkWire(c board.Check) Check {
	return Check{Red: c.Red, Black: c.Black, RedAt: pointWire(c.RedAt), BlackAt: pointWire(c.BlackAt), Expect: string(c.Expect),
		Probability: c.Probability, Why: c.Why, Caution: c.Caution, Through: c.Through, Doubts: each(c.Doubts, pointWire)}
}
