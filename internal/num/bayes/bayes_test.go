package bayes_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distmv"
	"pgregory.net/rapid"

	"foilside/internal/num/bayes"
)

func TestPosterior(t *testing.T) {
	// Closed form: prior 1:3, likelihood 2:1 → 2:3.
	p, evidence := bayes.Posterior([]float64{math.Log(1), math.Log(3)}, []float64{math.Log(2), math.Log(1)})
	near(t, "posterior", p[0], 0.4, 1e-12)
	near(t, "evidence", math.Exp(evidence), (1*2.0+3*1)/4, 1e-12)

	impossible := []float64{math.Inf(-1), math.Inf(-1)}
	p, evidence = bayes.Posterior([]float64{0, 0}, impossible)
	if p[0] != 0.5 || !math.IsInf(evidence, -1) {
		t.Errorf("all impossible: got %v with evidence %v, want the prior and -Inf", p, evidence)
	}
	p, _ = bayes.Posterior([]float64{-5000, -5000 + math.Log(3)}, []float64{-900, -900})
	near(t, "far below exp's range", p[0], 0.25, 1e-9)
}

func TestInformationIsMutualInformation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h, o := rapid.IntRange(1, 6).Draw(t, "hypotheses"), rapid.IntRange(1, 5).Draw(t, "outcomes")
		prior := simplex(t, h)
		rows := make([][]float64, h)
		for i := range rows {
			rows[i] = simplex(t, o)
		}
		got := bayes.Information(prior, rows)
		// Oracle: H(hypothesis) less the expected posterior entropy.
		want := bayes.Entropy(prior)
		for k := range o {
			post, mass := make([]float64, h), 0.0
			for i := range h {
				post[i] = prior[i] * rows[i][k]
				mass += post[i]
			}
			want -= mass * bayes.Entropy(post)
		}
		if math.Abs(got-want) > 1e-9 {
			t.Fatalf("information %g, by expected posterior entropy %g", got, want)
		}
	})
}

func simplex(t *rapid.T, n int) []float64 {
	p, sum := make([]float64, n), 0.0
	for i := range p {
		p[i] = rapid.Float64Range(0, 1).Draw(t, "p") + 1e-6
		sum += p[i]
	}
	for i := range p {
		p[i] /= sum
	}
	return p
}

func TestAffinity(t *testing.T) {
	for _, tc := range []struct {
		name string
		p, q []float64
		want float64
	}{
		{"same", []float64{0.2, 0.8}, []float64{0.2, 0.8}, 1},
		{"nothing in common", []float64{1, 0}, []float64{0, 1}, 0},
		{"one sure, one even", []float64{1, 0}, []float64{0.5, 0.5}, math.Sqrt(0.5)},
	} {
		t.Run(tc.name, func(t *testing.T) { near(t, "affinity", bayes.Affinity(tc.p, tc.q), tc.want, 1e-12) })
	}
}

func TestPartitionDoesNotChain(t *testing.T) {
	x := []float64{0, 0.9, 1.8, 5, 5.1}
	got := bayes.Partition(len(x), func(i, j int) bool { return math.Abs(x[i]-x[j]) < 1 })
	if want := []int{0, 0, 1, 2, 2}; !slices.Equal(got, want) {
		t.Errorf("groups %v, want %v: 0 and 1.8 are told apart although 0.9 is like both", got, want)
	}
}

// TestCloudLeaveOneOut: leaving out a value is the same as never having had it.
func TestCloudLeaveOneOut(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	points := correlated(rng, 40)
	x, noise := []float64{0.3, 0.1, -0.2}, []float64{0.1, 0.2, 0.1}
	c, err := bayes.NewCloud(points, nil, noise)
	if err != nil {
		t.Fatal(err)
	}
	fit := c.Fit(x, nil)
	for i := range x {
		// The bandwidth depends on the dimension, so the oracle is numeric:
		// integrate the full density over value i.
		sum, step := 0.0, 0.01
		for v := -12.0; v < 12; v += step {
			y := slices.Clone(x)
			y[i] = v
			sum += math.Exp(c.Fit(y, nil).All) * step
		}
		near(t, "density without one", fit.Without[i], math.Log(sum), 1e-3)
	}
}

// TestCloudLeaveTwoOut: leaving out two values is the density of the third.
func TestCloudLeaveTwoOut(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 2))
	points := correlated(rng, 40)
	x, noise := []float64{0.3, 0.1, -0.2}, []float64{0.1, 0.2, 0.1}
	c, err := bayes.NewCloud(points, nil, noise)
	if err != nil {
		t.Fatal(err)
	}
	fit := c.Fit(x, nil)
	for i := range x {
		for j := range i {
			sum, step := 0.0, 0.05
			for u := -12.0; u < 12; u += step {
				y := slices.Clone(x)
				y[i] = u
				sum += math.Exp(c.Fit(y, nil).Without[j]) * step
			}
			near(t, "density without two", fit.Pairs[i][j], math.Log(sum), 2e-3)
		}
	}
}

func TestWithOutlierNamesTwoStrangers(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	c, err := bayes.NewCloud(correlated(rng, 30), nil, []float64{0.05, 0.05, 0.05})
	if err != nil {
		t.Fatal(err)
	}
	rates := []float64{0.01, 0.01, 0.01}
	got := bayes.WithOutlier(c.Fit([]float64{30, 0.1, 40}, nil), []float64{-4, -4, -4}, rates)
	if got.Outlier[0] < 0.99 || got.Outlier[2] < 0.99 || got.Outlier[1] > 0.2 {
		t.Errorf("outliers %v, want the first and the third", got.Outlier)
	}
}

// TestCloudIsNotOverconfident: a new draw of the same law gets a log density
// close to the law's own, on average and in the worst of the trials. The law
// is normal and known, so its own density is the oracle.
func TestCloudIsNotOverconfident(t *testing.T) {
	for _, tc := range []struct {
		name        string
		d           int
		mean, worst float64 // nats that may be lost
	}{
		{"three values", 3, 0.6, 6},
		{"eight values, twelve draws", 8, 3, 15},
	} {
		t.Run(tc.name, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(7, 7))
			noise := slices.Repeat([]float64{0.05}, tc.d)
			draw, law := randomLaw(rng, noise)
			var lost, worst float64
			const trials = 400
			for range trials {
				points := make([][]float64, 12)
				for k := range points {
					points[k] = draw()
				}
				c, err := bayes.NewCloud(points, nil, noise)
				if err != nil {
					t.Fatal(err)
				}
				x := draw()
				for i := range x {
					x[i] += noise[i] * rng.NormFloat64()
				}
				loss := law.LogProb(x) - c.Fit(x, nil).All
				lost += loss / trials
				worst = max(worst, loss)
			}
			t.Logf("lost %.2f nats in the mean, %.1f at worst", lost, worst)
			if lost > tc.mean || lost < 0 || worst > tc.worst {
				t.Errorf("a fresh draw loses %.2f nats in the mean and %.1f at worst, want at most %g and %g", lost, worst, tc.mean, tc.worst)
			}
		})
	}
}

// randomLaw mixes ten unit normals into d values; with noise its density is
// known in closed form.
func randomLaw(rng *rand.Rand, noise []float64) (draw func() []float64, law *distmv.Normal) {
	const causes = 10
	d := len(noise)
	b := mat.NewDense(d, causes, nil)
	b.Apply(func(_, _ int, _ float64) float64 { return 0.4 * rng.NormFloat64() }, b)
	cov := mat.NewSymDense(d, nil)
	cov.SymOuterK(1, b)
	for i, s := range noise {
		cov.SetSym(i, i, cov.At(i, i)+s*s)
	}
	law, _ = distmv.NewNormal(make([]float64, d), cov, nil)
	return func() []float64 {
		z := mat.NewVecDense(causes, nil)
		for j := range causes {
			z.SetVec(j, rng.NormFloat64())
		}
		var x mat.VecDense
		x.MulVec(b, z)
		return x.RawVector().Data
	}, law
}

func correlated(rng *rand.Rand, n int) [][]float64 {
	out := make([][]float64, n)
	for k := range out {
		a, b := rng.NormFloat64(), rng.NormFloat64()
		out[k] = []float64{a, a + 0.3*b, 0.5*a - b}
	}
	return out
}

func TestCloudRefuses(t *testing.T) {
	if _, err := bayes.NewCloud([][]float64{{1, 2}}, nil, []float64{1}); err == nil {
		t.Error("two values with one noise were taken")
	}
	if _, err := bayes.NewCloud(nil, nil, []float64{1}); err == nil {
		t.Error("no draws were taken")
	}
}

func TestCloudWithoutValues(t *testing.T) {
	c, err := bayes.NewCloud([][]float64{{}, {}}, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "log density of nothing", c.Fit(nil, nil).All, 0, 1e-12)
	near(t, "half the draws excluded", c.Fit(nil, []float64{0, math.Inf(-1)}).All, math.Log(0.5), 1e-12)
}

func TestWithOutlierNamesTheStranger(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	noise := []float64{0.05, 0.05, 0.05}
	c, err := bayes.NewCloud(correlated(rng, 30), nil, noise)
	if err != nil {
		t.Fatal(err)
	}
	elsewhere, rates := []float64{-4, -4, -4}, []float64{0.01, 0.01, 0.01}
	good := bayes.WithOutlier(c.Fit([]float64{0.1, 0.1, 0.05}, nil), elsewhere, rates)
	bad := bayes.WithOutlier(c.Fit([]float64{0.1, 9, 0.05}, nil), elsewhere, rates)
	if good.Outlier[1] > 0.2 {
		t.Errorf("a fitting value is taken for an outlier with %.2f", good.Outlier[1])
	}
	if bad.Outlier[1] < 0.99 {
		t.Errorf("9 where 0.1 is expected is an outlier with %.2f only", bad.Outlier[1])
	}
	if floor := -4 + math.Log(0.01) - 8; bad.Log < floor {
		t.Errorf("one misread value costs %.1f nats, the floor is near %.1f", bad.Log, floor)
	}
}
