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
	Largest float64 `json:"worst_p95_mm"` // worst 95th percentile of any case
}

// Run makes and checks the cases and sums up. An error is a fault of the program or
// a cancelled context; a case that could not be made or was refused is counted.
func Run(ctx context.Context, o Options) (Result, error) {
	o = o.withDefaults()
	trials := make([]Trial, o.Cases)
	errs := make([]error, o.Cases)
	var next atomic.Int64
	var mu sync.Mutex
	done := 0
	var wg sync.WaitGroup
	for range min(o.Workers, o.Cases) {
		wg.Go(func() {
			for {
				k := int(next.Add(1)) - 1
				if k >= o.Cases || ctx.Err() != nil {
					return
				}
				p := PlanCase(o.Seed, k)
				p.Spec.Scanner.Triangles = o.Triangles
				trials[k], errs[k] = run(ctx, p)
				mu.Lock()
				done++
				if o.Progress != nil {
					o.Progress(done, o.Cases)
				}
				mu.Unlock()
			}
		})
	}
	wg.Wait()
	if err := ctx.Err(); err != nil {
		return Result{}, err
	}
	for _, err := range errs {
		if err != nil {
			return Result{}, err
		}
	}
	return tally(o, trials), nil
}
