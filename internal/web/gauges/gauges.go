// Package gauges tells how the program fares, in the text form that Prometheus reads: how
// many requests, how long checks take, what waits. It holds nothing of a case or a person.
package gauges

import (
	"context"
	"net/http"
	"strconv"
	"sync"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"

	"selvage/internal/work"
)

// Gauges counts what is asked for.
type Gauges struct {
	registry *prometheus.Registry
	requests *prometheus.CounterVec
	seconds  *prometheus.HistogramVec
}

// New returns gauges of a desk.
func New(desk *work.Desk, version string) *Gauges {
	g := &Gauges{
		registry: prometheus.NewRegistry(),
		requests: prometheus.NewCounterVec(prometheus.CounterOpts{Name: "selvage_requests_total", Help: "Requests that were answered."}, []string{"route", "status"}),
		seconds: prometheus.NewHistogramVec(prometheus.HistogramOpts{
			Name: "selvage_request_seconds", Help: "How long requests took; streams are not among them.", Buckets: []float64{.005, .02, .05, .1, .2, .5, 1, 2, 5, 20},
		}, []string{"route"}),
	}
	build := prometheus.NewGauge(prometheus.GaugeOpts{Name: "selvage_build_info", Help: "The program's version.", ConstLabels: prometheus.Labels{"version": version}})
	build.Set(1)
	g.registry.MustRegister(g.requests, g.seconds, build, &desked{desk: desk}, collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	return g
}

// Handler serves the gauges.
func (g *Gauges) Handler() http.Handler {
	return promhttp.HandlerFor(g.registry, promhttp.HandlerOpts{})
}

// Serve lets next answer and counts the answer under its route. WHY the route and not the
// address: addresses name cases.
func (g *Gauges) Serve(route string, w http.ResponseWriter, r *http.Request, next http.Handler) {
	if route == "" {
		route = "none"
	}
	c := &counted{ResponseWriter: w, status: http.StatusOK}
	begun := time.Now()
	next.ServeHTTP(c, r)
	g.requests.WithLabelValues(route, strconv.Itoa(c.status)).Inc()
	if c.Header().Get("Content-Type") != "text/event-stream" {
		g.seconds.WithLabelValues(route).Observe(time.Since(begun).Seconds())
	}
}

// counted notes the status of an answer.
type counted struct {
	http.ResponseWriter
	status int
	said   bool
}

func (c *counted) WriteHeader(status int) {
	if !c.said {
		c.status, c.said = status, true
	}
	c.ResponseWriter.WriteHeader(status)
}

func (c *counted) Write(p []byte) (int, error) {
	c.said = true
	return c.ResponseWriter.Write(p)
}

// Unwrap lets what streams flush.
func (c *counted) Unwrap() http.ResponseWriter { return c.ResponseWriter }

// countEvery is how old the counts of events may be: counting them reads the ledger once.
const countEvery = 15 * time.Second

// desked reads a desk when it is asked.
type desked struct {
	desk *work.Desk

	mu     sync.Mutex
	at     time.Time
	events map[string]int64
}

var (
	events  = prometheus.NewDesc("selvage_events_total", "What happened, by kind; at most 15 seconds old.", []string{"kind"}, nil)
	took    = prometheus.NewDesc("selvage_check_seconds", "How long checks took that ended here.", nil, nil)
	waiting = prometheus.NewDesc("selvage_checks_waiting", "Checks that wait or run.", nil, nil)
	trouble = prometheus.NewDesc("selvage_disk_trouble", "Whether nothing can be stored.", []string{"why"}, nil)
	backup  = prometheus.NewDesc("selvage_backup_timestamp_seconds", "When the last back-up was made; 0: never.", nil, nil)
)

// Describe names what is read.
func (d *desked) Describe(c chan<- *prometheus.Desc) {
	for _, x := range []*prometheus.Desc{events, took, waiting, trouble, backup} {
		c <- x
	}
}

// Collect reads it.
func (d *desked) Collect(c chan<- prometheus.Metric) {
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	if counts, err := d.counts(ctx); err != nil {
		c <- prometheus.NewInvalidMetric(events, err)
	} else {
		for kind, n := range counts {
			c <- prometheus.MustNewConstMetric(events, prometheus.CounterValue, float64(n), kind)
		}
	}
	n, sum := d.desk.Took()
	c <- prometheus.MustNewConstSummary(took, uint64(n), sum.Seconds(), nil)
	if n, err := d.desk.Waiting(ctx); err != nil {
		c <- prometheus.NewInvalidMetric(waiting, err)
	} else {
		c <- prometheus.MustNewConstMetric(waiting, prometheus.GaugeValue, float64(n))
	}
	now, _ := d.desk.Trouble()
	for _, why := range []work.Trouble{work.DiskFull, work.ReadOnly} {
		v := 0.0
		if why == now {
			v = 1
		}
		c <- prometheus.MustNewConstMetric(trouble, prometheus.GaugeValue, v, string(why))
	}
	b, made, err := d.desk.LastBackup(ctx)
	switch {
	case err != nil:
		c <- prometheus.NewInvalidMetric(backup, err)
	case made:
		c <- prometheus.MustNewConstMetric(backup, prometheus.GaugeValue, float64(b.At.UnixMilli())/1000)
	default:
		c <- prometheus.MustNewConstMetric(backup, prometheus.GaugeValue, 0)
	}
}

func (d *desked) counts(ctx context.Context) (map[string]int64, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.events != nil && time.Since(d.at) < countEvery {
		return d.events, nil
	}
	n, err := d.desk.Ledger().Counts(ctx)
	if err == nil {
		d.events, d.at = n, time.Now()
	}
	return n, err
}
