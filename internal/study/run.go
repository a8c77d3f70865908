package study

import (
	"context"
	"sync"
	"sync/atomic"

	"selvage/finding"
)

// Options says what a study covers.
type Options struct {
	Cases    int // default 60
	Seed     uint64
	Workers  int                   // default 2; a check uses several cores itself
	Progress func(done, total int) // called from one goroutine at a time; may be nil

	Done []Trial             // of an earlier run of this study, not to be made again
	Keep func(t Trial) error // called from one goroutine at a time with every new trial; may be nil

	// Triangles makes the scans of every case coarser or finer, to about so many in
	// the working scan; 0 keeps the scanner's usual spacing.
	Triangles int
}

func (o Options) withDefaults() Options {
	if o.Cases <= 0 {
		o.Cases = 60
	}
	if o.Workers <= 0 {
		o.Workers = 2
	}
	return o
}

// Schema names the form of a study's result.
const Schema = "selvage.study/1"

// Result is what a study found. It holds no time and no machine: the same seed and
// number of cases give the same result.
type Result struct {
	Schema   string        `json:"schema"`
	Cases    int           `json:"cases"`
	Seed     uint64        `json:"seed"`
	Sound    int           `json:"without_fault"`
	Failed   int           `json:"not_made"` // phantoms that could not be built
	Refused  int           `json:"refused"`  // checks that ended with an input error
	Verdicts []VerdictRow  `json:"verdicts"`
	Codes    []CodeRow     `json:"findings"`
	Measures []MeasureRow  `json:"measures"`
	Margin   MarginSummary `json:"margin"`
	Groups   []GroupRow    `json:"groups"`
	Trials   []Trial       `json:"trials"`
}

// VerdictRow counts what was said where one verdict was due.
type VerdictRow struct {
	Expected finding.Verdict `json:"expected"`
	Cases    int             `json:"cases"`
	Given    []int           `json:"given"` // in the order of finding.Verdicts, refused checks last
	Right    Rate            `json:"right"`
}

// CodeRow says how often one finding was right.
type CodeRow struct {
	Code   finding.Code `json:"code"`
	Caught Rate         `json:"caught"` // of the cases that have it beyond the flag level
	False  Rate         `json:"false"`  // of the cases that do not
	Missed int          `json:"missed"`
	Close  int          `json:"too_close"` // cases counted apart

	NotesDue   int `json:"notes_due"`           // cases beyond the advised level only
	NotesGiven int `json:"notes_given"`         // of them noted
	NotesFree  int `json:"notes_without_cause"` // noted, though within the advised level
}

// MeasureRow says how right one measure was.
type MeasureRow struct {
	Name string `json:"name"`
	Unit string `json:"unit"`
	Errors
}

// MarginSummary is how far traced margins lie from the true ones.
type MarginSummary struct {
	Cases   int     `json:"cases"`
	Mean    float64 `json:"mean_mm"`      // mean over cases of the mean distance
	P95     float64 `json:"p95_mm"`       // mean over cases of the 95th percentile
	Worst   float64 `json:"worst_p95_mm"` // worst 95th percentile of any case
	Largest float64 `json:"largest_mm"`   // largest distance of any point of any case
}

// Run makes and checks the cases and sums up. An error is a fault of the program or
// a cancelled context; a case that could not be made or was refused is counted. The
// result does not depend on which trials were made before, nor on the workers.
func Run(ctx context.Context, o Options) (Result, error) {
	o = o.withDefaults()
	r := newRunner(o)
	var wg sync.WaitGroup
	for range min(o.Workers, len(r.blocks)) {
		wg.Go(func() { r.work(ctx) })
	}
	wg.Wait()
	if err := ctx.Err(); err != nil {
		return Result{}, err
	}
	if r.err != nil {
		return Result{}, r.err
	}
	return tally(o, r.trials), nil
}

// runner shares the cases of a study out over its workers, a block at a time, since
// the cases of a block have much in common.
type runner struct {
	options Options
	blocks  [][]int // numbers of the cases still to be made, by block
	next    atomic.Int64

	mu     sync.Mutex
	trials []Trial
	done   int
	err    error // the first one
}

func newRunner(o Options) *runner {
	r := &runner{options: o, trials: make([]Trial, o.Cases)}
	made := make([]bool, o.Cases)
	for _, t := range o.Done {
		if t.Number >= 0 && t.Number < o.Cases && !made[t.Number] {
			r.trials[t.Number], made[t.Number] = t, true
			r.done++
		}
	}
	step := blockCases()
	if o.Cases < o.Workers*step { // else some workers would have nothing to do
		step = 1
	}
	for k := 0; k < o.Cases; k += step {
		var todo []int
		for i := k; i < min(k+step, o.Cases); i++ {
			if !made[i] {
				todo = append(todo, i)
			}
		}
		if len(todo) > 0 {
			r.blocks = append(r.blocks, todo)
		}
	}
	return r
}

func (r *runner) work(ctx context.Context) {
	for {
		i := int(r.next.Add(1)) - 1
		if i >= len(r.blocks) {
			return
		}
		var w bench
		for _, k := range r.blocks[i] {
			if ctx.Err() != nil {
				return
			}
			p := PlanCase(r.options.Seed, k)
			p.Spec.Scanner.Triangles = r.options.Triangles
			t, err := w.run(ctx, p)
			if !r.take(t, err) {
				return
			}
		}
	}
}

// take enters a trial and reports whether to go on.
func (r *runner) take(t Trial, err error) bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	if err == nil && r.err == nil && r.options.Keep != nil {
		err = r.options.Keep(t)
	}
	if err != nil && r.err == nil {
		r.err = err
	}
	if r.err != nil {
		return false
	}
	r.trials[t.Number] = t
	r.done++
	if r.options.Progress != nil {
		r.options.Progress(r.done, r.options.Cases)
	}
	return true
}
