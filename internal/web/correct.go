package web

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"

	"selvage/finding"
	"selvage/internal/packed"
	"selvage/internal/web/stills"
	"selvage/internal/work"
	"selvage/r3"
	"selvage/tooth"
)

// correctView is the page on which a person puts right what the check took for something
// else: the number of a tooth, or a stretch of the margin. Every step is an address, so
// that it works by taps on the model, by taps on a still, and by the keyboard.
type correctView struct {
	frame
	Case        work.Case
	Tooth       string
	Ready       bool   // there is a finished check of what the case holds
	What        string // tooth, margin, or empty: choose
	Check       string
	Restoration int
	Margins     []choice // prepared teeth whose margin can be put right
	Role        string
	Surfaces    []choice // whose teeth can be named
	Found       []foundTooth
	Numbers     []choice // to choose from, once a tooth was tapped
	Points      []string // tapped, as stills.Points reads them
	Hidden      []field  // what the still's form carries on
	Still       string
	Fewer       string // the address with one point less
	Done        []correctionRow
}

// field is a hidden field of a form.
type field struct{ Name, Value string }

// foundTooth is a tooth that can be named.
type foundTooth struct {
	Text, Name, Link string
	Unsure, ByHand   bool
}

// correctionRow is one thing that was put right.
type correctionRow struct{ ID, Text string }

func (s *Server) showCorrect(w http.ResponseWriter, r *http.Request) error {
	c, err := s.desk.Case(r.Context(), r.PathValue("case"))
	if err != nil {
		return err
	}
	if err := s.desk.View(r.Context(), actor(r), c.ID, "correct"); err != nil {
		return err
	}
	v := correctView{frame: s.frame(r), Case: c, Tooth: toothWords(wordsFor(r), c)}
	v.Title = v.W.T("correct")
	for _, k := range c.Corrected() {
		v.Done = append(v.Done, correctionRow{ID: k.ID, Text: v.said(k)})
	}
	if k, current := c.Current(); current && k.State == work.Done {
		res, _, err := s.desk.Result(r.Context(), k)
		if err != nil {
			return err
		}
		v.Check = k.ID
		if err := s.correctStep(r, &v, res); err != nil {
			return err
		}
	}
	return s.render(w, http.StatusOK, "correct", v)
}

// said puts a correction into words.
func (v *correctView) said(k work.Correction) string {
	if k.Kind != work.NamesTooth {
		return v.W.T("correct.was."+k.Kind, len(k.At))
	}
	i := slices.IndexFunc(v.Case.Scans, func(s work.Scan) bool { return s.ID == k.Scan })
	return v.W.T("correct.was.tooth", k.Tooth, v.Case.Scans[i].Name)
}

// correctStep fills in what the address asks for.
func (s *Server) correctStep(r *http.Request, v *correctView, res work.Result) error {
	q := r.URL.Query()
	n, err := strconv.Atoi(or(q.Get("restoration"), "0"))
	if err != nil || n < 0 || n >= len(res.Scenes) || len(res.Scenes[n].Surfaces) == 0 {
		return nil // nothing was seen that could be tapped
	}
	scene := res.Scenes[n]
	v.Ready, v.Restoration, v.What = true, n, q.Get("what")
	v.Role = or(q.Get("role"), scene.Surfaces[0].Role)
	if v.What == "tooth" && q.Get("role") == "" {
		v.Role = string(finding.RoleWorking)
	}
	points, err := stills.Points(q["p"])
	if err != nil {
		return err
	}
	if q.Has("at.x") { // a tap on the still
		st, err := s.stillOf(r, res)
		if err != nil {
			return err
		}
		x, errX := strconv.ParseFloat(q.Get("at.x"), 64)
		y, errY := strconv.ParseFloat(q.Get("at.y"), 64)
		if p, ok := st.Point(st.Camera(v.What == "tooth"), x, y); ok && errX == nil && errY == nil {
			points = append(points, p)
		}
	}
	switch v.What {
	case "tooth":
		v.teeth(scene, points)
	case "margin":
		if v.Role != scene.Surfaces[0].Role {
			return errNotThere
		}
	default:
		v.What = ""
		for i, sc := range res.Scenes {
			if len(sc.Margins) > 0 {
				v.Margins = append(v.Margins, choice{Value: strconv.Itoa(i), Name: toothName(v.W, v.Case.Order.Restorations[i].Tooth.Number().String())})
			}
		}
		return nil
	}
	for _, p := range points {
		v.Points = append(v.Points, stills.PointText(p))
	}
	v.addresses()
	return nil
}

// addresses makes the links and fields that lead from this step to the next.
func (v *correctView) addresses() {
	q := url.Values{"what": {v.What}, "role": {v.Role}, "restoration": {strconv.Itoa(v.Restoration)}}
	v.Hidden = []field{{"what", v.What}, {"role", v.Role}, {"restoration", strconv.Itoa(v.Restoration)}}
	for i, p := range v.Points {
		if i+1 < len(v.Points) {
			q.Add("p", p)
		}
		v.Hidden = append(v.Hidden, field{"p", p})
	}
	v.Fewer = "?" + q.Encode()
	q["p"] = v.Points
	q.Del("what")
	if v.What == "tooth" {
		q.Set("wide", "1")
	}
	v.Still = join("case", v.Case.ID, "check", v.Check, "still") + "?" + q.Encode()
}

// teeth lists the teeth that were found on the scan, and the numbers of its jaw once one
// of them was tapped.
func (v *correctView) teeth(scene packed.Scene, points []r3.Vec) {
	jaw := v.Case.Order.Restorations[v.Restoration].Tooth.Number().Jaw()
	for _, s := range scene.Surfaces {
		if role := finding.Role(s.Role); role == finding.RoleWorking || role == finding.RoleOpposing || role == finding.RoleBefore {
			v.Surfaces = append(v.Surfaces, choice{Value: s.Role, Name: v.W.T("role." + s.Role), Chosen: s.Role == v.Role})
		}
	}
	for _, t := range scene.Teeth {
		if t.Role != v.Role {
			continue
		}
		q := url.Values{"what": {"tooth"}, "role": {v.Role}, "restoration": {strconv.Itoa(v.Restoration)}, "p": {stills.PointText(r3.V(t.At[0], t.At[1], t.At[2]))}}
		v.Found = append(v.Found, foundTooth{Text: t.Text, Name: toothName(v.W, t.Text), Link: "?" + q.Encode(), Unsure: t.Unsure})
	}
	if len(points) == 0 {
		return
	}
	quarters := []int{1, 2}
	if (jaw == tooth.Lower) != (v.Role == string(finding.RoleOpposing)) {
		quarters = []int{4, 3}
	}
	for _, quarter := range quarters {
		for i := range 8 {
			place := 8 - i // as one sees the patient: right side left
			if quarter == 2 || quarter == 3 {
				place = i + 1
			}
			n := tooth.Number(quarter*10 + place)
			v.Numbers = append(v.Numbers, choice{Value: n.String(), Name: n.String(), More: toothName(v.W, n.String())})
		}
	}
}

// toothName names a tooth in words.
func toothName(w Words, fdi string) string {
	n, err := tooth.Parse(tooth.FDI, fdi)
	if err != nil {
		return fdi
	}
	return w.T("tooth.in", w.T("quarter."+strconv.Itoa(int(n)/10)), w.T("tooth."+strconv.Itoa(int(n)%10)))
}

// correct records what was put right.
func (s *Server) correct(w http.ResponseWriter, r *http.Request) error {
	if err := form(w, r); err != nil {
		return err
	}
	id := r.PathValue("case")
	n, err := strconv.Atoi(or(r.PostFormValue("restoration"), "0"))
	if err != nil {
		return &work.Problem{What: wordsFor(r).T("fail.choice")}
	}
	points, err := stills.Points(r.PostForm["p"])
	if err != nil {
		return &work.Problem{What: wordsFor(r).T("fail.choice")}
	}
	err = s.desk.Correct(r.Context(), actor(r), id, work.Said{
		Check: r.PostFormValue("check"), Kind: r.PostFormValue("kind"), Role: finding.Role(r.PostFormValue("role")),
		Restoration: n, Tooth: r.PostFormValue("tooth"), At: points,
	})
	if err != nil {
		return err
	}
	return back(w, r, join("case", id))
}

// uncorrect undoes one correction.
func (s *Server) uncorrect(w http.ResponseWriter, r *http.Request) error {
	id := r.PathValue("case")
	if err := s.desk.TakeCorrectionBack(r.Context(), actor(r), id, r.PostFormValue("correction")); err != nil {
		return err
	}
	return back(w, r, join("case", id))
}
