package work

import (
	"bytes"
	"context"
	"crypto/ed25519"
	"fmt"
	"slices"
	"strings"
	"time"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/exchange"
	"selvage/internal/packed"
	"selvage/internal/prescription"
	"selvage/internal/query"
	"selvage/internal/report"
	"selvage/internal/store"
	"selvage/internal/workorder"
)

// The events of a hand-off.
const (
	kindHandedOff = "handed-off"      // Sending
	kindTemporary = "temporary-noted" // TemporaryNote
)

// Sending is one parcel that was made for the laboratory, or that went another way.
type Sending struct {
	Parcel    string     `json:"parcel,omitempty"` // as its manifest names it
	Version   int        `json:"version"`          // of the prescription
	Elsewhere bool       `json:"elsewhere,omitempty"`
	Archive   store.Hash `json:"archive,omitempty"`
	Name      string     `json:"name,omitempty"` // of the archive
	Bytes     int64      `json:"bytes,omitempty"`
	Files     []SentFile `json:"files,omitempty"`
	Sealed    string     `json:"sealed,omitempty"` // fingerprint of the key
	Encrypted bool       `json:"encrypted,omitempty"`
	Scrubbed  bool       `json:"scrubbed,omitempty"`
	Said      []string   `json:"said,omitempty"`  // files whose header says something
	Check     string     `json:"check,omitempty"` // that was current then; told from the events

	By string    `json:"by,omitempty"`
	At time.Time `json:"at,omitzero"`
}

// SentFile is one file of a parcel, with the hash of its bytes.
type SentFile struct {
	Name   string `json:"name"`
	SHA256 string `json:"sha256"`
}

// TemporaryNote is how the temporary holds, as somebody noted.
type TemporaryNote struct {
	Loose bool `json:"loose"` // or lost; false: it is back on

	By string    `json:"by,omitempty"`
	At time.Time `json:"at,omitzero"`
}

// loose reports whether the temporary is loose or lost.
func (c Case) loose() bool {
	n := len(c.Temporary)
	return n > 0 && c.Temporary[n-1].Loose
}

// NoteTemporary records that the temporary is loose or lost, or back on.
func (d *Desk) NoteTemporary(ctx context.Context, actor, id string, loose bool) error {
	return d.change(ctx, id, actor, func(tx *store.Tx, c Case) error {
		if c.loose() == loose {
			return nil
		}
		_, err := tx.Add(id, actor, kindTemporary, TemporaryNote{Loose: loose})
		return err
	})
}

// applyHandOff adds an event of a hand-off.
func (c *Case) applyHandOff(e store.Event) (changed bool, err error) {
	switch e.Kind {
	case kindHandedOff:
		err = read(e, func(v Sending) {
			v.By, v.At = e.Actor, e.At
			if k, ok := c.Current(); ok && k.State == Done {
				v.Check = k.ID
			}
			c.Sent = append(c.Sent, v)
			c.Thread = append(c.Thread, query.Step{What: query.Sent, At: e.At, By: e.Actor})
		})
	case kindTemporary:
		err = read(e, func(v TemporaryNote) { v.By, v.At = e.Actor, e.At; c.Temporary = append(c.Temporary, v) })
	default:
		return false, nil
	}
	return true, err
}

// Block is why a case is not sent yet.
type Block string

// The blocks. A doubt about the check may be sent anyway, with a reason; see [CheckMark].
const (
	NotSigned   Block = "not-signed"   // the prescription, as it stands
	Lacking     Block = "missing"      // something about which nothing is said
	NoCheck     Block = "no-check"     // none of these scans
	NotAccepted Block = "not-accepted" // the check asks for something, and nobody accepted it
	NotReleased Block = "not-released" // it is made in the house, and no block was released for it
)

// Blocks lists the blocks.
func Blocks() []Block { return []Block{NotSigned, Lacking, NoCheck, NotAccepted, NotReleased} }

// CheckMark is the lack by which a case is marked to be sent without a sound check.
const CheckMark = "check"

// Blocked lists why a case is not sent yet.
func (c Case) Blocked(p Plan) []Block {
	out := c.blocked(p)
	if slices.ContainsFunc(c.Marks, func(m Mark) bool { return m.Lack == CheckMark }) {
		out = slices.DeleteFunc(out, func(b Block) bool { return b == NoCheck || b == NotAccepted })
	}
	if _, current := c.Released(); prescription.InHouse(c.Order) && !current {
		out = append(out, NotReleased)
	}
	return out
}

// blocked lists what speaks against making a crown from the case as it is, whatever was said
// about sending it without a check.
func (c Case) blocked(p Plan) []Block {
	var out []Block
	if _, current, ok := c.Prescribed(); !ok || !current {
		out = append(out, NotSigned)
	}
	if p.Open > 0 {
		out = append(out, Lacking)
	}
	k, ok := c.Current()
	d, decided := c.Decision()
	switch {
	case !ok || k.State != Done || prescription.InHouse(c.Order) && k.Stage != finding.Final:
		out = append(out, NoCheck)
	case k.Verdict != finding.Clear && (!decided || d.What.Choice != Accept):
		out = append(out, NotAccepted)
	}
	return out
}

// Wish is how a parcel is wanted.
type Wish struct {
	Scrub, Seal, Encrypt bool
	Lang                 string
	Name                 func(actor string) string // what an actor is called on paper
	Version              string                    // of the program
	Words                map[string]string         // for what was said about something missing
}

// papers gathers what the work order is printed from.
func (d *Desk) papers(ctx context.Context, c Case, p Plan, w Wish) (workorder.Input, Result, *casefile.Report, error) {
	in := workorder.Input{Order: p.Order, Lang: w.Lang, Program: w.Version}
	if v, current, ok := c.Prescribed(); ok && current {
		in.Order, in.Version, in.Hash = v.Order, v.N, v.Hash
		in.Signed = &workorder.Signature{By: w.Name(v.By), At: v.At}
	}
	for _, l := range p.Missing {
		m := workorder.Missing{Lack: l}
		if said, ok := c.Marked(l); ok {
			m.Said = strings.Join(slices.DeleteFunc([]string{w.Words["lack."+string(said.How)], said.Reason, w.Name(said.By)}, func(s string) bool { return s == "" }), " · ")
		}
		in.Missing = append(in.Missing, m)
	}
	for _, q := range c.Photos {
		data, err := d.blobs.Get(ctx, q.Hash)
		if err != nil {
			return in, Result{}, nil, err
		}
		pic := workorder.Picture{PNG: data, Caption: w.Words["photo."+string(q.Shows)]}
		if q.MIME == "image/jpeg" {
			pic.PNG, pic.JPEG = nil, data
		}
		in.Photos = append(in.Photos, pic)
	}
	k, ok := c.Current()
	if !ok || k.State != Done {
		return in, Result{}, nil, nil
	}
	k, err := d.WhenDrawn(ctx, c.ID, k)
	if err != nil {
		return in, Result{}, nil, err
	}
	r, rep, err := d.Result(ctx, k)
	if err != nil {
		return in, r, nil, err
	}
	words := report.In(w.Lang)
	said := r.In(w.Lang, rep)
	in.Report, in.Reasons = &said, words.Reasons
	for _, f := range r.Figures {
		if f.MIME != "image/png" {
			continue
		}
		data, err := d.blobs.Get(ctx, f.Hash)
		if err != nil {
			return in, r, nil, err
		}
		in.Show(f.Slot, f.MIME, data, words.Alt(f.Slot, f.Alt, said.Line))
	}
	return in, r, &rep, nil
}

// items names the scans as they lie in a parcel. Without their bytes they serve the list on
// a work order.
func (d *Desk) items(ctx context.Context, c Case, rep *casefile.Report, scrub, load bool) ([]exchange.Item, error) {
	var scans []exchange.Scan
	for _, s := range c.Used() {
		x := exchange.Scan{Name: s.Name, Role: s.Role}
		if rep != nil {
			if i := slices.IndexFunc(rep.Scans, func(o casefile.Scan) bool { return o.SHA256 == string(s.Hash) }); i >= 0 {
				x.Role, x.Units = rep.Scans[i].Role, rep.Scans[i].Units
			}
		}
		if load {
			var err error
			if x.Data, err = d.blobs.Get(ctx, s.Hash); err != nil {
				return nil, err
			}
		}
		scans = append(scans, x)
	}
	return exchange.ScanItems(exchange.Teeth(c.Order), scans, scrub), nil
}

// WorkOrder prints the work order of a case as it stands: signed, or a draft.
func (d *Desk) WorkOrder(ctx context.Context, c Case, p Plan, w Wish) ([]byte, error) {
	in, _, rep, err := d.papers(ctx, c, p, w)
	if err != nil {
		return nil, err
	}
	items, err := d.items(ctx, c, rep, false, false)
	if err != nil {
		return nil, err
	}
	for i, s := range c.Used() {
		in.Files = append(in.Files, workorder.File{Name: items[i].Name, Role: items[i].Role, SHA256: string(s.Hash)})
	}
	return workorder.PDF(in)
}

// HandOff packs a case for its laboratory, stores the archive and records that it was made.
// A case that is blocked is not packed.
func (d *Desk) HandOff(ctx context.Context, actor, id string, p Plan, w Wish, now time.Time) error {
	c, err := d.Case(ctx, id)
	if err != nil {
		return err
	}
	if b := c.Blocked(p); len(b) > 0 {
		return &Problem{What: "this case cannot be sent yet: %s", About: string(b[0])}
	}
	contents, err := d.contents(ctx, c, p, w, now)
	if err != nil {
		return err
	}
	parcel, err := exchange.Pack(contents)
	if err != nil {
		return err
	}
	s := Sending{Parcel: parcel.ID(), Version: contents.Version, Scrubbed: w.Scrub, Name: exchange.Base(parcel.Teeth) + ".zip"}
	var key ed25519.PrivateKey
	if w.Seal && d.seal != nil {
		key = d.seal
		s.Sealed = exchange.Fingerprint(key.Public().(ed25519.PublicKey))
	}
	var b bytes.Buffer
	if err := d.write(&b, parcel, key, p.Lab, w.Encrypt); err != nil {
		return err
	}
	if w.Encrypt {
		s.Encrypted, s.Name = true, s.Name+".age"
	}
	for _, i := range parcel.Items {
		s.Files = append(s.Files, SentFile{Name: i.Name, SHA256: i.SHA256()})
		if i.What == exchange.WhatScan && exchange.HeaderText(i.Data) != "" {
			s.Said = append(s.Said, i.Name+": "+exchange.HeaderText(i.Data))
		}
	}
	if s.Archive, s.Bytes, err = d.blobs.Put(ctx, &b); err != nil {
		return err
	}
	return d.change(ctx, id, actor, func(tx *store.Tx, was Case) error {
		if !was.packedAs(c, p) {
			return &Problem{What: "the case was changed meanwhile", Try: "look at it again"}
		}
		_, err := tx.Add(id, actor, kindHandedOff, s)
		return err
	})
}

// packedAs reports whether a parcel of the case as it was before holds what it holds now. A
// check that starts or fails meanwhile changes no parcel; see [Case.cutAs].
func (c Case) packedAs(before Case, p Plan) bool {
	is, err := c.cuts()
	was, errWas := before.cuts()
	check, version := c.cutFrom()
	checkWas, versionWas := before.cutFrom()
	return err == nil && errWas == nil && is == was && check == checkWas && version == versionWas &&
		slices.Equal(c.Marks, before.Marks) && slices.Equal(c.Blocked(p), before.Blocked(p)) &&
		slices.EqualFunc(c.Photos, before.Photos, func(a, b Photo) bool { return a.ID == b.ID })
}

// write packs a parcel, encrypted where that is wanted.
func (d *Desk) write(b *bytes.Buffer, parcel exchange.Parcel, key ed25519.PrivateKey, lab prescription.Laboratory, encrypt bool) error {
	if !encrypt {
		_, err := parcel.Write(b, key)
		return err
	}
	to, err := exchange.Encrypt(b, strings.Fields(lab.Recipient))
	if err != nil || lab.Recipient == "" {
		return &Problem{What: "the laboratory's profile holds no key to encrypt to", Try: "enter it there, or hand off unencrypted"}
	}
	if _, err := parcel.Write(to, key); err != nil {
		return err
	}
	return to.Close()
}

func (d *Desk) contents(ctx context.Context, c Case, p Plan, w Wish, now time.Time) (exchange.Contents, error) {
	in, r, rep, err := d.papers(ctx, c, p, w)
	if err != nil {
		return exchange.Contents{}, err
	}
	out := exchange.Contents{Order: in.Order, Version: in.Version, Hash: in.Hash, Report: rep, Made: now, Program: w.Version, Lang: w.Lang}
	if out.Items, err = d.items(ctx, c, rep, w.Scrub, true); err != nil {
		return out, err
	}
	for _, i := range out.Items {
		in.Files = append(in.Files, workorder.File{Name: i.Name, Role: i.Role, SHA256: i.SHA256()})
	}
	for _, q := range in.Photos {
		out.Pictures = append(out.Pictures, exchange.Picture{PNG: q.PNG, JPEG: q.JPEG, Caption: q.Caption})
	}
	if out.WorkOrder, err = workorder.PDF(in); err != nil || rep == nil {
		return out, err
	}
	out.Line = in.Report.Line
	page := report.Input{Report: *in.Report, Case: &in.Order, Facing: r.Facing, Words: report.In(w.Lang)}
	for _, f := range r.Figures {
		data, err := d.blobs.Get(ctx, f.Hash)
		if err != nil {
			return out, err
		}
		page.Figures = append(page.Figures, report.Figure{Slot: f.Slot, MIME: f.MIME, Data: data, W: f.W, H: f.H, Alt: page.Words.Alt(f.Slot, f.Alt, in.Report.Line)})
	}
	if out.Page, err = report.HTML(page); err != nil {
		return out, err
	}
	for _, q := range in.Pictures {
		out.Pictures = append(out.Pictures, exchange.Picture{PNG: q.PNG, Caption: q.Caption})
	}
	if len(r.Facing) > 0 {
		out.Buccal = r.Facing[0].Buccal
	}
	for _, m := range r.Models {
		coarse := slices.ContainsFunc(r.Models, func(o ModelRef) bool { return o.Restoration == m.Restoration && o.Role == m.Role && o.Coarse })
		if m.Restoration != 0 || m.Coarse != coarse {
			continue
		}
		data, err := d.blobs.Get(ctx, m.Hash)
		if err != nil {
			return out, err
		}
		s, err := packed.Decode(data)
		if err != nil {
			return out, err
		}
		out.Surfaces = append(out.Surfaces, exchange.RoleSurface{Role: m.Role, Mesh: s.Mesh})
	}
	return out, nil
}

// Archive returns the bytes of a parcel that was made.
func (d *Desk) Archive(ctx context.Context, s Sending) ([]byte, error) {
	if s.Archive == "" {
		return nil, store.ErrNoBlob
	}
	return d.blobs.Get(ctx, s.Archive)
}

// SentElsewhere records that a case was sent another way.
func (d *Desk) SentElsewhere(ctx context.Context, actor, id string) error {
	return d.change(ctx, id, actor, func(tx *store.Tx, c Case) error {
		v, _, _ := c.Prescribed()
		_, err := tx.Add(id, actor, kindHandedOff, Sending{Elsewhere: true, Version: v.N})
		return err
	})
}

// SealedBy returns the fingerprint of the practice's seal; empty: it has none.
func (d *Desk) SealedBy() string {
	if d.seal == nil {
		return ""
	}
	return exchange.Fingerprint(d.seal.Public().(ed25519.PublicKey))
}

// named lists the stored file of a hand-off.
func (s Sending) named(caseID string, out map[store.Hash]string) {
	if s.Archive != "" {
		out[s.Archive] = fmt.Sprintf("a parcel of case %s for its laboratory", caseID)
	}
}
