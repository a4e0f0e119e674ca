package review

import (
	"errors"
	"math"
	"sort"

	"github.com/before-iron/beforeiron/sim/hand"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
)

// What a decision cost is found by trying others: from the state before it one of
// five candidates is done in its place, and the careful hand goes on to the end;
// and it goes on from what was decided. The difference of the marks is the cost.
// The careful hand's own luck is in it, so the dearest by a first look are tried
// with two scatters and the mean is given.

// Decision is what was decided after a print, and what the best other decision
// would have come to.
type Decision struct {
	Cycle int // after this print
	Did   string
	Came  Value // to what, the careful hand going on
	Tried []Tried
	Best  int // of Tried
	Lost  float64
}

// Tried is one candidate.
type Tried struct {
	What string
	Came Value
}

// Value is what a run comes to when the careful hand goes on with it.
type Value struct {
	Marks  float64
	Prints int // in all
	MS     int // on iron, in all
	Passed bool
}

// Spread does all jobs, in any order or at once, and comes back when they are
// done; an error ends the search.
type Spread func(jobs []func()) error

// Search bounds the search for the dearest decisions by what it works, not by a
// clock, so that a run has the same answer everywhere.
type Search struct {
	Rubric *score.Rubric // by which it is said what is dear
	// Cells is how many cells of prints may be worked, all trials together; a
	// print of a coupon has 188 000.
	Cells int
	// Horizon is the most prints that the careful hand has in a trial.
	Horizon int
	// Each, when set, is called after every act, from any of the jobs; its error ends
	// the search.
	Each func() error
}

// UsualSearch is a search that ends within a minute on two processors of 2020.
func UsualSearch(by *score.Rubric) Search {
	return Search{Rubric: by, Cells: 120_000_000, Horizon: 20}
}

const (
	atFirst   = 12 // decisions that are looked at first
	screened  = 3  // decisions of which the candidates are tried
	scatters  = 2  // times each is tried
	named     = 3  // decisions that are told
	leastLoss = 1  // marks under which a decision is not told
)

// ErrTime, from a Spread, ends a search where it stands.
var ErrTime = errors.New("the time for the search is over")

// Decisions are the dearest decisions of a run, the dearest first, at most three;
// whole is false when the search was ended early, and those are the dearest found
// so far.
func Decisions(l *run.Log, how Search, spread Spread) (found []Decision, whole bool, err error) {
	s, err := newSearch(l, how, spread)
	if err != nil || len(s.points) == 0 {
		return nil, true, err
	}
	err = s.screen()
	for _, p := range s.dearest() {
		if err == nil {
			err = s.try(p)
		}
		if err != nil {
			break
		}
		if d := p.decision(); d.Lost >= leastLoss {
			found = append(found, d)
		}
	}
	if err != nil && !errors.Is(err, ErrTime) {
		return nil, false, err
	}
	sort.SliceStable(found, func(a, b int) bool { return found[a].Lost > found[b].Lost })
	return found[:min(named, len(found))], err == nil, nil
}

// Trials is how many trials a search makes at the most.
func Trials(l *run.Log) int {
	n := len(points(l))
	stride := max(1, (n+atFirst-1)/atFirst)
	return 1 + (n+stride-1)/stride + screened*(stride-1) + screened*(candidates*scatters+scatters-1)
}

// search is one at work.
type search struct {
	log     *run.Log
	rubric  *score.Rubric
	horizon int
	batch   int // copies of the run that are kept at once
	each    func() error
	spread  Spread
	points  []*point
	start   *Value // what the careful hand comes to from the start
}

// point is a decision: what was done after a print.
type point struct {
	print   int
	from    int  // acts done when it was taken
	to      int  // acts done when its last cut was laid
	stopped bool // nothing was cut after it: the run was signed off
	cuts    []run.Cut
	laid    []int // strokes of each
	did     []Cutting

	after *Value // what the careful hand comes to, going on from it
	own   []Value
	tried []candidate
}

func newSearch(l *run.Log, how Search, spread Spread) (*search, error) {
	r, err := run.Begin(l.Header)
	if err != nil {
		return nil, err
	}
	s := &search{log: l, rubric: how.Rubric, each: how.Each, spread: spread, points: points(l)}
	if s.each == nil {
		s.each = func() error { return nil }
	}
	s.batch = max(1, min(8, batched/r.Grid().Cells()))
	s.horizon = min(how.Horizon, max(2, how.Cells/(Trials(l)*r.Grid().Cells())))
	return s, nil
}

// points are the decisions of a log: cuts after a print, or signing off by it.
func points(l *run.Log) []*point {
	var all []*point
	var p *point
	end := func() {
		if p != nil && (len(p.cuts) > 0 || p.stopped) {
			all = append(all, p)
		}
	}
	for n := range l.Entries {
		e := &l.Entries[n]
		switch {
		case e.Out.Print != nil:
			end()
			p = &point{print: e.Out.Print.N, from: n + 1, to: n + 1}
		case p == nil:
		case e.Act.Cut != nil:
			p.to = n + 1
			p.cuts, p.laid = append(p.cuts, *e.Act.Cut), append(p.laid, e.Out.Laid)
		case e.Act.SignOff != nil:
			p.stopped = len(p.cuts) == 0
		}
	}
	end()
	return all
}

// stand is a run aside, with the watch that has followed it.
type stand struct {
	run   *run.Run
	watch *score.Watch
}

// visit makes the run of the log again and calls at with a copy of it after each
// of the numbers of acts, which are sorted; it goes no further than it must.
func (s *search) visit(acts []int, at func(st stand) error) error {
	last := 0
	if len(acts) > 0 {
		last = acts[len(acts)-1]
	}
	wanted := map[int]bool{}
	for _, n := range acts {
		wanted[n] = true
	}
	log := *s.log
	log.Seal = nil
	watch := s.rubric.Watch(log.Header.Setup.Target)
	_, err := run.Replay(&log, func(r *run.Run, e *run.Entry) error {
		if err := watch.See(r, e); err != nil {
			return err
		}
		if err := s.each(); err != nil {
			return err
		}
		n := len(r.Entries())
		if wanted[n] && !r.Signed() {
			a, err := r.Aside(r.Header().ScatterSeed)
			if err != nil {
				return err
			}
			if err := at(stand{a, watch.Aside()}); err != nil {
				return err
			}
		}
		if n >= last {
			return errEnough
		}
		return nil
	})
	if errors.Is(err, errEnough) {
		return nil
	}
	return err
}

var errEnough = errors.New("far enough")

// goOn lets the careful hand work on to the end, after the candidate when there is
// one, and marks what it comes to.
func (s *search) goOn(st stand, scatter uint64, c *candidate) (Value, error) {
	r, err := st.run.Aside(scatter)
	if err != nil {
		return Value{}, err
	}
	watch := st.watch.Aside()
	r.Record = func(e run.Entry) error {
		if err := watch.See(r, &e); err != nil {
			return err
		}
		return s.each()
	}
	if c != nil {
		if err := c.do(r); err != nil {
			return Value{}, err
		}
	}
	allowed := s.horizon
	if limit := r.Header().Setup.Limits.Prints; limit > 0 {
		allowed = min(allowed, limit-r.Prints())
	}
	switch {
	case r.Signed():
	case allowed > 0:
		h := hand.Careful{Midway: r.Prints() > 0}
		err = h.Work(r, r.Prints()+allowed, nil)
	default:
		_, err = r.Do(run.Act{SignOff: &run.SignOff{}})
	}
	if err != nil {
		return Value{}, err
	}
	rep, err := watch.Report(r)
	if err != nil {
		return Value{}, err
	}
	return Value{Marks: rep.Marks.Total, Prints: rep.Cycles, MS: r.MS(), Passed: rep.Marks.Passed}, nil
}

// batched is how many cells the copies of a run may have that are kept at once:
// eight of a coupon, one of what is much larger.
const batched = 1_500_000

// trial is a job of going on from a stand.
type trial struct {
	stand   stand
	scatter uint64
	with    *candidate
	came    Value
	err     error
}

// work does trials.
func (s *search) work(all []*trial) error {
	jobs := make([]func(), len(all))
	for k, t := range all {
		jobs[k] = func() { t.came, t.err = s.goOn(t.stand, t.scatter, t.with) }
	}
	if err := s.spread(jobs); err != nil {
		return err
	}
	for _, t := range all {
		if t.err != nil {
			return t.err
		}
	}
	return nil
}

// screen finds where the careful hand comes to least more than from the decision
// before. Of many decisions it looks at some, evenly spread, first, and at each one
// only where much was lost between them.
func (s *search) screen() error {
	stride := (len(s.points) + atFirst - 1) / atFirst
	var some []*point
	for n := len(s.points) - 1; n >= 0; n -= stride {
		some = append(some, s.points[n])
	}
	if err := s.look(some); err != nil || stride == 1 {
		return err
	}
	type gap struct {
		between []*point
		fall    float64
	}
	var gaps []gap
	last, from := s.start, 0
	for n, p := range s.points {
		if p.after == nil {
			continue
		}
		gaps = append(gaps, gap{s.points[from:n], last.Marks - p.after.Marks})
		last, from = p.after, n+1
	}
	sort.SliceStable(gaps, func(a, b int) bool { return gaps[a].fall > gaps[b].fall })
	var rest []*point
	for _, g := range gaps[:min(screened, len(gaps))] {
		rest = append(rest, g.between...)
	}
	return s.look(rest)
}

// look lets the careful hand go on after some decisions, and from the start when
// that was not done yet.
func (s *search) look(some []*point) error {
	at := map[int]*point{}
	var acts []int
	if s.start == nil {
		acts = append(acts, 0)
	}
	for _, p := range some {
		if p.stopped {
			continue
		}
		at[p.to] = p
		acts = append(acts, p.to)
	}
	sort.Ints(acts)
	var all []*trial
	work := func() error {
		if err := s.work(all); err != nil {
			return err
		}
		for _, t := range all {
			came := t.came // without the run that it came of
			if p := at[len(t.stand.run.Entries())]; p != nil {
				p.after = &came
			} else {
				s.start = &came
			}
		}
		all = nil
		return nil
	}
	err := s.visit(acts, func(st stand) error {
		all = append(all, &trial{stand: st, scatter: s.log.Header.ScatterSeed})
		if len(all) < s.batch {
			return nil
		}
		return work()
	})
	if err == nil {
		err = work()
	}
	for _, p := range some {
		if p.stopped && err == nil {
			p.after, err = s.ended()
		}
	}
	return err
}

// dearest are the decisions after which the careful hand comes to least more, by
// the first look.
func (s *search) dearest() []*point {
	fall := map[*point]float64{}
	var all []*point
	before := s.start
	for _, p := range s.points {
		if p.after == nil {
			continue
		}
		fall[p] = before.Marks - p.after.Marks
		all = append(all, p)
		before = p.after
	}
	sort.SliceStable(all, func(a, b int) bool { return fall[all[a]] > fall[all[b]] })
	return all[:min(screened, len(all))]
}

// ended is what the run came to as it was signed off.
func (s *search) ended() (*Value, error) {
	log := *s.log
	log.Seal = nil
	rep, err := s.rubric.Mark(&log, nil)
	if err != nil {
		return nil, err
	}
	return &Value{Marks: rep.Marks.Total, Prints: rep.Cycles, MS: int(math.Round(1000 * rep.SecondsOnIron)), Passed: rep.Marks.Passed}, nil
}

// try tries the candidates of a decision and what was done, each with the same
// few scatters; of what was done the first is known.
func (s *search) try(p *point) error {
	acts := []int{p.from}
	if !p.stopped && p.to > p.from {
		acts = append(acts, p.to)
	}
	seed := s.log.Header.ScatterSeed
	var others, own []*trial
	err := s.visit(acts, func(st stand) error {
		if len(st.run.Entries()) == p.to && !p.stopped {
			for k := 1; k < scatters; k++ {
				own = append(own, &trial{stand: st, scatter: seed + uint64(k)})
			}
			return nil
		}
		for k := range p.cuts {
			p.did = append(p.did, cuttingOf(st.run, &p.cuts[k], p.laid[k]))
		}
		p.tried = candidatesFor(p, st)
		for c := range p.tried {
			for k := range scatters {
				others = append(others, &trial{stand: st, scatter: seed + uint64(k), with: &p.tried[c]})
			}
		}
		return nil
	})
	if err == nil {
		err = s.work(append(others, own...))
	}
	if err != nil {
		return err
	}
	for _, t := range others {
		t.with.came = append(t.with.came, t.came)
	}
	p.own = []Value{*p.after}
	for _, t := range own {
		p.own = append(p.own, t.came)
	}
	return nil
}

// mean of what trials came to.
func mean(all []Value) Value {
	var out Value
	passed := 0
	for _, v := range all {
		out.Marks += v.Marks
		out.Prints += v.Prints
		out.MS += v.MS
		if v.Passed {
			passed++
		}
	}
	n := len(all)
	out.Marks = math.Round(100*out.Marks/float64(n)) / 100
	out.Prints = (2*out.Prints + n) / (2 * n)
	out.MS /= n
	out.Passed = 2*passed > n
	return out
}

func (p *point) decision() Decision {
	did := "Signed off."
	if !p.stopped {
		did = sentence(cutWords(p.did))
	}
	d := Decision{Cycle: p.print, Did: did, Came: mean(p.own)}
	for _, c := range p.tried {
		d.Tried = append(d.Tried, Tried{c.what, mean(c.came)})
		if d.Tried[len(d.Tried)-1].Came.Marks > d.Tried[d.Best].Came.Marks {
			d.Best = len(d.Tried) - 1
		}
	}
	d.Lost = math.Round(100*(d.Tried[d.Best].Came.Marks-d.Came.Marks)) / 100
	return d
}
