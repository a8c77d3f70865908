package check

import (
	"context"
	"errors"
	"testing"

	"selvage/dentition"
	"selvage/prep"
)

// A cancelled check lets its caller go while an analysis is still at work, and tells it
// nothing afterwards.
func TestCancelDoesNotWait(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	begun, release, told := make(chan bool), make(chan bool), make(chan bool)
	var phases []string
	go func() {
		<-begun
		cancel()
	}()
	_, err := abandonable(ctx, func(phase string, _, _ int) { phases = append(phases, phase) }, func(p Progress) (Outcome, error) {
		p.enter(PhaseRead)
		close(begun)
		<-release // an analysis that takes as long as it likes
		p.enter(PhaseOrient)
		close(told)
		return Outcome{}, nil
	})
	if !errors.Is(err, context.Canceled) {
		t.Fatalf("error %v, want that it was cancelled", err)
	}
	close(release)
	<-told
	if len(phases) != 1 || phases[0] != PhaseRead {
		t.Errorf("told of %v, want the reading alone", phases)
	}
}

// What is abandoned stops before its next analysis: of ten steps that are each cancelled
// during the third, three are taken.
func TestCancelStopsBetweenAnalyses(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	taken := 0
	steps := make([]step, 10)
	for i := range steps {
		steps[i] = step{false, func(*restoration) {
			if taken++; taken == 3 {
				cancel()
			}
		}}
	}
	seen := &restoration{prepared: dentition.Prepared{Sighting: dentition.Seen}}
	takeAll(ctx, steps, []*restoration{seen, seen})
	if taken != 3 {
		t.Errorf("%d steps were taken, want 3", taken)
	}
	scans := decode(ctx, []File{{Name: "a.stl"}, {Name: "b.stl"}})
	if len(scans) != 2 || scans[0].SHA256 != "" || scans[1].SHA256 != "" {
		t.Error("files were read after the check was cancelled")
	}
}

// A panic in the check reaches the caller.
func TestPanicReachesTheCaller(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("the panic was lost")
		}
	}()
	_, _ = abandonable(context.Background(), nil, func(Progress) (Outcome, error) { panic("a fault") })
}

// Where a line was taken back as no preparation's, the cut-out stands without a margin
// that would tell its regions apart: the surface there is not examined.
func TestNoLooksWithoutMargin(t *testing.T) {
	(&restoration{prep: &prep.Preparation{}}).looks(&scanSet{})
}
