package validity

import (
	"math"
	"slices"
)

// Bounded is a figure with its 95 % interval.
type Bounded struct {
	Value float64 `json:"value"`
	Lower float64 `json:"lower"`
	Upper float64 `json:"upper"`
}

const z95 = 1.959964 // standard normal, 97.5 %

// AUC is the probability that a of one group exceeds b of the other, ties half,
// with the interval of DeLong, DeLong and Clarke-Pearson (1988). Where all pairs
// agree their variance is nought and says too much: then it is Wilson's for a
// share, of as many as the smaller group has.
func AUC(a, b []float64) Bounded {
	na, nb := float64(len(a)), float64(len(b))
	va, vb := make([]float64, len(a)), make([]float64, len(b))
	sum := 0.0
	for i, x := range a {
		for j, y := range b {
			w := 0.0
			switch {
			case x > y:
				w = 1
			case x == y:
				w = .5
			}
			sum += w
			va[i] += w / nb
			vb[j] += w / na
		}
	}
	auc := sum / (na * nb)
	if auc == 0 || auc == 1 {
		lo, hi := wilson(auc, math.Min(na, nb))
		return Bounded{auc, lo, hi}
	}
	se := math.Sqrt(variance(va)/na + variance(vb)/nb)
	return Bounded{auc, math.Max(0, auc-z95*se), math.Min(1, auc+z95*se)}
}

// wilson is the score interval of a share p of n (Wilson 1927).
func wilson(p, n float64) (lo, hi float64) {
	const z2 = z95 * z95
	middle := (p + z2/(2*n)) / (1 + z2/n)
	half := z95 / (1 + z2/n) * math.Sqrt(p*(1-p)/n+z2/(4*n*n))
	return math.Max(0, middle-half), math.Min(1, middle+half)
}

func mean(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return sum / float64(len(v))
}

// variance of a sample, n - 1 below.
func variance(v []float64) float64 {
	if len(v) < 2 {
		return 0
	}
	m, sum := mean(v), 0.0
	for _, x := range v {
		sum += (x - m) * (x - m)
	}
	return sum / float64(len(v)-1)
}

// CohenD is the difference of means in pooled standard deviations.
func CohenD(a, b []float64) float64 {
	na, nb := float64(len(a)), float64(len(b))
	pooled := math.Sqrt(((na-1)*variance(a) + (nb-1)*variance(b)) / (na + nb - 2))
	if pooled == 0 {
		return 0
	}
	return (mean(a) - mean(b)) / pooled
}

// TauB is Kendall's rank correlation with ties (Kendall 1945), and its 95 %
// interval from the jackknife.
func TauB(x, y []float64) Bounded {
	n := len(x)
	// s and the pairs tied, by the point that they belong to.
	s, tx, ty := make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range n {
		for j := range n {
			if i == j {
				continue
			}
			dx, dy := sign(x[i]-x[j]), sign(y[i]-y[j])
			s[i] += dx * dy
			if dx == 0 {
				tx[i]++
			}
			if dy == 0 {
				ty[i]++
			}
		}
	}
	total := func(v []float64) (sum float64) {
		for _, w := range v {
			sum += w
		}
		return sum / 2
	}
	tau := func(s, tx, ty, n float64) float64 {
		pairs := n * (n - 1) / 2
		d := math.Sqrt((pairs - tx) * (pairs - ty))
		if d == 0 {
			return 0
		}
		return s / d
	}
	allS, allX, allY, m := total(s), total(tx), total(ty), float64(n)
	all := tau(allS, allX, allY, m)
	pseudo := make([]float64, n)
	for i := range n {
		pseudo[i] = m*all - (m-1)*tau(allS-s[i], allX-tx[i], allY-ty[i], m-1)
	}
	se := math.Sqrt(variance(pseudo) / m)
	return Bounded{all, math.Max(-1, all-z95*se), math.Min(1, all+z95*se)}
}

func sign(v float64) float64 {
	switch {
	case v > 0:
		return 1
	case v < 0:
		return -1
	}
	return 0
}

// Pearson is the correlation of two lists.
func Pearson(x, y []float64) float64 {
	mx, my := mean(x), mean(y)
	var xx, xy, yy float64
	for k := range x {
		xx += (x[k] - mx) * (x[k] - mx)
		xy += (x[k] - mx) * (y[k] - my)
		yy += (y[k] - my) * (y[k] - my)
	}
	if xx == 0 || yy == 0 {
		return 0
	}
	return xy / math.Sqrt(xx*yy)
}

// ICC is the intraclass correlation of subjects each measured as often, one-way
// random, single measures: ICC(1,1) of Shrout and Fleiss (1979), with Fisher's
// interval.
func ICC(subjects [][]float64) Bounded {
	n, k := float64(len(subjects)), float64(len(subjects[0]))
	grand := 0.0
	for _, v := range subjects {
		grand += mean(v) / n
	}
	var between, within float64
	for _, v := range subjects {
		m := mean(v)
		between += k * (m - grand) * (m - grand) / (n - 1)
		within += variance(v) / n
	}
	if between+within == 0 {
		return Bounded{1, 1, 1}
	}
	icc := (between - within) / (between + (k-1)*within)
	toZ := func(r float64) float64 { return math.Log((1+(k-1)*r)/(1-r)) / 2 }
	fromZ := func(z float64) float64 { return (math.Exp(2*z) - 1) / (math.Exp(2*z) + k - 1) }
	z := toZ(math.Min(icc, 1-1e-9))
	half := z95 * math.Sqrt(k/(2*(k-1)*math.Max(1, n-2)))
	return Bounded{icc, fromZ(z - half), fromZ(z + half)}
}

// Components are shares of the variance of marks, by the expected mean squares of
// a random two-way layout with repeats; negative estimates are nought.
type Components struct {
	Hand       float64 `json:"hand"`
	Seed       float64 `json:"seed"`
	HandSeed   float64 `json:"hand_seed"`
	Scatter    float64 `json:"scatter"`
	PartsFor80 float64 `json:"parts_for_80"` // parts in the mean of which hands are told apart at .8
	SinglePart float64 `json:"single_part"`  // ICC(2,1) over parts, absolute
}

// components takes marks[hand][seed][repeat].
func components(marks [][][]float64) Components {
	a, b, r := float64(len(marks)), float64(len(marks[0])), float64(len(marks[0][0]))
	seeds := make([]float64, len(marks[0]))
	hands := make([]float64, len(marks))
	cell := make([][]float64, len(marks))
	grand, within := 0.0, 0.0
	for i, row := range marks {
		cell[i] = make([]float64, len(row))
		for j, reps := range row {
			m := mean(reps)
			cell[i][j] = m
			hands[i] += m / b
			seeds[j] += m / a
			grand += m / (a * b)
			for _, v := range reps {
				within += (v - m) * (v - m)
			}
		}
	}
	var ssHand, ssSeed, ssBoth float64
	for i := range cell {
		ssHand += b * r * (hands[i] - grand) * (hands[i] - grand)
		for j := range cell[i] {
			d := cell[i][j] - hands[i] - seeds[j] + grand
			ssBoth += r * d * d
		}
	}
	for j := range seeds {
		ssSeed += a * r * (seeds[j] - grand) * (seeds[j] - grand)
	}
	msHand, msSeed, msBoth := ssHand/(a-1), ssSeed/(b-1), ssBoth/((a-1)*(b-1))
	msError := within / math.Max(1, a*b*(r-1))
	pos := func(v float64) float64 { return math.Max(0, v) }
	hand, seed, both := pos((msHand-msBoth)/(b*r)), pos((msSeed-msBoth)/(a*r)), pos((msBoth-msError)/r)
	sum := hand + seed + both + msError
	if sum == 0 {
		return Components{}
	}
	c := Components{Hand: hand / sum, Seed: seed / sum, HandSeed: both / sum, Scatter: msError / sum, SinglePart: hand / sum}
	if c.SinglePart > 0 && c.SinglePart < 1 {
		// Spearman and Brown.
		c.PartsFor80 = math.Ceil(.8 * (1 - c.SinglePart) / (c.SinglePart * .2))
	}
	return c
}

// quantile of v, 0 to 1, between neighbours.
func quantile(v []float64, q float64) float64 {
	s := slices.Clone(v)
	slices.Sort(s)
	at := q * float64(len(s)-1)
	k := int(at)
	if k+1 >= len(s) {
		return s[len(s)-1]
	}
	return s[k] + (at-float64(k))*(s[k+1]-s[k])
}
