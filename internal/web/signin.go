package web

import (
	"errors"
	"net/http"
	"strconv"
	"time"
	"unicode/utf8"

	"selvage/internal/people"
	"selvage/internal/work"
)

// whoView is the page that asks who is here.
type whoView struct {
	frame
	To     string
	Away   bool // from another computer: a name and a password
	Name   string
	People []people.Person
	Error  string
}

// padView is the page on which somebody shows who they are.
type padView struct {
	frame
	Action string // where it is sent
	To     string
	Head   string
	Lead   string
	Lines  []string // what is being signed
	Check  string
	Away   bool
	Proof  string // the digits so far
	Error  string
	Button string
}

// Digits are the keys of the pad, but 0.
func (padView) Digits() []string { return []string{"1", "2", "3", "4", "5", "6", "7", "8", "9"} }

// showWho lists the people who may sign in at this computer, or asks another computer
// for a name, without telling who works here.
func (s *Server) showWho(w http.ResponseWriter, r *http.Request) error {
	v := visitorOf(r)
	if v.fresh && v.where.Place == people.Chair {
		http.Redirect(w, r, "/first?to="+escaped(onward(r)), http.StatusSeeOther)
		return nil
	}
	if v.fresh {
		return v.allow(oneself)
	}
	return s.who(w, r, http.StatusOK, "")
}

func (s *Server) who(w http.ResponseWriter, r *http.Request, status int, problem string) error {
	v := whoView{frame: s.frame(r), To: onward(r), Away: visitorOf(r).where.Place == people.Away, Name: r.PostFormValue("name"), Error: problem}
	v.Title = v.W.T("who.title")
	if !v.Away {
		all, err := s.book.All(r.Context())
		if err != nil {
			return err
		}
		for _, p := range all {
			if !p.Left {
				v.People = append(v.People, p)
			}
		}
	}
	return s.render(w, status, "who", v)
}

// enterAway signs somebody in from another computer.
func (s *Server) enterAway(w http.ResponseWriter, r *http.Request) error {
	v := visitorOf(r)
	if v.fresh || v.where.Place != people.Away {
		return s.showWho(w, r)
	}
	if err := form(w, r); err != nil {
		return err
	}
	id, err := s.book.Named(r.Context(), r.PostFormValue("name"))
	if err != nil {
		return err
	}
	p, renew, err := s.book.Enter(r.Context(), v.where, id, r.PostFormValue("proof"))
	if say, status := wrong(wordsFor(r), err, "who.wrong.away"); say != "" {
		return s.who(w, r, status, say)
	}
	if err != nil {
		return err
	}
	return s.in(w, r, p, renew)
}

// showPad shows the number pad of the person who tapped their name.
func (s *Server) showPad(w http.ResponseWriter, r *http.Request) error {
	v, _, err := s.pad(r)
	if err != nil {
		return err
	}
	return s.render(w, http.StatusOK, "pad", v)
}

func (s *Server) pad(r *http.Request) (padView, people.Person, error) {
	p, ok, err := s.book.Find(r.Context(), r.PathValue("person"))
	if err != nil {
		return padView{}, p, err
	}
	if !ok || p.Left || visitorOf(r).where.Place != people.Chair {
		return padView{}, p, errNotThere
	}
	v := padView{frame: s.frame(r), Action: join("who", p.ID), To: onward(r), Head: p.Name}
	v.Title, v.Lead, v.Button = v.W.T("who.title"), v.W.T("who.number"), v.W.T("who.in")
	return v, p, nil
}

// enter signs the person in whose number was entered.
func (s *Server) enter(w http.ResponseWriter, r *http.Request) error {
	if err := form(w, r); err != nil {
		return err
	}
	v, p, err := s.pad(r)
	if err != nil {
		return err
	}
	renew := false
	done, err := s.asked(w, r, &v, func(proof string) (err error) {
		_, renew, err = s.book.Enter(r.Context(), visitorOf(r).where, p.ID, proof)
		return err
	})
	if !done || err != nil {
		return err
	}
	return s.in(w, r, p, renew)
}

func (s *Server) in(w http.ResponseWriter, r *http.Request, p people.Person, renew bool) error {
	if err := s.open(r, p, renew); err != nil {
		return err
	}
	if renew {
		return back(w, r, "/me?to="+escaped(onward(r)))
	}
	return back(w, r, onward(r))
}

// asked reads what was sent from a pad: one more digit, one less, or the whole. It shows
// the pad again until a proof is weighed and right. WHY the digits so far go through the
// page: so the pad works without a script, and nothing is kept of them.
func (s *Server) asked(w http.ResponseWriter, r *http.Request, v *padView, weigh func(proof string) error) (done bool, err error) {
	proof := r.PostFormValue("proof")
	digit, last := r.PostFormValue("digit"), r.PostFormValue("do") == "back"
	if digit != "" || last {
		switch _, n := strconv.Atoi(digit); {
		case last && proof != "":
			_, size := utf8.DecodeLastRuneInString(proof)
			proof = proof[:len(proof)-size]
		case n == nil && len(digit) == 1 && len(proof) < people.MaxDigits:
			proof += digit
		}
		v.Proof = proof
		return false, s.render(w, http.StatusOK, "pad", v)
	}
	err = weigh(proof)
	if say, status := wrong(v.W, err, "who.wrong"); say != "" {
		v.Error = say
		return false, s.render(w, status, "pad", v)
	}
	return err == nil, err
}

// wrong says in words that a proof was not right, or that it is too early for another.
func wrong(w Words, err error, key string) (say string, status int) {
	var wait *people.WaitError
	var problem *people.Problem
	switch {
	case errors.As(err, &wait):
		return w.T("who.wait", waited(w, wait.Left)), http.StatusTooManyRequests
	case errors.Is(err, people.ErrWrong):
		return w.T(key), http.StatusForbidden
	case errors.As(err, &problem):
		return w.T("people." + problem.Key), http.StatusConflict
	}
	return "", 0
}

// waited says how long, rounded up.
func waited(w Words, d time.Duration) string {
	if d <= time.Minute {
		return w.T("seconds", strconv.Itoa(int((d+time.Second-1)/time.Second)))
	}
	return w.T("minutes", strconv.Itoa(int((d+time.Minute-1)/time.Minute)))
}

// lock ends the session; what is being measured goes on.
func (s *Server) lock(w http.ResponseWriter, r *http.Request) error {
	if err := form(w, r); err != nil {
		return err
	}
	if id := visitorOf(r).person.ID; id != "" {
		if err := s.book.Lock(r.Context(), id, r.PostFormValue("idle") != ""); err != nil {
			return err
		}
	}
	if err := s.sessions.Destroy(r.Context()); err != nil {
		return err
	}
	return back(w, r, "/who?to="+escaped(onward(r)))
}

// awake notes that somebody touches the page without asking for anything.
func (s *Server) awake(w http.ResponseWriter, _ *http.Request) error {
	w.WriteHeader(http.StatusNoContent)
	return nil
}

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
	if err := s.desk.Sign(r.Context(), me.person.ID, r.PathValue("case"), v.Check); err != nil {
		return err
	}
	return back(w, r, v.To)
}
