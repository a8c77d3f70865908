package people_test

import (
	"bytes"
	"errors"
	"os"
	"slices"
	"strings"
	"testing"

	"selvage/internal/people"
	"selvage/internal/store"
)

// TestPrograms: a token lets its program in and nobody else, is not kept, and ends.
func TestPrograms(t *testing.T) {
	p := open(t)
	boss, _, err := p.First(ctx, "A. Berg", roles(people.Manager), "4827")
	must(t, err)
	other, err := p.Add(ctx, boss.ID, "B. Thal", roles(people.Assistant), "739104")
	must(t, err)
	made, token, err := p.AddProgram(ctx, boss.ID, "Archive", people.Reader)
	must(t, err)
	second, secondToken, err := p.AddProgram(ctx, boss.ID, "Scanner", people.Sender)
	must(t, err)
	got, err := p.Show(ctx, chair(), token)
	if err != nil || got.ID != made.ID || !got.May(people.See) || got.May(people.Check) {
		t.Errorf("the program: %+v, %v", got, err)
	}
	if got, err := p.Show(ctx, chair(), secondToken); err != nil || got.ID != second.ID || !got.May(people.Check) {
		t.Errorf("the other program: %+v, %v", got, err)
	}
	secret := token[strings.LastIndex(token, "_")+1:]
	mixed := secondToken[:strings.LastIndex(secondToken, "_")+1] + secret // one's name, the other's secret
	for _, wrong := range []string{"", "selvage", token + "x", strings.ToUpper(token), mixed, "selvage__", boss.ID, "4827"} {
		if _, err := p.Show(ctx, away("192.0.2."+string('1'+rune(len(wrong)%8))), wrong); !errors.Is(err, people.ErrWrong) {
			t.Errorf("%q lets in: %v", wrong, err)
		}
	}
	if all, err := p.All(ctx); err != nil || len(all) != 2 {
		t.Errorf("a program is among the people: %v, %v", all, err)
	}
	for _, tt := range []struct {
		by, name string
		role     people.Role
		key      string
	}{
		{other.ID, "X", people.Reader, "right"},
		{made.ID, "X", people.Reader, "right"},
		{boss.ID, "X", people.Dentist, "choice"},
		{boss.ID, " ", people.Reader, "name"},
		{boss.ID, "archive", people.Reader, "name.taken"},
	} {
		_, _, err := p.AddProgram(ctx, tt.by, tt.name, tt.role)
		var problem *people.Problem
		if !errors.As(err, &problem) || problem.Key != tt.key {
			t.Errorf("adding %q as %s: %v, want %s", tt.name, tt.role, err, tt.key)
		}
	}
	must(t, p.EndProgram(ctx, boss.ID, made.ID))
	must(t, p.EndProgram(ctx, boss.ID, made.ID)) // ended is ended
	if _, err := p.Show(ctx, chair(), token); !errors.Is(err, people.ErrWrong) {
		t.Errorf("a token that ended lets in: %v", err)
	}
	if all, err := p.Programs(ctx); err != nil || len(all) != 2 || !all[0].Left || all[1].Left {
		t.Errorf("programs: %+v, %v", all, err)
	}
	if _, _, err := p.AddProgram(ctx, boss.ID, "Archive", people.Reader); err != nil {
		t.Errorf("the name of a program that ended is free: %v", err)
	}
	names, err := os.ReadDir(strings.TrimSuffix(p.path, "selvage.db"))
	must(t, err)
	for _, n := range names {
		data, err := os.ReadFile(strings.TrimSuffix(p.path, "selvage.db") + n.Name())
		must(t, err)
		if bytes.Contains(data, []byte(secret)) {
			t.Errorf("the token is kept in %s", n.Name())
		}
	}
	events, err := p.ledger.Events(ctx, "")
	must(t, err)
	if !slices.ContainsFunc(events, func(e store.Event) bool { return e.Kind == "program-ended" && e.Actor == boss.ID }) {
		t.Error("the ledger does not say who ended the token")
	}
}
