package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/signal"
	"reflect"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/before-iron/beforeiron/render/files"
	"github.com/before-iron/beforeiron/sim/hand"
	"github.com/before-iron/beforeiron/sim/run"
	"github.com/before-iron/beforeiron/sim/score"
	"github.com/before-iron/beforeiron/sim/validity"
)

type validityCommand struct {
	Rows    []string `arg:"" optional:"" help:"Rows of shards, to be merged instead of working anything."`
	Seeds   int      `default:"60" placeholder:"N" help:"Parts that each hand works (${default})."`
	Changes int      `default:"10000" placeholder:"N" help:"Random changes to runs, in the hunt for exploits (${default})."`
	Shard   string   `default:"1/1" placeholder:"I/N" help:"Work only every Nth trial, from the Ith: for spreading a study over machines."`
	Rubric  string   `placeholder:"FILE" help:"Rubric to mark by; see beforeiron rubric."`
	Search  int      `placeholder:"N" help:"Search N trials for the best schedule that is blind to the blue, which the hand recipe works by, and nothing else."`
	Jobs    int      `placeholder:"N" help:"Trials worked at once (as many as there are processors)."`
	Out     string   `short:"o" placeholder:"FILE" help:"Rows to write; a study that was stopped goes on from there."`
	Force   bool     `help:"Replace an existing file."`
	JSON    bool     `name:"json" help:"Print JSON."`
}

// studyLayout is the version of the layout of rows.
const studyLayout = 2

// studyHead is the first line of a file of rows: what was asked for.
type studyHead struct {
	Validity int    `json:"validity"` // version of the layout
	Physics  int    `json:"physics"`
	Program  string `json:"program"`
	Rubric   string `json:"rubric"` // its formula: rows marked by another do not mix
	Seeds    int    `json:"seeds"`
	Changes  int    `json:"changes"`
	Shard    [2]int `json:"shard"`
}

// studyLine is each line that follows: what came of one piece of the work.
type studyLine struct {
	Piece int             `json:"piece"` // from 0
	Row   *validity.Row   `json:"row,omitempty"`
	Chain *validity.Chain `json:"chain,omitempty"`
}

func (c *validityCommand) Validate() error {
	switch {
	case c.Seeds < 2 || c.Seeds > 10000:
		return fmt.Errorf("--seeds is %d: give 2 to 10000", c.Seeds)
	case c.Changes < 0 || c.Changes > 10_000_000:
		return fmt.Errorf("--changes is %d: give 0 to 10000000", c.Changes)
	case c.Search < 0 || c.Search > 100000:
		return fmt.Errorf("--search is %d: give 1 to 100000", c.Search)
	case c.Jobs < 0:
		return fmt.Errorf("--jobs is %d: give 1 or more", c.Jobs)
	}
	shard, err := parseShard(c.Shard)
	if err == nil && shard[1] > 1 && c.Out == "" {
		err = errors.New("--shard writes rows for others to merge: give -o FILE")
	}
	return err
}

func parseShard(s string) (shard [2]int, err error) {
	a, b, ok := strings.Cut(s, "/")
	if ok {
		if shard[0], err = strconv.Atoi(a); err == nil {
			shard[1], err = strconv.Atoi(b)
		}
	}
	if !ok || err != nil || shard[0] < 1 || shard[0] > shard[1] {
		return shard, fmt.Errorf("--shard is %q: give I/N with 1 <= I <= N, such as 2/4", s)
	}
	return shard, nil
}

func (c *validityCommand) Run(s streams) error {
	if len(c.Rows) > 0 {
		return c.merge(s)
	}
	rubric, err := readRubric(c.Rubric)
	if err != nil {
		return err
	}
	if c.Search > 0 {
		return c.search(s, rubric)
	}
	shard, err := parseShard(c.Shard)
	if err != nil {
		return err
	}
	head := studyHead{studyLayout, run.Physics, version, rubric.Formula(), c.Seeds, c.Changes, shard}
	lines, err := c.work(s, head, rubric)
	if err != nil {
		return err
	}
	if shard[1] > 1 {
		fmt.Fprintf(s.out, "%d pieces of shard %d/%d are in %s; merge them by: beforeiron validity FILE...\n", len(lines), shard[0], shard[1], c.Out)
		return nil
	}
	return c.tell(s, head, lines)
}

// search looks for the best blind schedule.
func (c *validityCommand) search(s streams, rubric *score.Rubric) error {
	best, marks, err := validity.SearchSchedule(c.Search, rubric, func(trial int, _ hand.Schedule, marks float64) {
		fmt.Fprintf(s.err, "validity: trial %d has %.1f marks\n", trial, marks)
	})
	if err != nil {
		return err
	}
	if c.JSON {
		return printJSON(s.out, best)
	}
	_, err = fmt.Fprintf(s.out, "%d passes, depths %.2f to %.2f um, lengths %.1f to %.1f mm, spacing %.2f to %.2f of a mark's width: %.1f marks in the mean\n",
		best.Passes, best.DepthUM[0], best.DepthUM[1], best.LengthMM[0], best.LengthMM[1], best.Spacing[0], best.Spacing[1], marks)
	return err
}

// tell makes the study and prints it.
func (c *validityCommand) tell(s streams, head studyHead, lines []studyLine) error {
	var rows []validity.Row
	var chains []validity.Chain
	for _, l := range lines {
		if l.Row != nil {
			rows = append(rows, *l.Row)
		}
		if l.Chain != nil {
			chains = append(chains, *l.Chain)
		}
	}
	study, err := validity.Make(head.Seeds, rows, chains)
	if err != nil {
		return err
	}
	if c.JSON {
		return printJSON(s.out, study)
	}
	_, err = fmt.Fprint(s.out, study.Text())
	return err
}

// pieces of the work: trials, and after them chains of changes.
func (h studyHead) pieces() (trials []validity.Trial, n int) {
	trials = validity.Plan(h.Seeds)
	return trials, len(trials) + (h.Changes+validity.ChainLength-1)/validity.ChainLength
}

// mine lists the pieces of the shard.
func (h studyHead) mine() []int {
	_, n := h.pieces()
	var out []int
	for k := h.Shard[0] - 1; k < n; k += h.Shard[1] {
		out = append(out, k)
	}
	return out
}

func (h studyHead) do(piece int, trials []validity.Trial, rubric *score.Rubric, parts *studyParts) (l studyLine, err error) {
	l.Piece = piece
	if piece < len(trials) {
		part, err := parts.begun(trials[piece].Seed)
		if err != nil {
			return l, err
		}
		row, err := trials[piece].Do(part)
		l.Row = &row
		return l, err
	}
	chain, err := validity.Hunt(piece-len(trials)+1, rubric)
	l.Chain = &chain
	return l, err
}

// studyParts keeps the parts that were begun last, for hands that work them one after
// the other or at once.
type studyParts struct {
	rubric *score.Rubric
	mu     sync.Mutex
	kept   []*studyPart // the oldest first
}

type studyPart struct {
	seed uint64
	make sync.Once
	part *validity.Begun
	err  error
}

// begun is the part of a seed.
func (p *studyParts) begun(seed uint64) (*validity.Begun, error) {
	k := p.at(seed)
	k.make.Do(func() { k.part, k.err = validity.Begin(p.rubric, seed) })
	return k.part, k.err
}

func (p *studyParts) at(seed uint64) *studyPart {
	const most = 8
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, k := range p.kept {
		if k.seed == seed {
			return k
		}
	}
	if len(p.kept) == most {
		p.kept = p.kept[1:]
	}
	k := &studyPart{seed: seed}
	p.kept = append(p.kept, k)
	return k
}

// work does what is not done yet, in order, and writes each piece down.
func (c *validityCommand) work(s streams, head studyHead, rubric *score.Rubric) ([]studyLine, error) {
	mine := head.mine()
	var done []studyLine
	var book *studyBook
	if c.Out != "" {
		var err error
		if book, err = openBook(c.Out, head, mine, c.Force); err != nil {
			return nil, err
		}
		defer book.close()
		if done = book.lines; len(done) > 0 {
			fmt.Fprintf(s.err, "validity: goes on after %d of %d pieces\n", len(done), len(mine))
		}
	}
	stop := make(chan os.Signal, 1)
	signal.Notify(stop, os.Interrupt)
	defer signal.Stop(stop)

	jobs := c.Jobs
	if jobs == 0 {
		jobs = runtime.NumCPU()
	}
	type answer struct {
		line studyLine
		err  error
	}
	trials, _ := head.pieces()
	parts := &studyParts{rubric: rubric}
	todo := mine[len(done):]
	answers := make([]chan answer, len(todo))
	start := func(k int) {
		if k < len(todo) {
			answers[k] = make(chan answer, 1)
			go func() {
				l, err := head.do(todo[k], trials, rubric, parts)
				answers[k] <- answer{l, err}
			}()
		}
	}
	for k := range jobs {
		start(k)
	}
	told, began := time.Now(), time.Now()
	for k := range todo {
		a := <-answers[k]
		answers[k] = nil
		if a.err != nil {
			return nil, a.err
		}
		start(k + jobs)
		done = append(done, a.line)
		if book != nil {
			if err := book.write(a.line); err != nil {
				return nil, err
			}
		}
		if time.Since(told) > 10*time.Second {
			told = time.Now()
			left := time.Since(began) / time.Duration(k+1) * time.Duration(len(todo)-k-1)
			fmt.Fprintf(s.err, "validity: %d of %d pieces, about %v left\n", len(done), len(mine), left.Round(time.Second))
		}
		select {
		case <-stop:
			if book == nil {
				return nil, &no{"stopped; with -o FILE it would go on from where it was"}
			}
			return nil, &no{fmt.Sprintf("stopped after %d of %d pieces: the same command goes on from there", len(done), len(mine))}
		default:
		}
	}
	if book != nil {
		return done, book.keep()
	}
	return done, nil
}

// studyBook is a file of rows being written: beside its place, under its name with
// .part, until it is whole.
type studyBook struct {
	file  *os.File
	name  string
	force bool
	lines []studyLine
}

const partEnding = ".part"

// openBook begins a file of rows or goes on with one that was stopped.
func openBook(name string, head studyHead, mine []int, force bool) (*studyBook, error) {
	name, err := place(name, force)
	if err != nil {
		return nil, err
	}
	part := name + partEnding
	b := &studyBook{name: name, force: force}
	content, err := os.ReadFile(part)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, files.Plain(err)
	}
	if whole := bytes.LastIndexByte(content, '\n') + 1; whole > 0 {
		// A last line that was only half written is done again.
		content = content[:whole]
		was, lines, err := parseRows(part, content)
		if err != nil {
			return nil, err
		}
		if was != head {
			return nil, fmt.Errorf("%s is of another study: give the command that began it, or remove the file", part)
		}
		for k, l := range lines {
			if k >= len(mine) || l.Piece != mine[k] {
				return nil, fmt.Errorf("%s:%d: piece %d does not belong there: remove the file and begin again", part, k+2, l.Piece)
			}
		}
		b.lines = lines
	} else {
		content = nil
	}
	if b.file, err = os.OpenFile(part, os.O_WRONLY|os.O_CREATE, 0o666); err != nil {
		return nil, files.Plain(err)
	}
	if err = b.file.Truncate(int64(len(content))); err == nil {
		_, err = b.file.Seek(int64(len(content)), 0)
	}
	if err == nil && len(content) == 0 {
		err = b.write(head)
	}
	if err != nil {
		b.close()
		return nil, files.Plain(err)
	}
	return b, nil
}

func (b *studyBook) write(v any) error {
	line, err := json.Marshal(v)
	if err != nil {
		return err
	}
	_, err = b.file.Write(append(line, '\n'))
	return files.Plain(err)
}

func (b *studyBook) close() { b.file.Close() }

// keep gives the whole file its name.
func (b *studyBook) keep() error {
	if err := b.file.Sync(); err != nil {
		return files.Plain(err)
	}
	if _, err := place(b.name, b.force); err != nil {
		return err
	}
	return files.Plain(os.Rename(b.name+partEnding, b.name))
}

// parseRows reads a file of rows.
func parseRows(name string, content []byte) (head studyHead, lines []studyLine, err error) {
	scan := bufio.NewScanner(bytes.NewReader(content))
	scan.Buffer(nil, 1<<20)
	strictly := func(b []byte, into any) error {
		d := json.NewDecoder(bytes.NewReader(b))
		d.DisallowUnknownFields()
		return d.Decode(into)
	}
	for n := 1; scan.Scan(); n++ {
		if n == 1 {
			if err := strictly(scan.Bytes(), &head); err != nil || head.Validity != studyLayout || head.Shard[1] < 1 || head.Seeds < 2 {
				return head, nil, fmt.Errorf("%s:1: this is no file of rows: give what validity -o has written", name)
			}
			continue
		}
		var l studyLine
		if err := strictly(scan.Bytes(), &l); err != nil || (l.Row == nil) == (l.Chain == nil) {
			return head, nil, fmt.Errorf("%s:%d: this is no row: it was altered or cut off", name, n)
		}
		lines = append(lines, l)
	}
	if err := scan.Err(); err != nil {
		return head, nil, fmt.Errorf("%s: %w", name, err)
	}
	if head.Validity == 0 {
		return head, nil, fmt.Errorf("%s: the file is empty: give what validity -o has written", name)
	}
	return head, lines, nil
}

// merge puts the rows of shards together: what comes out is what one run would
// have written.
func (c *validityCommand) merge(s streams) error {
	var head studyHead
	var all []studyLine
	for n, name := range c.Rows {
		content, err := files.Read(name)
		if err != nil {
			return err
		}
		h, lines, err := parseRows(name, content)
		if err != nil {
			return err
		}
		h.Shard = [2]int{1, 1}
		if n == 0 {
			head = h
			_, pieces := head.pieces()
			all = make([]studyLine, pieces)
		}
		if h != head {
			return fmt.Errorf("%s is of another study than %s: merge rows of one", name, c.Rows[0])
		}
		trials, _ := head.pieces()
		for k, l := range lines {
			switch {
			case l.Piece < 0 || l.Piece >= len(all),
				l.Row != nil && (l.Piece >= len(trials) || l.Row.Trial != trials[l.Piece]),
				l.Chain != nil && l.Chain.N != l.Piece-len(trials)+1:
				return fmt.Errorf("%s:%d: piece %d does not belong to the study", name, k+2, l.Piece)
			case (all[l.Piece].Row != nil || all[l.Piece].Chain != nil) && !reflect.DeepEqual(all[l.Piece], l):
				return fmt.Errorf("%s:%d: piece %d came out otherwise in another file: one of the two was altered", name, k+2, l.Piece)
			}
			all[l.Piece] = l
		}
	}
	for piece, l := range all {
		if l.Row == nil && l.Chain == nil {
			return fmt.Errorf("piece %d is in none of the files: give the rows of every shard", piece)
		}
	}
	if c.Out != "" {
		var b bytes.Buffer
		e := json.NewEncoder(&b)
		e.SetEscapeHTML(true)
		if err := e.Encode(head); err != nil {
			return err
		}
		for _, l := range all {
			if err := e.Encode(l); err != nil {
				return err
			}
		}
		if err := save(c.Out, b.Bytes(), c.Force); err != nil {
			return err
		}
	}
	return c.tell(s, head, all)
}
