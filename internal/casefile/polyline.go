package casefile

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"

	"selvage/finding"
)

// readable is the state of a margin point at which the edge can be told.
const readable finding.StretchState = "readable"

// states returns the state of every point of a margin.
func (m Margin) states() []finding.StretchState {
	out := make([]finding.StretchState, len(m.Points))
	for i := range out {
		out[i] = readable
	}
	for _, s := range m.Stretches {
		for i := s.From; i >= 0 && i < len(out); i = (i + 1) % len(out) {
			out[i] = s.State
			if i == s.To {
				break
			}
		}
	}
	return out
}

// MarginOBJ writes the margins of a report as polylines: one object per tooth, and in
// it one group per state, since a doubtful stretch is a proposal and must not pass for
// a reading. Coordinates are mm in the frame of the scan that the header names. A
// tooth without a margin is named in a comment with the reason.
func (r Report) MarginOBJ() []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "# margins of case %s, mm, made by Selvage %s\n", plain(r.Case), r.Program.Version)
	first := 1
	for _, t := range r.Restorations {
		m := t.Measures.Margin
		if m.Not != "" {
			fmt.Fprintf(&b, "# tooth %s: %s\n", t.Tooth.FDI, plain(m.Not))
			continue
		}
		fmt.Fprintf(&b, "# tooth %s, in the frame of the %s scan\no margin-%s\n", t.Tooth.FDI, m.Scan, t.Tooth.FDI)
		for _, p := range m.Points {
			fmt.Fprintf(&b, "v %s %s %s\n", mm(p[0]), mm(p[1]), mm(p[2]))
		}
		m.lines(&b, first)
		first += len(m.Points)
	}
	return b.Bytes()
}

// lines writes the runs of one state. A segment has the worse state of its two ends.
func (m Margin) lines(b *bytes.Buffer, first int) {
	n := len(m.Points)
	state := m.states()
	segment := func(i int) finding.StretchState {
		if s := state[i]; s != readable {
			return s
		}
		return state[(i+1)%n]
	}
	segments := n
	if !m.Closed {
		segments = n - 1
	}
	for i := 0; i < segments; {
		s := segment(i)
		fmt.Fprintf(b, "g %s\nl %d", s, first+i)
		for i < segments && segment(i) == s {
			i++
			fmt.Fprintf(b, " %d", first+i%n)
		}
		b.WriteByte('\n')
	}
}

// MarginCSV writes the margins of a report as one table: tooth, scan, index, x, y, z
// in mm, confidence from 0 to 1, and state.
func (r Report) MarginCSV() ([]byte, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	rows := [][]string{{"tooth_fdi", "scan", "index", "x_mm", "y_mm", "z_mm", "confidence", "state"}}
	for _, t := range r.Restorations {
		m := t.Measures.Margin
		state := m.states()
		for i, p := range m.Points {
			rows = append(rows, []string{
				t.Tooth.FDI, string(m.Scan), strconv.Itoa(i), mm(p[0]), mm(p[1]), mm(p[2]),
				strconv.FormatFloat(m.Confidence[i], 'f', 3, 64), string(state[i]),
			})
		}
	}
	if err := w.WriteAll(rows); err != nil {
		return nil, fmt.Errorf("casefile: margin table: %w", err)
	}
	return b.Bytes(), nil
}

// mm writes a coordinate to a tenth of a micrometre, finer than any scan.
func mm(v float64) string { return strconv.FormatFloat(v, 'f', 4, 64) }

// plain keeps a text on its line of comment.
func plain(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, s)
}
