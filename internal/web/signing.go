package web

import (
	"net/http"

	"selvage/internal/people"
	"selvage/internal/work"
)

// signView is the pad on which a signature is given: it says what is signed.
func (s *Server) signView(r *http.Request) (padView, error) {
	id := r.PathValue("case")
	c, err := s.desk.Case(r.Context(), id)
	if err != nil {
		return padView{}, err
	}
	me := visitorOf(r)
	v := padView{frame: s.frame(r), Action: join("case", id, "sign"), To: join("case", id, "dentist"), Away: me.where.Place == people.Away}
	v.Title, v.Head, v.Button = v.W.T("dentist.sign"), v.W.T("dentist.sign"), v.W.T("dentist.sign")
	v.Lead = v.W.T("sign.number", me.person.Name)
	if v.Away {
		v.Lead = v.W.T("sign.password", me.person.Name)
	}
	k, current := c.Current()
	d, decided := c.Decision()
	if !current || k.State != work.Done || !decided || d.What.Choice != work.Accept {
		return v, &work.Problem{What: v.W.T("sign.nothing"), Try: v.W.T("sign.nothing.try")}
	}
	v.Check = k.ID
	v.Lines = append(v.Lines, or(c.Name, v.W.T("unnamed")), toothWords(v.W, c), k.LineIn(v.W.Lang))
	if d.What.Reason != "" {
		v.Lines = append(v.Lines, v.W.T("choice.accept")+": "+d.What.Reason)
	}
	return v, nil
}

// showSign asks the dentist for their number once more.
func (s *Server) showSign(w http.ResponseWriter, r *http.Request) error {
	v, err := s.signView(r)
	if err != nil {
		return err
	}
	return s.render(w, http.StatusOK, "pad", v)
}

// sign signs what was shown, by who is signed in and has shown it once more.
func (s *Server) sign(w http.ResponseWriter, r *http.Request) error {
	if err := form(w, r); err != nil {
		return err
	}
	v, err := s.signView(r)
	if err != nil {
		return err
	}
	if r.PostFormValue("check") != v.Check {
		return &work.Problem{What: v.W.T("sign.other"), Try: v.W.T("sign.other.try")}
	}
	me := visitorOf(r)
	done, err := s.asked(w, r, &v, func(proof string) error {
		return s.book.Confirm(r.Context(), me.where, me.person.ID, proof)
	})
	if !done || err != nil {
		return err
	}
	if err := s.desk.Sign(r.Context(), me.person.ID, r.PathValue("case")); err != nil {
		return err
	}
	return back(w, r, v.To)
}
