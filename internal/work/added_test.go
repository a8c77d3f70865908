//go:build unix

package work_test

import (
	"bytes"
	"context"
	"slices"
	"syscall"
	"testing"
	"time"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/check"
	"selvage/internal/work"
	"selvage/meshio/stl"
	"selvage/phantom"
)

// BenchmarkAdded tells how much longer a check takes in the background of the server, from
// the start of its task until its verdict stands in the ledger, than the same check of the
// same bytes alone, as the command line makes it: on the made case, and on one of 800,000
// triangles. Wall time and processor time, the quickest of all rounds of each kind, which
// take turns; queue-ms is how long the task waited for its start.
func BenchmarkAdded(b *testing.B) {
	for _, c := range []struct {
		name      string
		triangles int // of the working scan; 0: as the scanner makes it
	}{{"made", 0}, {"800k", 475_000}} {
		b.Run(c.name, func(b *testing.B) {
			scans, total := madeOf(b, c.triangles)
			d := open(b, b.TempDir())
			var alone, server, queued, cpuAlone, cpuServer []float64
			for b.Loop() {
				wall, cpu := alone26(b, scans)
				alone, cpuAlone = append(alone, wall), append(cpuAlone, cpu)
				took, wait, cpu := served26(b, d, scans)
				server, queued, cpuServer = append(server, took), append(queued, wait), append(cpuServer, cpu)
			}
			b.ReportMetric(float64(total), "triangles")
			b.ReportMetric(slices.Min(alone), "alone-ms")
			b.ReportMetric(slices.Min(server), "server-ms")
			b.ReportMetric(slices.Min(server)-slices.Min(alone), "added-ms")
			b.ReportMetric(slices.Min(cpuServer)-slices.Min(cpuAlone), "added-cpu-ms")
			b.ReportMetric(slices.Min(queued), "queue-ms")
			b.ReportMetric(0, "ns/op")
		})
	}
}

// madeOf makes a case whose working scan has about so many triangles.
func madeOf(b *testing.B, triangles int) (scans []scan, total int) {
	b.Helper()
	spec := phantom.Default(26)
	spec.Scanner.Triangles = triangles
	c, err := phantom.Make(spec)
	ok(b, err)
	for _, s := range c.Scans {
		var out bytes.Buffer
		ok(b, stl.Encode(&out, s.Mesh))
		scans, total = append(scans, scan{s.File, out.Bytes()}), total+len(s.Mesh.Tri)
	}
	return scans, total
}

// alone26 checks the scans without a desk.
func alone26(b *testing.B, scans []scan) (wallMS, cpuMS float64) {
	b.Helper()
	var in check.Input
	ok(b, name26(&in.Case))
	in.Stage = finding.Final
	for _, s := range scans {
		in.Files = append(in.Files, check.File{Name: s.name, Data: s.data})
	}
	begun, cpu := time.Now(), processor()
	out, err := check.Run(context.Background(), in, nil)
	ok(b, err)
	_, err = out.Report.Encode()
	ok(b, err)
	return ms(time.Since(begun)), ms(processor() - cpu)
}

// served26 has the scans checked in the background, in a case of their own.
func served26(b *testing.B, d *work.Desk, scans []scan) (tookMS, queuedMS, cpuMS float64) {
	b.Helper()
	ctx := context.Background()
	id, err := d.NewCase(ctx, "asst", "P-1", "")
	ok(b, err)
	ok(b, d.AddScans(ctx, "asst", id, incoming(scans)))
	_, before := d.Took()
	news, stop := d.Listen(id)
	defer stop()
	asked, cpu := time.Now(), processor()
	ok(b, d.SetOrder(ctx, "asst", id, func(c *casefile.Case) error { return name26(c) }))
	for range news {
		if k, now := see(b, d, id).Current(); now && k.State == work.Done {
			break
		}
	}
	wall, cpuMS := ms(time.Since(asked)), ms(processor()-cpu)
	for await(b, d, id).Drawing { // nothing else runs in the next round
		time.Sleep(time.Millisecond)
	}
	_, after := d.Took()
	return ms(after - before), wall - ms(after-before), cpuMS
}

func ms(d time.Duration) float64 { return float64(d) / 1e6 }

// processor returns the processor time that this process has used.
func processor() time.Duration {
	var r syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &r); err != nil {
		panic(err)
	}
	return time.Duration(r.Utime.Nano() + r.Stime.Nano())
}
