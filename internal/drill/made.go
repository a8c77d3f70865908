package drill

import (
	"bytes"
	"context"
	"errors"
	"fmt"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/check"
	"selvage/internal/report"
	"selvage/limit"
	"selvage/meshio/stl"
	"selvage/phantom"
	"selvage/r3"
	"selvage/tooth"
)

// Made is a training case that was made and checked.
type Made struct {
	Tooth    tooth.Number
	Material string
	RoomMM   float64           // what the material needs to the opposing teeth; 0: not known
	Truth    []Spot            // what is there
	Program  []Spot            // what the program said of a side; all it said is in Line
	Line     map[string]string // the verdict in one line, by language
	Version  string

	pictures map[Place][]picturePair
}

// picturePair is a picture of a place, as it is judged and with the truth marked on it.
type picturePair struct{ plain, marked []byte }

// Pictures is how many pictures a place has.
func (m *Made) Pictures(p Place) int { return len(m.pictures[p]) }

// Picture returns a picture as PNG.
func (m *Made) Picture(p Place, n int, marked bool) ([]byte, bool) {
	if n < 0 || n >= len(m.pictures[p]) {
		return nil, false
	}
	if marked {
		return m.pictures[p][n].marked, true
	}
	return m.pictures[p][n].plain, true
}

// Make makes the case of a recipe and a number, and checks it. A fault that this mouth does
// not allow is tried in the next one; so is a mouth in which something is wrong that no side
// shows, since whoever rightly finds nothing there would be told that they missed it. Cost:
// some seconds of a core.
func Make(ctx context.Context, key string, seed uint64) (*Made, error) {
	for _, r := range recipes {
		if r.key != key {
			continue
		}
		c, err := r.mouth(seed, phantom.Make)
		if err != nil {
			return nil, err
		}
		return checked(ctx, c)
	}
	return nil, fmt.Errorf("drill: there is no training case %q", key)
}

// mouth makes the first mouth from a number on that serves to train on.
func (r recipe) mouth(seed uint64, from func(phantom.Spec) (phantom.Case, error)) (c phantom.Case, err error) {
	const tries = 8
	for i := range uint64(tries) {
		c, err = from(r.spec(seed + i))
		var cannot *phantom.FaultError
		switch {
		case errors.As(err, &cannot):
		case err != nil:
			return c, err
		default:
			_, nowhere := truth(c.Truth, frameOf(c.Truth.Restorations[0]))
			if len(nowhere) == 0 {
				return c, nil
			}
			err = fmt.Errorf("drill: in mouth %d of %q no side shows %v", seed+i, r.key, nowhere)
		}
	}
	return c, err
}

// checked runs the check over a made case, as over any other.
func checked(ctx context.Context, c phantom.Case) (*Made, error) {
	in := check.Input{Case: order(c.Prescription), Stage: finding.Final}
	for _, s := range c.Scans {
		var b bytes.Buffer
		if err := stl.Encode(&b, s.Mesh); err != nil {
			return nil, err
		}
		in.Files = append(in.Files, check.File{Name: s.File, Role: finding.Role(s.Role), Data: b.Bytes()})
		in.Case.Scans = append(in.Case.Scans, casefile.ScanFile{Role: finding.Role(s.Role), File: s.File})
	}
	out, err := check.Run(ctx, in, nil)
	if err != nil {
		return nil, err
	}
	o := in.Case.Restorations[0]
	f := frameOf(c.Truth.Restorations[0])
	m := &Made{Tooth: c.Prescription.Tooth, Material: c.Prescription.Material, Line: map[string]string{}, Version: out.Report.Program.Version}
	if row, ok := out.Limits.Clearance(limit.Selector{Material: o.Material, Cement: o.Cement, Zone: limit.Functional, Class: string(c.Prescription.Tooth.Class())}); ok && row.Flag.Set {
		m.RoomMM = row.Flag.V
	}
	m.Truth, _ = truth(c.Truth, f) // mouth saw to it that every finding has a side
	m.program(out, f)
	m.draw(c, f)
	return m, nil
}

// truth places what is wrong by the phantom's own account; nowhere is what has no side.
func truth(t phantom.Truth, f frame) (there []Spot, nowhere []finding.Code) {
	for _, x := range t.Findings {
		c := finding.Code(x.Code)
		usual, ok := c.Usual()
		do := answerOf(usual)
		if !ok || x.Level != "flag" || do == Nothing {
			continue
		}
		if s, ok := f.spot(c, do, point(x.At)); ok {
			there = append(there, s)
		} else {
			nowhere = append(nowhere, c)
		}
	}
	return there, nowhere
}

func point(p *phantom.Point) *r3.Vec {
	if p == nil {
		return nil
	}
	v := p.Vec()
	return &v
}

// program places what the check raised.
func (m *Made) program(out check.Outcome, f frame) {
	m.Line["en"] = out.Report.Line
	for _, w := range finding.Catalogues()[1:] {
		m.Line[w.Language] = finding.JudgeIn(out.Facts, out.Limits, w).Line
	}
	for _, x := range report.Order(out.Report) {
		do := answerOf(x.Action)
		if do == Nothing {
			continue
		}
		var at *r3.Vec
		if x.At != nil {
			at = &r3.Vec{X: x.At[0], Y: x.At[1], Z: x.At[2]}
		}
		if s, ok := f.spot(x.Code, do, at); ok {
			m.Program = append(m.Program, s)
		}
	}
}

// spot places something; ok is false where it has no side.
func (f frame) spot(c finding.Code, do Answer, at *r3.Vec) (s Spot, ok bool) {
	p, ok := f.place(c, at)
	s = Spot{Place: p, Code: c, Do: do}
	if at != nil {
		s.At = *at
	}
	return s, ok
}
