package cli

import (
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/check"
	"selvage/limit"
	"selvage/tooth"
)

// caseName is the file that makes a folder a case.
const caseName = "case.json"

// order is what the command line says of a case.
type order struct {
	Tooth      code            `help:"The prepared tooth: 26 (FDI), UL6 (Palmer), or with --numbering universal 14."`
	Numbering  name            `help:"How --tooth is written: fdi, universal or palmer."`
	Material   name            `help:"What the crown will be made of: ${materials}." predictor:"material"`
	FinishLine name            `help:"The finish line that was meant: ${finishlines}." predictor:"line"`
	Cement     name            `help:"How it will be fixed: ${cements}." predictor:"cement"`
	Units      name            `help:"Unit of all files: mm, cm, m, in or um." predictor:"unit"`
	Role       map[name]string `help:"What a file shows: ROLE=FILE. May be given more than once." predictor:"role" mapsep:"none"`
}

// loaded is a case as it was read from disk.
type loaded struct {
	input   check.Input
	sources []string // every file that was read
	folder  string   // the case's folder; empty where files were named one by one
}

// load reads the case that paths name: a folder, a case.json, or scan files.
func load(paths []string, o order) (loaded, error) {
	if len(paths) == 1 {
		info, err := os.Stat(paths[0])
		switch {
		case err != nil:
			return loaded{}, readError(paths[0], err)
		case info.IsDir():
			return loadFolder(paths[0], o)
		case strings.EqualFold(filepath.Ext(paths[0]), ".json"):
			return loadCase(paths[0], o)
		}
	}
	return loadFiles(paths, "", o)
}

// loadFolder reads a folder, by its case.json if it has one.
func loadFolder(dir string, o order) (loaded, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return loaded{}, readError(dir, err)
	}
	var paths []string
	for _, e := range entries { // in order of name
		if e.Name() == caseName {
			return loadCase(filepath.Join(dir, caseName), o)
		}
		if isScanName(e.Name()) && !strings.HasPrefix(e.Name(), ".") {
			paths = append(paths, filepath.Join(dir, e.Name()))
		}
	}
	if len(paths) == 0 {
		return loaded{}, &inputError{
			File: dir, What: "holds neither case.json nor a file that ends in .stl, .ply or .obj",
			Try: "name the folder that the scanner exported to",
		}
	}
	return loadFiles(paths, dir, o)
}

// loadCase reads case.json and the scans that it lists.
func loadCase(path string, o order) (loaded, error) {
	data, err := readBounded(path, maxTextBytes)
	if err != nil {
		return loaded{}, err
	}
	c, err := casefile.Parse(data)
	if err != nil {
		return loaded{}, &inputError{
			File: path, What: strings.TrimPrefix(err.Error(), "case.json: "),
			Try: "selvage help case shows one that works", Err: err,
		}
	}
	dir := filepath.Dir(path)
	l := loaded{folder: dir, sources: []string{path}}
	if err := o.override(&c, &l.input.Assumed); err != nil {
		return loaded{}, err
	}
	if len(o.Role) > 0 {
		return loaded{}, &inputError{File: path, What: "names the role of every scan, and --role was given too", Try: "change the role in case.json"}
	}
	for _, u := range c.Unknown {
		l.input.Assumed = append(l.input.Assumed, fmt.Sprintf("%s holds %s, which is not known and was not used", caseName, u))
	}
	for _, s := range c.Scans {
		if !filepath.IsLocal(filepath.FromSlash(s.File)) {
			return loaded{}, &inputError{File: path, What: fmt.Sprintf("names %q, which is not inside the case folder", s.File), Try: "copy the scan into the folder"}
		}
		p := filepath.Join(dir, filepath.FromSlash(s.File))
		data, err := readBounded(p, maxScanBytes)
		if err != nil {
			return loaded{}, missing(path, s.File, err)
		}
		f := check.File{Name: s.File, Role: s.Role, Data: data}
		if n := toothOf(s.Tooth, c); n.Valid() {
			f.Tooth = n.String()
		}
		l.input.Files = append(l.input.Files, f)
		l.sources = append(l.sources, p)
	}
	l.input.Case, l.input.Units = c, string(o.Units)
	return l, nil
}

// missing adds to an error about a file that case.json listed it.
func missing(casePath, name string, err error) error {
	var in *inputError
	if errors.As(err, &in) && errors.Is(err, os.ErrNotExist) {
		return &inputError{File: in.File, What: "is listed in " + casePath + " and is not there", Try: "export it again, or take " + name + " out of the list", Err: err}
	}
	return err
}

// toothOf returns the tooth that a scan shows, in the numbering of the case where
// it names none of its own.
func toothOf(ref casefile.ToothRef, c casefile.Case) tooth.Number {
	if ref.Code == "" {
		return 0
	}
	system := ref.System
	if system == "" && len(c.Restorations) > 0 {
		system = c.Restorations[0].Tooth.System
	}
	n, err := tooth.Parse(system, ref.Code)
	if err != nil {
		return 0
	}
	return n
}

// loadFiles reads scans that no case.json describes.
func loadFiles(paths []string, dir string, o order) (loaded, error) {
	if o.Tooth == "" {
		return loaded{}, &inputError{File: dir, What: "no case.json says which tooth was prepared", Try: "--tooth 26"}
	}
	n, err := parseTooth(string(o.Numbering), string(o.Tooth))
	if err != nil {
		return loaded{}, err
	}
	l := loaded{folder: dir}
	c := casefile.Case{Name: nameOf(dir, paths[0]), Restorations: []casefile.Restoration{{Tooth: casefile.CodeOf(n), Kind: casefile.Crown}}}
	l.input.Assumed = append(l.input.Assumed, "a crown is meant: no case.json says what is to be made")
	if err := o.fill(&c.Restorations[0]); err != nil {
		return loaded{}, err
	}
	roles := casefile.RolesByName(paths, n.Jaw())
	given, err := o.roles(paths)
	if err != nil {
		return loaded{}, err
	}
	for i, p := range paths {
		data, err := readBounded(p, maxScanBytes)
		if err != nil {
			return loaded{}, err
		}
		f := check.File{Name: filepath.Base(p), Role: roles[i], Data: data}
		switch {
		case given[i] != "":
			f.Role = given[i]
		case slices.Contains(given, f.Role) && f.Role != "":
			f.Role = "" // the command line gave that role to another file
		case f.Role != "":
			l.input.Assumed = append(l.input.Assumed, fmt.Sprintf("%s is taken as the %s scan: its name says so", f.Name, f.Role))
		}
		if f.Role == finding.RolePreparation {
			f.Tooth = n.String()
		}
		l.input.Files = append(l.input.Files, f)
		l.sources = append(l.sources, p)
		c.Scans = append(c.Scans, casefile.ScanFile{Role: f.Role, File: f.Name})
	}
	l.input.Case, l.input.Units = c, string(o.Units)
	return l, nil
}

// nameOf names a case that has no name: after its folder.
func nameOf(dir, first string) string {
	if dir == "" {
		dir = filepath.Dir(first)
	}
	if abs, err := filepath.Abs(dir); err == nil {
		dir = abs
	}
	return filepath.Base(dir)
}

// roles returns the roles that --role gives, by path.
func (o order) roles(paths []string) ([]finding.Role, error) {
	out := make([]finding.Role, len(paths))
	for _, role := range finding.Roles() {
		file, ok := o.Role[name(role)]
		if !ok {
			continue
		}
		i := slices.IndexFunc(paths, func(p string) bool { return p == file || filepath.Base(p) == file })
		if i < 0 {
			return nil, &inputError{File: file, What: fmt.Sprintf("is given the role %s and is not among the scans", role), Try: "the name of a file in the folder"}
		}
		out[i] = role
	}
	for _, given := range slices.Sorted(maps.Keys(o.Role)) {
		if !slices.Contains(finding.Roles(), finding.Role(given)) {
			return nil, &inputError{What: fmt.Sprintf("--role %s: there is no such role", given), Try: listed(finding.Roles())}
		}
	}
	return out, nil
}

// fill writes what the command line orders into a restoration.
func (o order) fill(r *casefile.Restoration) error {
	var err error
	if r.Material, err = oneOf("material", o.Material, r.Material, limit.Materials()); err != nil {
		return err
	}
	if r.FinishLine, err = oneOf("finish-line", o.FinishLine, r.FinishLine, limit.FinishLines()); err != nil {
		return err
	}
	r.Cement, err = oneOf("cement", o.Cement, r.Cement, limit.Cements())
	return err
}

// oneOf checks a word of a closed list; an empty word keeps what there was.
func oneOf[T ~string](flag string, given name, was T, list []T) (T, error) {
	if given == "" {
		return was, nil
	}
	if !slices.Contains(list, T(given)) {
		return was, &inputError{What: fmt.Sprintf("--%s %s is not known", flag, given), Try: listed(list)}
	}
	return T(given), nil
}

// override applies the command line to a case that has a prescription of its own,
// and says so: a report must not look as if case.json had said it.
func (o order) override(c *casefile.Case, assumed *[]string) error {
	if o.Tooth != "" {
		n, err := parseTooth(string(o.Numbering), string(o.Tooth))
		if err != nil {
			return err
		}
		i := slices.IndexFunc(c.Restorations, func(r casefile.Restoration) bool { return r.Tooth.Number() == n })
		if i < 0 {
			return &inputError{File: caseName, What: fmt.Sprintf("orders nothing for tooth %s", n), Try: "leave --tooth out, or correct case.json"}
		}
		if len(c.Restorations) > 1 {
			*assumed = append(*assumed, fmt.Sprintf("only tooth %s of the case was checked, as asked", n))
		}
		c.Restorations = c.Restorations[i : i+1]
	}
	for i := range c.Restorations {
		r := &c.Restorations[i]
		was := *r
		if err := o.fill(r); err != nil {
			return err
		}
		for _, d := range []struct{ what, was, is string }{
			{"material", string(was.Material), string(r.Material)},
			{"finish line", string(was.FinishLine), string(r.FinishLine)},
			{"cement", string(was.Cement), string(r.Cement)},
		} {
			if d.was != d.is {
				*assumed = append(*assumed, fmt.Sprintf("the %s is %s, as the command said; case.json says %s", d.what, d.is, orNothing(d.was)))
			}
		}
	}
	return nil
}

func orNothing(s string) string {
	if s == "" {
		return "nothing"
	}
	return s
}
