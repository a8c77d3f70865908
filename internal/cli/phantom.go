package cli

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"selvage/internal/casefile"
	"selvage/internal/check"
	"selvage/internal/study"
	"selvage/phantom"
	"selvage/phantom/stump"
)

// truthName is the file by which a phantom's folder is known.
const truthName = "truth.json"

// phantomVerb makes a case with known truth.
type phantomVerb struct {
	Out       string  `arg:"" help:"Folder to write; made if it is not there." predictor:"folder"`
	Tooth     code    `required:"" help:"The prepared tooth: 26 (FDI), UL6 (Palmer), or with --numbering universal 14."`
	Numbering name    `help:"How --tooth is written: fdi, universal or palmer." default:""`
	Seed      uint64  `default:"1" help:"Seed of noise and small variations: the same seed gives the same files."`
	Fault     []fault `help:"Something wrong: NAME or NAME=VALUE. May be given more than once." predictor:"fault" sep:"none"`
	Finish    name    `name:"finish-line" help:"What the bur leaves and the prescription names: knife-edge, chamfer, heavy-chamfer, shoulder or sloped-shoulder." default:""`
	NoiseUm   float64 `name:"noise-um" default:"10" help:"Noise of the scanner, one standard deviation, in micrometres."`
	Triangles int     `help:"About so many triangles in the working scan; 0 takes the scanner's usual spacing."`
	FullArch  bool    `help:"The whole arch instead of the quadrant."`
}

// Help is shown below the flags.
func (phantomVerb) Help() string {
	return `
Writes a case folder as a scanner would export it (case.json and the scans) and beside
it truth.json: the exact axis, tapers, heights, margin, clearances and gaps that the
case was made from, and the findings that a perfect check would make.

    selvage phantom out/sound --tooth 26
    selvage phantom out/faulty --tooth 26 --fault margin-not-captured --fault clearance-low=0.8
    selvage check out/faulty

A fault is named like the finding that it should raise; its value is in the finding's
unit. The faults: ` + strings.Join(phantom.FaultNames(), ", ") + `.

OUT must be new, empty, or the folder of an earlier phantom, which is then replaced.`
}

// Run makes the case and writes it.
func (v phantomVerb) Run(ctx context.Context, env Env) error {
	n, err := parseTooth(string(v.Numbering), string(v.Tooth))
	if err != nil {
		return err
	}
	spec := phantom.Default(n)
	spec.Seed, spec.FullArch, spec.Scanner.Noise = v.Seed, v.FullArch, v.NoiseUm/1000
	spec.Scanner.Triangles = v.Triangles
	if v.NoiseUm < 0 || v.NoiseUm > 1000 {
		return &inputError{What: fmt.Sprintf("a noise of %g µm is not possible", v.NoiseUm), Try: "--noise-um 10"}
	}
	if v.Triangles < 0 || v.Triangles > 20_000_000 {
		return &inputError{What: fmt.Sprintf("%d triangles are not possible", v.Triangles), Try: "--triangles 400000"}
	}
	if v.Finish != "" {
		if err := finishLine(&spec.Stump, string(v.Finish)); err != nil {
			return err
		}
	}
	for _, f := range v.Fault {
		parsed, err := parseFault(string(f))
		if err != nil {
			return err
		}
		spec.Faults = append(spec.Faults, parsed)
	}
	old, err := claimFolder(v.Out)
	if err != nil {
		return err
	}
	c, err := phantom.Make(spec)
	if err != nil {
		return &inputError{What: strings.TrimPrefix(err.Error(), "phantom: "), Try: "selvage help phantom", Err: err}
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	order, files, err := study.Files(filepath.Base(filepath.Clean(v.Out)), c)
	if err != nil {
		return err
	}
	if err := v.write(order, files, c.Truth, old); err != nil {
		return err
	}
	return v.say(env, order, files, c.Truth)
}

// finishLine gives the stump a finish line by name, as wide as is usual for it
// (trade.md §1.5; a knife edge has no shelf to speak of).
func finishLine(s *stump.Shape, kind string) error {
	width := map[stump.FinishLine]float64{
		stump.KnifeEdge: 0.08, stump.Chamfer: 0.6, stump.HeavyChamfer: 1.0, stump.Shoulder: 1.1, stump.SlopedShoulder: 1.0,
	}
	w, ok := width[stump.FinishLine(kind)]
	if !ok {
		return &inputError{What: fmt.Sprintf("%q is no finish line", kind), Try: "knife-edge, chamfer, heavy-chamfer, shoulder or sloped-shoulder"}
	}
	s.FinishLine, s.FinishWidth = stump.FinishLine(kind), w
	return nil
}

// parseFault reads NAME or NAME=VALUE.
func parseFault(s string) (phantom.Fault, error) {
	name, value, given := strings.Cut(s, "=")
	f := phantom.Fault{Name: name, Value: math.NaN()}
	if !given {
		return f, nil
	}
	v, err := strconv.ParseFloat(value, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return f, &inputError{What: fmt.Sprintf("the fault %s has the value %q, which is no number", name, value), Try: "--fault clearance-low=0.8"}
	}
	f.Value = v
	return f, nil
}

// claimFolder makes sure that a folder may be written: it is not there, is empty,
// or holds an earlier phantom, whose files it then names.
func claimFolder(dir string) (old []string, err error) {
	entries, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil
	case err != nil:
		if info, serr := os.Stat(dir); serr == nil && !info.IsDir() {
			return nil, &inputError{File: dir, What: "is a file, not a folder", Try: "another name"}
		}
		return nil, readError(dir, err)
	case len(entries) == 0:
		return nil, nil
	}
	full := &inputError{
		File: dir, What: "is not empty and is no phantom's folder; nothing was written into it",
		Try: "a new folder, such as " + filepath.Join(dir, "phantom"),
	}
	data, err := readBounded(filepath.Join(dir, truthName), 64<<20)
	if err != nil {
		return nil, full
	}
	var truth phantom.Truth
	if json.Unmarshal(data, &truth) != nil || !strings.HasPrefix(truth.Schema, "selvage.truth/") {
		return nil, full
	}
	own := map[string]bool{truthName: true, caseName: true}
	for _, s := range truth.Scans {
		if s.File == filepath.Base(s.File) {
			own[s.File] = true
		}
	}
	for _, e := range entries {
		if !own[e.Name()] {
			full.What = fmt.Sprintf("holds %s, which an earlier phantom did not make; nothing was written", e.Name())
			return nil, full
		}
		old = append(old, filepath.Join(dir, e.Name()))
	}
	return old, nil
}

// write puts the case on disk. truth.json goes first, so that a folder that was
// left half written is still known as a phantom's.
func (v phantomVerb) write(order casefile.Case, files []check.File, truth phantom.Truth, old []string) error {
	if err := os.MkdirAll(v.Out, 0o777); err != nil {
		return writeError(v.Out, err)
	}
	for _, path := range old {
		if err := os.Remove(path); err != nil {
			return writeError(path, err)
		}
	}
	truthJSON, err := indented(truth)
	if err != nil {
		return err
	}
	caseJSON, err := order.Encode()
	if err != nil {
		return err
	}
	all := []check.File{{Name: truthName, Data: truthJSON}, {Name: caseName, Data: caseJSON}}
	for _, f := range append(all, files...) {
		if err := writeFile(filepath.Join(v.Out, f.Name), f.Data); err != nil {
			return err
		}
	}
	return nil
}

// say lists what was written and what a perfect check would find.
func (v phantomVerb) say(env Env, order casefile.Case, files []check.File, truth phantom.Truth) error {
	n := order.Restorations[0].Tooth.Number()
	fmt.Fprintf(env.Stdout, "%s: tooth %s (%s), %s, %s\n", v.Out, n, n.Name(),
		order.Restorations[0].Material, order.Restorations[0].FinishLine)
	for _, f := range files {
		fmt.Fprintf(env.Stdout, "  %-12s %s, %s\n", f.Role, f.Name, bytesText(int64(len(f.Data))))
	}
	if len(truth.Findings) == 0 {
		fmt.Fprintln(env.Stdout, "  a perfect check finds nothing to act on")
		return nil
	}
	fmt.Fprintln(env.Stdout, "  a perfect check finds:")
	for _, f := range truth.Findings {
		line := "    " + f.Code
		if f.Surface != "" {
			line += ", " + f.Surface
		}
		if f.Value != 0 {
			line += fmt.Sprintf(", %.3g %s", f.Value, f.Unit)
		}
		fmt.Fprintln(env.Stdout, strings.TrimRight(line, " "))
	}
	return nil
}

// indented writes a value as JSON for people, with a newline at its end.
func indented(v any) ([]byte, error) {
	data, err := json.MarshalIndent(v, "", "  ")
	if err != nil {
		return nil, err
	}
	return append(data, '\n'), nil
}
