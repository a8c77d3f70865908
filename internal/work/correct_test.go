package work_test

import (
	"context"
	"errors"
	"math"
	"testing"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/work"
	"selvage/r3"
)

// TestCorrections names a tooth and moves the margin by hand on a finished check: the
// next check must honour both and say so, taking them back must make the case as it was,
// and what is said of a check that is no longer the newest is refused.
func TestCorrections(t *testing.T) {
	if testing.Short() {
		t.Skip("takes four checks")
	}
	scans, err := made()
	ok(t, err)
	ctx := context.Background()
	d := open(t, t.TempDir())
	id, err := d.NewCase(ctx, "asst", "P-2", "")
	ok(t, err)
	ok(t, d.AddScans(ctx, "asst", id, incoming(scans)))
	ok(t, d.SetOrder(ctx, "asst", id, name26))
	first := await(t, d, id)
	before := reportOf(t, d, first)
	w := working(t, before)
	if len(w.Teeth) < 3 {
		t.Fatalf("%d teeth found", len(w.Teeth))
	}
	margin := before.Restorations[0].Measures.Margin
	const up = 0.2 // mm along the axis
	axis := before.Restorations[0].Measures.InsertionAxis.Value
	at := margin.Points[40]
	pin := r3.V(at[0], at[1], at[2]).AddScaled(up, r3.V(axis[0], axis[1], axis[2]))
	place := w.Teeth[0].At
	tooth := work.Said{Check: first.ID, Kind: work.NamesTooth, Role: finding.RoleWorking, Tooth: w.Teeth[0].Tooth, At: []r3.Vec{r3.V(place[0], place[1], place[2])}}
	bad := tooth
	bad.Tooth = "29"
	refused(t, d.Correct(ctx, "asst", id, bad))
	bad = work.Said{Check: first.ID, Kind: work.DrawsMargin, Role: finding.RoleWorking, At: []r3.Vec{pin}}
	refused(t, d.Correct(ctx, "asst", id, bad)) // one point draws nothing
	bad = work.Said{Check: first.ID, Kind: work.PinsMargin, Role: finding.RoleOpposing, At: []r3.Vec{pin}}
	refused(t, d.Correct(ctx, "asst", id, bad)) // there is no margin there
	bad = work.Said{Check: first.ID, Kind: work.PinsMargin, Role: finding.RoleWorking, At: []r3.Vec{r3.V(math.NaN(), 0, 0)}}
	refused(t, d.Correct(ctx, "asst", id, bad))

	ok(t, d.Correct(ctx, "asst", id, tooth))
	refused(t, d.Correct(ctx, "asst", id, tooth)) // the check that it speaks of is void
	named := await(t, d, id)
	if got := working(t, reportOf(t, d, named)); !got.Teeth[0].ByHand || got.Teeth[1].ByHand {
		t.Errorf("teeth after one was named: %+v", got.Teeth)
	}
	ok(t, d.Correct(ctx, "asst", id, work.Said{Check: named.ID, Kind: work.PinsMargin, Role: margin.Scan, At: []r3.Vec{pin}}))
	after := reportOf(t, d, await(t, d, id)).Restorations[0].Measures.Margin
	if after.ByHandMM <= 0 || after.PinsLeftOut != 0 {
		t.Errorf("by hand %.2f mm, %d points left out", after.ByHandMM, after.PinsLeftOut)
	}
	if far := nearest(after, pin); far > 0.02 {
		t.Errorf("the margin passes the point at %.3f mm", far)
	}
	c := see(t, d, id)
	if len(c.Corrected()) != 2 {
		t.Fatalf("%d corrections, want 2", len(c.Corrected()))
	}
	for i := len(c.Corrections) - 1; i >= 0; i-- {
		ok(t, d.TakeCorrectionBack(ctx, "asst", id, c.Corrections[i].ID))
	}
	refused(t, d.TakeCorrectionBack(ctx, "asst", id, c.Corrections[0].ID))
	last := await(t, d, id)
	if last.Of != first.Of {
		t.Error("with everything taken back the check is of something else")
	}
	if got := reportOf(t, d, last); compact(t, encoded(t, got)) != compact(t, encoded(t, before)) {
		t.Error("with everything taken back the report differs from the first")
	}
}

func refused(t *testing.T, err error) {
	t.Helper()
	var p *work.Problem
	if !errors.As(err, &p) {
		t.Errorf("not refused: %v", err)
	}
}

func reportOf(t *testing.T, d *work.Desk, k work.Check) casefile.Report {
	t.Helper()
	if k.State != work.Done {
		t.Fatalf("check: %+v", k)
	}
	_, rep, err := d.Result(context.Background(), k)
	ok(t, err)
	return rep
}

func encoded(t *testing.T, rep casefile.Report) string {
	t.Helper()
	data, err := rep.Encode()
	ok(t, err)
	return string(data)
}

func working(t *testing.T, rep casefile.Report) casefile.Scan {
	t.Helper()
	for _, s := range rep.Scans {
		if s.Role == finding.RoleWorking {
			return s
		}
	}
	t.Fatal("no working scan")
	return casefile.Scan{}
}

// nearest is the distance of a place from the points of a margin.
func nearest(m casefile.Margin, p r3.Vec) float64 {
	best := math.Inf(1)
	for _, q := range m.Points {
		best = min(best, p.Dist(r3.V(q[0], q[1], q[2])))
	}
	return best
}
