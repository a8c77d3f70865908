package cli

import (
	"bytes"
	"context"

	"selvage/internal/study"
)

// studyVerb checks many phantoms.
type studyVerb struct {
	Cases   int    `default:"60" help:"How many cases; every second one has a fault."`
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
	r, err := study.Run(ctx, study.Options{
		Cases: v.Cases, Seed: v.Seed, Workers: v.Workers,
		Progress: func(done, total int) { bar.show("cases", done, total) },
	})
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
