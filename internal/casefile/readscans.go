package casefile

import (
	"bytes"
	"encoding/json"
	"path"
	"slices"
	"strings"

	"selvage/finding"
	"selvage/tooth"
)

func (r *reader) scanFiles(o *object, rs []Restoration) []ScanFile {
	items, paths := o.list("scans")
	if len(items) == 0 {
		r.fail("scans", "is missing; it lists the files of the case")
		return nil
	}
	var out []ScanFile
	for i, n := range items {
		so := r.object(paths[i], n)
		s := ScanFile{Role: word(so, "role", finding.Roles()), File: so.text("file")}
		if t, ok := so.get("tooth"); ok {
			s.Tooth = r.toothRef(paths[i]+".tooth", t, rs)
		}
		s.Teeth = r.namedTeeth(so, rs)
		so.done()
		r.checkFile(paths[i], s, out)
		out = append(out, s)
	}
	return out
}

// single lists the roles that only one file can have. There is one preparation and
// one design for each tooth.
var single = [...]finding.Role{finding.RoleWorking, finding.RoleOpposing, finding.RoleBite, finding.RoleBefore}

func (r *reader) checkFile(at string, s ScanFile, before []ScanFile) {
	switch {
	case s.File == "":
		r.fail(at+".file", "is missing; it names the file")
	case strings.ContainsAny(s.File, "\\\x00") || path.IsAbs(s.File) || strings.Contains(s.File, ":") || !inside(s.File):
		r.fail(at+".file", "%q must lie inside the case folder", s.File)
	}
	for _, b := range before {
		if s.File != "" && b.File == s.File {
			r.fail(at+".file", "%q is listed twice", s.File)
		}
		if b.Role == s.Role && s.Role != "" && slices.Contains(single[:], s.Role) {
			r.fail(at+".role", "there is already a scan with the role %q", string(s.Role))
		}
	}
}

// inside reports whether a relative path stays below its folder.
func inside(p string) bool {
	c := path.Clean(p)
	return c != "." && c != ".." && !strings.HasPrefix(c, "../")
}

// toothRef reads the tooth of a scan: a bare code in the numbering system of the
// restorations, or system and code.
func (r *reader) toothRef(path string, n node, rs []Restoration) ToothRef {
	if n.kind != "text" {
		c := r.toothCode(path, n)
		return ToothRef(c)
	}
	ref := ToothRef{Code: strings.TrimSpace(n.text)}
	if _, err := ref.number(rs); err != nil {
		r.fail(path, "%v", err)
	}
	return ref
}

// number returns the tooth that a reference names. A bare code is read in the
// system of the restorations where they agree on one, else in ISO 3950.
func (t ToothRef) number(rs []Restoration) (tooth.Number, error) {
	s := t.System
	if s == "" {
		s = tooth.FDI
		if len(rs) > 0 {
			s = rs[0].Tooth.System
		}
		for _, r := range rs {
			if r.Tooth.System != s {
				s = tooth.FDI
			}
		}
		if _, err := tooth.FromPalmer(t.Code); err == nil {
			s = tooth.Palmer
		}
		if s == "" {
			s = tooth.FDI // the restoration's own error is already noted
		}
	}
	return tooth.Parse(s, t.Code)
}

// ScanTooth returns the tooth that scan i of the case shows; ok is false where the
// case names none.
func (c Case) ScanTooth(i int) (n tooth.Number, ok bool) {
	if c.Scans[i].Tooth == (ToothRef{}) {
		return 0, false
	}
	n, err := c.Scans[i].Tooth.number(c.Restorations)
	return n, err == nil
}

// MarshalJSON writes a bare code as text, one with its own system as an object.
func (t ToothRef) MarshalJSON() ([]byte, error) {
	if t.System == "" {
		return json.Marshal(t.Code)
	}
	return json.Marshal(ToothCode(t))
}

// UnmarshalJSON reads either form.
func (t *ToothRef) UnmarshalJSON(data []byte) error {
	var c ToothCode
	if bytes.HasPrefix(bytes.TrimSpace(data), []byte(`"`)) {
		*t = ToothRef{}
		return json.Unmarshal(data, &t.Code)
	}
	if err := json.Unmarshal(data, &c); err != nil {
		return err
	}
	*t = ToothRef(c)
	return nil
}
