package cli

import (
	"bytes"
	"context"
	"errors"
	"io"
	"io/fs"
	"os"

	"selvage/internal/study"
)

// studyVerb checks many phantoms.
type studyVerb struct {
	Cases   int    `default:"60" help:"How many cases, in blocks of 14: two without a fault, four with one that voids a case, eight that share out all others."`
	Seed    uint64 `default:"1" help:"Seed: the same seed and number give the same table."`
	Workers int    `default:"2" help:"Cases at a time. Does not change the result."`
	JSON    file   `name:"json" help:"Write the result, case by case, to this file; - is standard output." predictor:"file"`
	Only    *int   `help:"Make and check this one case of the study and tell it in full."`
	Page    file   `help:"Write the tables as a Markdown page, such as doc/accuracy.md." predictor:"file"`
}

// Help is shown below the flags.
func (studyVerb) Help() string {
	return `
Makes phantoms, whose truth is known by construction, checks them, and prints:

  per finding   how often it was caught, missed and falsely raised, with 95 % intervals
  per measure   bias, RMS and 95th percentile of the error, and how often the stated
                uncertainty held the truth
  per verdict   what was said where each verdict was due

With --json FILE each case is also written to FILE.cases as soon as it is done. A study
that was stopped goes on from there when it is started again.

A case whose truth lies within the stated uncertainty of a limit is counted apart: no
answer to it is wrong.

    selvage study --cases 60 --seed 1
    selvage study --cases 600 --json study.json

    selvage study --seed 1 --only 17

tells one case in full, each measure beside its truth.`
}

// Run makes the study and prints its tables.
func (v studyVerb) Run(ctx context.Context, env Env) error {
	if v.Cases < 1 || v.Cases > 1_000_000 {
		return &inputError{What: "--cases must be between 1 and 1000000", Try: "--cases 60"}
	}
	if v.Only != nil {
		return v.one(ctx, env)
	}
	var out outputs
	for _, path := range []file{v.JSON, v.Page} {
		if err := out.allow(string(path)); err != nil {
			return err
		}
	}
	bar := newProgress(env)
	defer bar.done()
	o := study.Options{
		Cases: v.Cases, Seed: v.Seed, Workers: v.Workers,
		Progress: func(done, total int) { bar.show("cases", done, total) },
	}
	r, err := v.resumed(ctx, o)
	bar.done()
	if err != nil {
		return err
	}
	if v.JSON != "" {
		data, err := indented(r)
		if err != nil {
			return err
		}
		if err := emit(env.Stdout, string(v.JSON), data); err != nil {
			return err
		}
	}
	if v.Page != "" {
		var b bytes.Buffer
		if err := r.Page(&b, programVersion()); err != nil {
			return err
		}
		if err := emit(env.Stdout, string(v.Page), b.Bytes()); err != nil {
			return err
		}
	}
	text := env.Stdout
	if v.JSON == "-" || v.Page == "-" {
		text = env.Stderr
	}
	return r.Text(text)
}

// one makes, checks and tells a single case.
func (v studyVerb) one(ctx context.Context, env Env) error {
	if *v.Only < 0 {
		return &inputError{What: "--only needs the number of a case, from 0", Try: "--only 0"}
	}
	t, err := study.One(ctx, v.Seed, *v.Only)
	if err != nil {
		return err
	}
	return t.Text(env.Stdout)
}

// resumed runs the study. Where its result goes to a file, the cases that stand in the
// log beside it are not made again, and each new one is added to it.
func (v studyVerb) resumed(ctx context.Context, o study.Options) (r study.Result, err error) {
	if v.JSON == "" || v.JSON == "-" {
		return study.Run(ctx, o)
	}
	path := string(v.JSON) + ".cases"
	head := study.Head(o, programVersion())
	log, err := os.ReadFile(path)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return r, writeError(path, err)
	}
	done, whole, err := study.ReadLog(log, head)
	if err != nil {
		return r, &inputError{File: path, What: err.Error(), Try: "remove it to start anew, or name another --json"}
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE, 0o666)
	if err != nil {
		return r, writeError(path, err)
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	if err := f.Truncate(int64(whole)); err != nil { // a torn last line
		return r, writeError(path, err)
	}
	if _, err := f.Seek(int64(whole), io.SeekStart); err != nil {
		return r, writeError(path, err)
	}
	add := func(entry any) error {
		line, err := study.Line(entry)
		if err == nil {
			_, err = f.Write(line)
		}
		return err
	}
	if whole == 0 {
		if err := add(head); err != nil {
			return r, writeError(path, err)
		}
	}
	o.Done, o.Keep = done, func(t study.Trial) error { return add(t) }
	return study.Run(ctx, o)
}
