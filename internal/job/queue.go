package job

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"time"

	"github.com/riverqueue/river"
	"github.com/riverqueue/river/riverdriver"
	"github.com/riverqueue/river/riverdriver/riverdatabasesql"
	"github.com/riverqueue/river/riverdriver/riversqlite"
	"github.com/riverqueue/river/rivermigrate"
	"github.com/riverqueue/river/rivertype"
)

// Dialect says which database a queue lives in.
type Dialect uint8

// The dialects.
const (
	SQLite Dialect = iota
	Postgres
)

// Patience is how long a task may take where its queue does not say otherwise.
const Patience = 5 * time.Minute

// Limits of the queue. A task whose program died is taken up again rescueMargin after it
// should have been done, or as soon as a program that is alone starts.
const (
	rescueMargin = time.Minute
	maxAttempts  = 3
	pollEvery    = 100 * time.Millisecond
)

// Task is one piece of work, as its handler sees it.
type Task struct {
	ID      int64
	Attempt int             // from 1
	Last    bool            // no further attempt follows
	Spent   bool            // every attempt was begun before, and the program died in each
	Body    json.RawMessage // as it was queued
	done    func(context.Context, *sql.Tx) error
}

// Done marks the task as done in the transaction that records its result.
func (t Task) Done(ctx context.Context, tx *sql.Tx) error { return t.done(ctx, tx) }

// Later is the error by which a handler puts a task off without counting it as tried.
func Later(d time.Duration) error { return river.JobSnooze(d) }

// Handler does the tasks of one name. An error lets the task be tried again later.
type Handler func(ctx context.Context, t Task) error

// Queue holds tasks and runs them.
type Queue struct {
	client *river.Client[*sql.Tx]
	db     *sql.DB
}

// Options of a queue.
type Options struct {
	Dialect  Dialect
	Workers  int           // tasks at a time; 0: only queue, run none
	Alone    bool          // no other program runs tasks of this database: what was running has died
	Patience time.Duration // after which a task's context ends; 0: [Patience]
	Handlers map[string]Handler
	Log      *slog.Logger
}

// task is what the queue's library keeps of a task.
type task struct {
	Name string          `json:"name"`
	Body json.RawMessage `json:"body"`
}

// Kind names the library's only kind of job.
func (task) Kind() string { return "task" }

// Open brings the queue's tables up to date and returns the queue. Start lets it run.
func Open(ctx context.Context, db *sql.DB, o Options) (*Queue, error) {
	driver, done := driverOf(db, o.Dialect)
	if err := migrate(ctx, db, driver, o); err != nil {
		return nil, fmt.Errorf("job: %w", err)
	}
	if o.Alone {
		if _, err := db.ExecContext(ctx, `UPDATE river_job SET state = 'available' WHERE state = 'running'`); err != nil {
			return nil, fmt.Errorf("job: %w", err)
		}
	}
	if o.Patience == 0 {
		o.Patience = Patience
	}
	workers := river.NewWorkers()
	w := &worker{handlers: o.Handlers, done: done}
	if err := river.AddWorkerSafely(workers, w); err != nil {
		return nil, fmt.Errorf("job: %w", err)
	}
	conf := &river.Config{
		Logger:               o.Log,
		JobTimeout:           o.Patience,
		RescueStuckJobsAfter: o.Patience + rescueMargin,
		MaxAttempts:          maxAttempts,
		FetchCooldown:        pollEvery,
		FetchPollInterval:    time.Second,
		Workers:              workers,
	}
	if o.Workers > 0 {
		conf.Queues = map[string]river.QueueConfig{river.QueueDefault: {MaxWorkers: o.Workers}}
	}
	client, err := river.NewClient(driver, conf)
	if err != nil {
		return nil, fmt.Errorf("job: %w", err)
	}
	return &Queue{client: client, db: db}, nil
}

// lockKey is any number that nothing else in the database locks.
const lockKey int64 = 0x5e17a6f

// migrate brings the queue's tables up to date. On PostgreSQL, where several programs may
// start at once, a lock in the database lets one go first. A file has one program alone.
func migrate(ctx context.Context, db *sql.DB, driver riverdriver.Driver[*sql.Tx], o Options) (err error) {
	migrator, err := rivermigrate.New(driver, &rivermigrate.Config{Logger: o.Log})
	if err != nil {
		return err
	}
	if o.Dialect == Postgres {
		var conn *sql.Conn
		if conn, err = db.Conn(ctx); err != nil {
			return err
		}
		defer func() { err = errors.Join(err, conn.Close()) }()
		if _, err = conn.ExecContext(ctx, `SELECT pg_advisory_lock($1)`, lockKey); err != nil {
			return err
		}
		defer func() {
			_, uerr := conn.ExecContext(context.WithoutCancel(ctx), `SELECT pg_advisory_unlock($1)`, lockKey)
			err = errors.Join(err, uerr)
		}()
	}
	_, err = migrator.Migrate(ctx, rivermigrate.DirectionUp, nil)
	return err
}

// completer marks a job as completed in a transaction.
type completer func(context.Context, *sql.Tx, *river.Job[task]) error

func driverOf(db *sql.DB, d Dialect) (riverdriver.Driver[*sql.Tx], completer) {
	if d == Postgres {
		return riverdatabasesql.New(db), func(ctx context.Context, tx *sql.Tx, j *river.Job[task]) error {
			_, err := river.JobCompleteTx[*riverdatabasesql.Driver](ctx, tx, j)
			return err
		}
	}
	return riversqlite.New(db), func(ctx context.Context, tx *sql.Tx, j *river.Job[task]) error {
		_, err := river.JobCompleteTx[*riversqlite.Driver](ctx, tx, j)
		return err
	}
}

// Begun reports whether a database has a queue's tables.
func Begun(ctx context.Context, db *sql.DB) bool {
	var n int
	return db.QueryRowContext(ctx, `SELECT COUNT(*) FROM river_queue`).Scan(&n) == nil
}

// Start runs tasks until ctx ends or Stop is called.
func (q *Queue) Start(ctx context.Context) error { return q.client.Start(ctx) }

// Stop waits for running tasks, and cancels them when ctx ends.
func (q *Queue) Stop(ctx context.Context) error {
	err := q.client.Stop(ctx)
	if errors.Is(err, context.DeadlineExceeded) || errors.Is(err, context.Canceled) {
		return q.client.StopAndCancel(context.WithoutCancel(ctx))
	}
	return err
}

// Add queues a task in a transaction: it runs only if the transaction commits.
func (q *Queue) Add(ctx context.Context, tx *sql.Tx, name string, body any) (int64, error) {
	data, err := json.Marshal(body)
	if err != nil {
		return 0, fmt.Errorf("job %s: %w", name, err)
	}
	res, err := q.client.InsertTx(ctx, tx, task{Name: name, Body: data}, nil)
	if err != nil {
		return 0, fmt.Errorf("job %s: %w", name, err)
	}
	return res.Job.ID, nil
}

// Waiting returns how many tasks wait or run.
func (q *Queue) Waiting(ctx context.Context) (n int, err error) {
	err = q.db.QueryRowContext(ctx, `SELECT COUNT(*) FROM river_job WHERE state IN ('available', 'pending', 'retryable', 'running', 'scheduled')`).Scan(&n)
	if err != nil {
		return 0, fmt.Errorf("job: %w", err)
	}
	return n, nil
}

// Cancel stops a task: one that waits never runs, one that runs has its context
// cancelled. A task that is gone or done is left alone.
func (q *Queue) Cancel(ctx context.Context, tx *sql.Tx, id int64) error {
	_, err := q.client.JobCancelTx(ctx, tx, id)
	if errors.Is(err, rivertype.ErrNotFound) {
		return nil
	}
	return err
}

// worker hands jobs of the library to handlers.
type worker struct {
	river.WorkerDefaults[task]
	handlers map[string]Handler
	done     completer
}

// Work runs one task.
func (w *worker) Work(ctx context.Context, j *river.Job[task]) error {
	h, ok := w.handlers[j.Args.Name]
	if !ok {
		return river.JobCancel(fmt.Errorf("no handler for %q", j.Args.Name))
	}
	return h(ctx, Task{
		ID: j.ID, Attempt: j.Attempt, Last: j.Attempt >= j.MaxAttempts, Spent: j.Attempt > j.MaxAttempts, Body: j.Args.Body,
		done: func(ctx context.Context, tx *sql.Tx) error { return w.done(ctx, tx, j) },
	})
}

// NextRetry waits little: whoever stands at the chair waits with the task.
func (w *worker) NextRetry(j *river.Job[task]) time.Time {
	return time.Now().Add(time.Duration(j.Attempt) * time.Second)
}
