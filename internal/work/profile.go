package work

import (
	"context"
	"slices"
	"strings"

	"selvage/internal/casefile"
	"selvage/internal/holiday"
	"selvage/internal/prescription"
	"selvage/internal/store"
	"selvage/internal/turnaround"
)

// The events of the practice itself, which belong to no case.
const (
	kindPractice   = "practice-set"   // prescription.Practice
	kindLaboratory = "laboratory-set" // prescription.Laboratory

	ofPractice = "" // the case id of events that belong to no case
)

// Profiles is what the practice wrote about itself and about its laboratories.
type Profiles struct {
	Practice     prescription.Practice
	Laboratories []prescription.Laboratory // those that left, too
}

// Laboratory returns the laboratory of a name, whatever its case.
func (p Profiles) Laboratory(name string) (prescription.Laboratory, bool) {
	i := slices.IndexFunc(p.Laboratories, func(l prescription.Laboratory) bool {
		return name != "" && strings.EqualFold(l.Name, name)
	})
	if i < 0 {
		return prescription.Laboratory{}, false
	}
	return p.Laboratories[i], true
}

// chosen returns the laboratory of an order: the one that it names, else the only one.
func (p Profiles) chosen(o casefile.Case) prescription.Laboratory {
	if l, ok := p.Laboratory(o.Laboratory.Name); ok {
		return l
	}
	if offered := p.Offered(); len(offered) == 1 && o.Laboratory.Name == "" && !prescription.InHouse(o) {
		return offered[0]
	}
	return prescription.Laboratory{}
}

// Offered lists the laboratories that may be chosen.
func (p Profiles) Offered() []prescription.Laboratory {
	return slices.DeleteFunc(slices.Clone(p.Laboratories), func(l prescription.Laboratory) bool { return l.Left })
}

// with returns the profiles after that of a laboratory was written.
func (p Profiles) with(l prescription.Laboratory) Profiles {
	rest := slices.DeleteFunc(slices.Clone(p.Laboratories), func(o prescription.Laboratory) bool { return o.Key == l.Key })
	p.Laboratories = append(rest, l)
	return p
}

// Profiles returns what was written.
func (d *Desk) Profiles(ctx context.Context) (Profiles, error) {
	if err := d.refresh(ctx); err != nil {
		return Profiles{}, err
	}
	d.practice.mu.Lock()
	defer d.practice.mu.Unlock()
	p := d.practice.book
	p.Laboratories = slices.Clone(p.Laboratories)
	return p, nil
}

// SetPractice writes what the practice says of itself.
func (d *Desk) SetPractice(ctx context.Context, actor string, p prescription.Practice) error {
	if p.Rule != "" {
		if _, ok := prescription.RuleOf(p.Rule); !ok {
			return &Problem{What: "there is no rule %s", About: p.Rule}
		}
	}
	if p.Region != "" && !holiday.Known(p.Region) {
		return &Problem{What: "there is no table of holidays for %s", About: string(p.Region)}
	}
	return d.ledger.Change(ctx, func(tx *store.Tx) error {
		_, err := tx.Add(ofPractice, actor, kindPractice, p)
		return err
	})
}

// SetLaboratory writes what is known of a laboratory; without a key it is a new one.
func (d *Desk) SetLaboratory(ctx context.Context, actor string, l prescription.Laboratory) error {
	if l.Name = strings.TrimSpace(l.Name); l.Name == "" {
		return &Problem{What: "the laboratory has no name"}
	}
	if l.CutOff != "" {
		if _, err := turnaround.ParseClock(l.CutOff); err != nil {
			return &Problem{What: "%s", About: err.Error()}
		}
	}
	if l.Region != "" && !holiday.Known(l.Region) {
		return &Problem{What: "there is no table of holidays for %s", About: string(l.Region)}
	}
	p, err := d.Profiles(ctx)
	if err != nil {
		return err
	}
	if o, ok := p.Laboratory(l.Name); ok && o.Key != l.Key {
		return &Problem{What: "there is a laboratory of this name already"}
	}
	if l.Key == "" {
		l.Key = newID()
	}
	return d.ledger.Change(ctx, func(tx *store.Tx) error {
		_, err := tx.Add(ofPractice, actor, kindLaboratory, l)
		return err
	})
}
